import type { Pattern, PatternPoint } from '../../types.ts';
import { stateNow } from '../work/history.ts';
import type { DeskState } from '../work/work.ts';
import type { Card } from './card-model.ts';
import { svg } from './el.ts';
import { closeUp, type Frame, frameOf, toPaper } from './frame.ts';
import { addressOf } from './images.ts';
import { makeLines } from './lines.ts';
import type { Deskful } from './store.ts';

/** Width to height of the cut-out. */
const ASPECT = 1.7;
/** Size it is drawn for, CSS px; only line widths depend on it. */
const WIDTH_PX = 340;

/** The picture around the thing in question at large; the lines alone where there is no picture. */
export function cutOut({ history, images }: Deskful, card: Card): SVGSVGElement {
  const state = stateNow(history);
  const frame = frameOf(history.work.readings[state.reading]);
  const half = card.whole ? frame.heightPx / 2 : halfHeight(state, card) * frame.pxPerUnit;
  const [x, y] = card.whole ? [frame.widthPx / 2, half] : toPaper(frame, card.at);
  const pixels = images[state.reading]?.sheet;
  const scale = WIDTH_PX / (2 * half * ASPECT);
  const lines = makeLines();
  if (!pixels) lines.draw(around(state.pattern, card.at, (half * ASPECT) / frame.pxPerUnit), frame, scale);
  const px = 1 / scale;
  const box = [x - half * ASPECT, y - half, 2 * half * ASPECT, 2 * half];
  return svg(
    'svg',
    {
      class: 'cut-out',
      viewBox: box.map((value) => value.toFixed(2)).join(' '),
      role: 'img',
      'aria-label': pixels ? 'The picture here, at large' : 'The pattern here, at large',
      preserveAspectRatio: card.whole ? 'xMidYMid meet' : 'xMidYMid slice',
    },
    [
      svg('rect', { class: 'paper', width: frame.widthPx, height: frame.heightPx }),
      pixels
        ? svg('image', {
            href: addressOf(pixels),
            width: frame.widthPx,
            height: frame.heightPx,
            preserveAspectRatio: 'none',
          })
        : lines.root,
      ...pointers(state, frame, card, px),
    ],
  );
}

/** The pattern without the creases that lie altogether beside a place. */
function around(pattern: Pattern, [x, y]: PatternPoint, reach: number): Pattern {
  const creases = pattern.creases.filter(({ from, to }) => {
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    const outside = (p: number, q: number, at: number) => Math.max(p, q) < at - reach || Math.min(p, q) > at + reach;
    return !outside(a[0], b[0], x) && !outside(a[1], b[1], y);
  });
  return { ...pattern, creases };
}

/** A long crease is seen whole; a short one with what lies around it. */
function halfHeight(state: DeskState, { crease }: Card): number {
  const usual = closeUp(state);
  if (crease === null) return usual;
  const { from, to } = state.pattern.creases[crease];
  const [a, b] = [state.pattern.vertices[from], state.pattern.vertices[to]];
  const [across, up] = [Math.abs(b[0] - a[0]), Math.abs(b[1] - a[1])];
  return Math.max(usual, Math.min(2.5 * usual, 0.62 * Math.max(across / ASPECT, up)));
}

/** Beside the crease, not over it: the ink in question must stay visible. */
function pointers(state: DeskState, frame: Frame, { crease, at, whole }: Card, px: number): SVGElement[] {
  if (whole) return [];
  if (crease === null) {
    const [x, y] = toPaper(frame, at);
    return ['under', 'over'].map((name) =>
      svg('circle', {
        class: `pointer ${name}`,
        cx: x,
        cy: y,
        r: 34 * px,
        'stroke-width': (name === 'under' ? 5 : 2) * px,
      }),
    );
  }
  const { from, to } = state.pattern.creases[crease];
  const [a, b] = [from, to].map((v) => toPaper(frame, state.pattern.vertices[v]));
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [nx, ny] = [(-(b[1] - a[1]) / length) * 13 * px, ((b[0] - a[0]) / length) * 13 * px];
  const d = [1, -1]
    .map((side) => `M${a[0] + side * nx} ${a[1] + side * ny}L${b[0] + side * nx} ${b[1] + side * ny}`)
    .join('');
  return ['under', 'over'].map((name) =>
    svg('path', { class: `pointer ${name}`, d, 'stroke-width': (name === 'under' ? 5 : 2) * px }),
  );
}
