/** Wheel, drag and pinch on an element, as pan and zoom; and what is left: pointing, pressing, letting go. */

type At = readonly [x: number, y: number];

export interface GestureHandlers {
  readonly pan: (dx: number, dy: number) => void;
  readonly zoom: (factor: number, at: At) => void;
  /** The pointer is somewhere; null when it leaves. */
  readonly point: (at: At | null) => void;
  /** True where the press begins something of its own; otherwise it begins to pan. */
  readonly press: (at: At) => boolean;
  readonly drag: (at: At) => void;
  /** `still` where the pointer has hardly moved since the press. */
  readonly release: (at: At, still: boolean) => void;
  /** A second finger came down: what was begun is no more meant. */
  readonly abandon: () => void;
}

/** A hand that means to tap wanders less than this, CSS px. */
const STILL_PX = 5;
/** Zoom for a notch of a wheel of 100 px. */
const WHEEL = 0.0022;
/** Lines of text to px, for mice that turn by lines. */
const LINE_PX = 18;

export function listenForGestures(element: Element, handlers: GestureHandlers): void {
  const down = new Map<number, At>();
  let start: At = [0, 0];
  let own = false;
  let still = true;
  const local = (event: MouseEvent): At => {
    const box = element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const far = (a: At, b: At) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const on = <K extends keyof HTMLElementEventMap>(type: K, listener: (event: HTMLElementEventMap[K]) => void) =>
    element.addEventListener(type, listener as EventListener, { passive: false });

  on('wheel', (event) => {
    event.preventDefault();
    const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? LINE_PX : 1;
    if (event.shiftKey) handlers.pan(-(event.deltaX + event.deltaY) * lines, 0);
    // Two fingers on a pad come as a wheel with the control key, in smaller numbers.
    else handlers.zoom(Math.exp(-event.deltaY * lines * WHEEL * (event.ctrlKey ? 5 : 1)), local(event));
  });
  on('pointerdown', (event) => {
    if (event.button > 1) return;
    element.setPointerCapture(event.pointerId);
    down.set(event.pointerId, local(event));
    if (down.size === 2) {
      if (own) handlers.abandon();
      own = false;
      still = false;
    }
    if (down.size !== 1) return;
    start = local(event);
    still = true;
    own = event.button === 0 && handlers.press(start);
  });
  on('pointermove', (event) => {
    const at = local(event);
    const before = down.get(event.pointerId);
    if (!before) {
      handlers.point(at);
      return;
    }
    down.set(event.pointerId, at);
    if (down.size === 2) {
      const other = [...down].find(([id]) => id !== event.pointerId)![1];
      const middle: At = [(at[0] + other[0]) / 2, (at[1] + other[1]) / 2];
      handlers.zoom(far(at, other) / Math.max(1, far(before, other)), middle);
      handlers.pan((at[0] - before[0]) / 2, (at[1] - before[1]) / 2);
      return;
    }
    if (far(at, start) > STILL_PX) still = false;
    if (own) handlers.drag(at);
    else if (!still) handlers.pan(at[0] - before[0], at[1] - before[1]);
  });
  const up = (event: PointerEvent) => {
    if (!down.delete(event.pointerId) || down.size > 0) return;
    if (event.type === 'pointercancel') handlers.abandon();
    else handlers.release(local(event), still);
    own = false;
  };
  on('pointerup', up);
  on('pointercancel', up);
  on('pointerleave', (event) => {
    if (!down.has(event.pointerId)) handlers.point(null);
  });
}
