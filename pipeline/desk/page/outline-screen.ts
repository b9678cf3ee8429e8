/** The upright picture with the sheet's corners to be dragged, and reading it again from there. */
import type { PicturePoint } from '../../types.ts';
import { stateNow } from '../work/history.ts';
import { type Box, fitted, panned, type Size, type View, zoomed } from '../work/view.ts';
import { attr, el, svg } from './el.ts';
import type { Files } from './files.ts';
import { listenForGestures } from './gestures.ts';
import { addressOf } from './images.ts';
import type { Store } from './store.ts';

const NAMES = ['bottom left', 'bottom right', 'top right', 'top left'];
/** Picture px by which a key moves a corner, and with Shift. */
const STEP_PX = 1;
const LARGE_STEP_PX = 12;
/** How near a pointer must come to a corner, CSS px. */
const REACH_PX = 26;
/** Zoom of the glass over the picture as it is shown, and its size, CSS px. */
const GLASS = 3;
const GLASS_PX = 150;

type Corner = [number, number];

export function makeOutlineScreen(
  store: Store,
  files: Files,
  say: (text: string) => void,
): { readonly root: HTMLElement } {
  const image = svg('image', { preserveAspectRatio: 'none' });
  const shade = svg('path', { class: 'shade' });
  const sides = svg('path', { class: 'sides' });
  const content = svg('g', {}, [image, shade, sides]);
  const drawing = svg('svg', { 'aria-hidden': 'true' }, [content]);
  const glassImage = svg('image', { preserveAspectRatio: 'none' });
  const glass = svg('svg', { class: 'glass', 'aria-hidden': 'true', width: GLASS_PX, height: GLASS_PX }, [
    glassImage,
    svg('path', {
      class: 'glass-cross',
      d: `M${GLASS_PX / 2} 20V${GLASS_PX - 20}M20 ${GLASS_PX / 2}H${GLASS_PX - 20}`,
    }),
  ]);
  const handles = el('div', { class: 'handles' });
  const board = el('div', { class: 'stage outline-stage' }, [drawing, handles, glass]);
  const root = el('main', { class: 'outline' }, [
    el('header', { class: 'top' }, [
      el('div', { class: 'title' }, [
        el('h1', { class: 'name', text: 'Corners of the sheet' }),
        el('span', { class: 'quiet', text: 'Drag them, or move them with the arrow keys' }),
      ]),
      el('div', { class: 'bar-buttons' }, [
        el('button', { type: 'button', text: 'Cancel', on: { click: () => leave() } }),
        el('button', { type: 'button', class: 'strong', text: 'Read again from here', on: { click: () => use() } }),
      ]),
    ]),
    board,
  ]);
  let corners: Corner[] = [];
  let buttons: HTMLButtonElement[] = [];
  let box: Box = { left: 0, top: 0, width: 1, height: 1 };
  let size: Size = { width: 0, height: 0 };
  let view: View = { scale: 1, left: 0, top: 0 };
  let active = 0;

  const leave = (): void => store.set({ screen: 'desk' });
  const use = (): void => {
    const { desk } = store.get();
    if (!desk) return;
    const { choices } = desk.history.work.readings[stateNow(desk.history).reading];
    void files.readAgain({ ...choices, corners: corners as readonly PicturePoint[] });
  };
  const draw = (): void => {
    attr(content, 'transform', `translate(${view.left} ${view.top}) scale(${view.scale})`);
    const ring = `M${corners.map((c) => c.join(' ')).join('L')}Z`;
    attr(sides, 'd', ring);
    attr(sides, 'stroke-width', 2 / view.scale);
    attr(shade, 'd', `M0 0H${box.width}V${box.height}H0Z${ring}`);
    corners.forEach(([x, y], i) => {
      buttons[i].style.transform = `translate(${x * view.scale + view.left}px, ${y * view.scale + view.top}px)`;
      buttons[i].classList.toggle('active', i === active);
    });
    const [x, y] = corners[active] ?? [0, 0];
    const scale = Math.max(GLASS * view.scale, 1);
    attr(glassImage, 'width', box.width * scale);
    attr(glassImage, 'height', box.height * scale);
    attr(glassImage, 'x', GLASS_PX / 2 - x * scale);
    attr(glassImage, 'y', GLASS_PX / 2 - y * scale);
    // In the corner of the stage that the hand is not in.
    const left = x * view.scale + view.left > size.width / 2;
    glass.style.left = left ? '12px' : 'auto';
    glass.style.right = left ? 'auto' : '12px';
  };
  const place = (i: number, x: number, y: number): void => {
    corners[i] = [Math.min(box.width, Math.max(0, x)), Math.min(box.height, Math.max(0, y))];
    draw();
  };
  const onKey = (event: KeyboardEvent, i: number): void => {
    const step = event.shiftKey ? LARGE_STEP_PX : STEP_PX;
    const by = ({ ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] } as const)[
      event.key as 'ArrowUp'
    ];
    if (!by) return;
    event.preventDefault();
    place(i, corners[i][0] + by[0], corners[i][1] + by[1]);
    say(`${Math.round(corners[i][0])}, ${Math.round(corners[i][1])}`);
  };
  const setView = (next: View): void => {
    view = next;
    draw();
  };
  let held = -1;
  listenForGestures(board, {
    pan: (dx, dy) => setView(panned(view, dx, dy, box, size)),
    zoom: (factor, at) => setView(zoomed(view, factor, at, box, size)),
    point: () => {},
    press: (at) => {
      const away = corners.map(([x, y]) =>
        Math.hypot(x * view.scale + view.left - at[0], y * view.scale + view.top - at[1]),
      );
      held = away.indexOf(Math.min(...away));
      if (away[held] > REACH_PX) held = -1;
      if (held >= 0) {
        active = held;
        buttons[held].focus();
        draw();
      }
      return held >= 0;
    },
    drag: (at) => held >= 0 && place(held, (at[0] - view.left) / view.scale, (at[1] - view.top) / view.scale),
    release: () => {
      held = -1;
    },
    abandon: () => {
      held = -1;
    },
  });
  new ResizeObserver(([{ contentRect }]) => {
    size = { width: contentRect.width, height: contentRect.height };
    for (const [name, value] of Object.entries(size)) attr(drawing, name, value);
    if (size.width > 0) setView(fitted(box, size));
  }).observe(board);
  root.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') leave();
  });
  store.subscribe((shown, before) => {
    const { desk } = shown;
    if (shown.screen !== 'outline' || before?.screen === 'outline' || !desk) return;
    const { reading } = stateNow(desk.history);
    const { picture, outline } = desk.history.work.readings[reading];
    const pixels = desk.images[reading]?.picture;
    if (!picture || !outline || !pixels) {
      leave();
      return;
    }
    box = { left: 0, top: 0, width: picture.fullWidth, height: picture.fullHeight };
    corners = outline.corners.map(([x, y]) => [x, y]);
    active = 0;
    buttons = corners.map((_, i) =>
      el('button', {
        type: 'button',
        class: 'corner',
        'aria-label': `Corner ${i + 1}${corners.length === NAMES.length ? `, ${NAMES[i]}` : ''}`,
        on: {
          keydown: (event) => onKey(event, i),
          focus: () => {
            active = i;
            draw();
          },
        },
      }),
    );
    handles.replaceChildren(...buttons);
    for (const element of [image, glassImage]) attr(element, 'href', addressOf(pixels));
    attr(image, 'width', box.width);
    attr(image, 'height', box.height);
    if (size.width > 0) setView(fitted(box, size));
    requestAnimationFrame(() => buttons[0]?.focus());
  });
  return { root };
}
