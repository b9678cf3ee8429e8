/** The picture with the pattern over it: drawing, panning and zooming, pointing. */
import { placeWords } from '../../report/words.ts';
import type { PatternPoint } from '../../types.ts';
import { creasesAtPlace, type Direction, nextPlace } from '../work/cursor.ts';
import { stateNow } from '../work/history.ts';
import { nearestCrease } from '../work/snap.ts';
import { fitted, panned, revealed, type Size, type View, zoomed } from '../work/view.ts';
import type { DeskState } from '../work/work.ts';
import { cardOf } from './card-model.ts';
import { attr, el, svg } from './el.ts';
import { boxOf, type Frame, frameOf, toPaper, toPattern } from './frame.ts';
import { listenForGestures } from './gestures.ts';
import { makeLayers } from './layers.ts';
import { marksOf, placeOfItem } from './marks.ts';
import type { Mending } from './mending.ts';
import type { Shown, Store } from './store.ts';
import { type Aim, makeTools, NO_AIM } from './tools.ts';
import { count } from './words.ts';

export interface Stage {
  readonly root: HTMLElement;
  readonly zoom: (factor: number) => void;
  readonly showWhole: () => void;
  readonly pan: (right: number, up: number) => void;
  readonly moveCursor: (direction: Direction) => void;
  /** The cursor jumps to the vertex after or before the one it is at. */
  readonly jump: (by: 1 | -1) => void;
  /** Selects the next of the creases at the cursor. */
  readonly turn: () => void;
  /** Takes hold at the cursor, or lets go there. */
  readonly press: () => void;
  readonly dropHeld: () => boolean;
  /** Puts the cursor where the selection is and shows it. */
  readonly goToSelection: () => void;
}

/** How near a finger or pointer must come, CSS px. */
const REACH_PX = 14;
/** Part of the stage by which a key pans. */
const PAN_SHARE = 0.15;
export function makeStage(store: Store, mending: Mending, say: (text: string) => void): Stage {
  const layers = makeLayers(() => drawSoon());
  const marks = svg('g', { class: 'marks' });
  const drawing = svg('svg', { 'aria-hidden': 'true' }, [layers.root, marks]);
  const root = el(
    'div',
    {
      class: 'stage',
      tabindex: 0,
      role: 'application',
      'aria-label': 'Picture and pattern. Arrow keys move the cursor; press the question mark for all keys.',
    },
    [drawing],
  );
  const tools = makeTools(store, mending, say);

  let view: View = { scale: 1, left: 0, top: 0 };
  let size: Size = { width: 0, height: 0 };
  let frame: Frame | null = null;
  let cursor: PatternPoint | null = null;
  let byKeys = false;
  let aim: Aim = NO_AIM;
  let waiting = false;

  const now = (): { shown: Shown; state: DeskState; frame: Frame } | null => {
    const shown = store.get();
    return shown.desk && frame ? { shown, state: stateNow(shown.desk.history), frame } : null;
  };
  const onScreen = (at: PatternPoint): readonly [number, number] => {
    const [x, y] = toPaper(frame!, at);
    return [x * view.scale + view.left, y * view.scale + view.top];
  };
  const atScreen = ([x, y]: readonly [number, number]): PatternPoint =>
    toPattern(frame!, [(x - view.left) / view.scale, (y - view.top) / view.scale]);
  const reach = () => REACH_PX / (view.scale * frame!.pxPerUnit);

  const draw = (): void => {
    waiting = false;
    const here = now();
    if (!here || size.width === 0) return;
    const { shown, state } = here;
    layers.draw(shown, state.pattern, here.frame, view);
    const broken = [...new Set(shown.desk!.laws.flatMap(({ vertex }) => (vertex === undefined ? [] : [vertex])))];
    const card = cardOf(shown);
    const onPattern = marksOf(
      {
        state,
        items: shown.desk!.items,
        brokenVertices: broken,
        selectedKey: shown.selection?.what === 'doubt' ? shown.selection.key : null,
        selectedCrease: card?.crease ?? null,
        cursor: byKeys ? cursor : null,
        snap: aim.snap,
        held: shown.held,
        hoveredCreases: aim.crease === null ? shown.hint : [aim.crease],
        hoveredVertex: aim.vertex,
      },
      onScreen,
    );
    marks.replaceChildren(...onPattern);
  };
  const drawSoon = (): void => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(draw);
  };
  const setView = (next: View): void => {
    view = next;
    drawSoon();
  };
  const showWhole = (): void => {
    if (frame && size.width > 0) setView(fitted(boxOf(frame), size));
  };
  const showPlace = (at: PatternPoint): void => {
    const here = now();
    if (here && size.width > 0) setView(revealed(view, toPaper(here.frame, at), size));
  };
  const aimAt = (at: PatternPoint | null): void => {
    const here = now();
    aim = here && at ? tools.aim(here.state, at, reach()) : NO_AIM;
    drawSoon();
  };

  new ResizeObserver(([{ contentRect }]) => {
    const first = size.width === 0;
    size = { width: contentRect.width, height: contentRect.height };
    for (const [name, value] of Object.entries(size)) attr(drawing, name, value);
    if (first || view.scale === 1) showWhole();
    else if (frame) setView(panned(view, 0, 0, boxOf(frame), size));
  }).observe(root);

  const pick = (at: PatternPoint): void => {
    const here = now();
    if (!here) return;
    const { state, shown } = here;
    const near = (p: PatternPoint) => Math.hypot(p[0] - at[0], p[1] - at[1]);
    const item = shown
      .desk!.items.filter((i) => !i.settled && !i.stakes.everything && near(placeOfItem(i, state)) <= reach() * 0.7)
      .sort((a, b) => near(placeOfItem(a, state)) - near(placeOfItem(b, state)))[0];
    const crease = nearestCrease(state.pattern, at, reach());
    if (item) mending.select({ what: 'doubt', key: item.key });
    else if (crease >= 0) mending.select({ what: 'crease', crease });
    cursor = at;
  };

  listenForGestures(root, {
    pan: (dx, dy) => frame && setView(panned(view, dx, dy, boxOf(frame), size)),
    zoom: (factor, at) => frame && setView(zoomed(view, factor, at, boxOf(frame), size)),
    point: (at) => {
      byKeys = false;
      aimAt(at && frame ? atScreen(at) : null);
    },
    press: (at) => {
      const here = now();
      byKeys = false;
      if (!here || here.shown.tool === 'look') return false;
      const begun = tools.take(here.state, atScreen(at), reach());
      aimAt(atScreen(at));
      return begun;
    },
    drag: (at) => aimAt(atScreen(at)),
    release: (at, still) => {
      const here = now();
      if (!here) return;
      if (here.shown.tool === 'look') {
        if (still) pick(atScreen(at));
        return;
      }
      // A finger that panned with a tool in hand did not mean to use it.
      if (here.shown.held || (here.shown.tool === 'erase' && still)) tools.put(here.state, atScreen(at), reach());
      aimAt(null);
    },
    abandon: () => {
      tools.drop();
      aimAt(null);
    },
  });
  root.addEventListener('focus', () => {
    if (!root.matches(':focus-visible')) return;
    byKeys = true;
    drawSoon();
  });
  root.addEventListener('blur', () => {
    byKeys = false;
    drawSoon();
  });

  const tellPlace = (state: DeskState, at: PatternPoint): void => {
    const own = creasesAtPlace(state.pattern, at).length;
    say(`${placeWords(at, state.pattern.lattice)}${own > 0 ? `, vertex with ${count(own, 'crease', 'creases')}` : ''}`);
  };
  const putCursor = (state: DeskState, at: PatternPoint): void => {
    cursor = at;
    byKeys = true;
    showPlace(at);
    aimAt(at);
    tellPlace(state, at);
  };
  const startOf = (state: DeskState): PatternPoint => {
    const card = cardOf(store.get());
    return cursor ?? card?.at ?? state.pattern.vertices[0];
  };

  store.subscribe((shown, before) => {
    const { desk } = shown;
    if (!desk) {
      frame = null;
      cursor = null;
      return;
    }
    const state = stateNow(desk.history);
    const oldDesk = before?.desk;
    const oldReading = oldDesk && stateNow(oldDesk.history).reading;
    const other = oldDesk?.history.work.id !== desk.history.work.id;
    if (other || oldReading !== state.reading) {
      frame = frameOf(desk.history.work.readings[state.reading]);
      layers.show(desk.images[state.reading]?.sheet ?? null);
      cursor = null;
      showWhole();
    }
    if (shown.tool !== before?.tool || desk !== oldDesk) aim = NO_AIM;
    attr(root, 'data-tool', shown.tool);
    if (shown.selection !== before?.selection && before?.desk) {
      const card = cardOf(shown);
      if (card && !card.whole && !other) showPlace(card.at);
    }
    drawSoon();
  });

  return {
    root,
    showWhole,
    zoom: (factor) => frame && setView(zoomed(view, factor, [size.width / 2, size.height / 2], boxOf(frame), size)),
    pan: (right, up) =>
      frame && setView(panned(view, -right * PAN_SHARE * size.width, up * PAN_SHARE * size.height, boxOf(frame), size)),
    moveCursor(direction) {
      const here = now();
      if (here) putCursor(here.state, nextPlace(here.state.pattern, startOf(here.state), direction));
    },
    jump(by) {
      const here = now();
      if (!here) return;
      const { vertices } = here.state.pattern;
      const at = startOf(here.state);
      const away = vertices.map(([x, y]) => Math.hypot(x - at[0], y - at[1]));
      const nearest = away.indexOf(Math.min(...away));
      const next = away[nearest] > 1e-6 ? nearest : (nearest + by + vertices.length) % vertices.length;
      putCursor(here.state, vertices[next]);
    },
    turn() {
      const here = now();
      if (!here) return;
      const own = creasesAtPlace(here.state.pattern, startOf(here.state));
      if (own.length === 0) return;
      const { selection } = here.shown;
      const at = selection?.what === 'crease' ? own.indexOf(selection.crease) : -1;
      mending.select({ what: 'crease', crease: own[(at + 1) % own.length] });
    },
    press() {
      const here = now();
      if (!here) return;
      const at = startOf(here.state);
      if (here.shown.tool === 'look') {
        pick(at);
        return;
      }
      if (here.shown.held || here.shown.tool === 'erase') tools.put(here.state, at, reach());
      else tools.take(here.state, at, reach());
      aimAt(at);
    },
    dropHeld() {
      if (!store.get().held) return false;
      tools.drop();
      aimAt(null);
      return true;
    },
    goToSelection() {
      const card = cardOf(store.get());
      const here = now();
      if (!card || !here) return;
      cursor = card.vertex !== null ? here.state.pattern.vertices[card.vertex] : card.at;
      showPlace(card.at);
    },
  };
}
