import type { Pattern } from '../../pipeline/types.ts';
import type { Convention, Ink } from './convention.ts';
import type { HandMark, Mark, Placement } from './drawing.ts';
import { placed } from './drawing.ts';
import { roughNoise } from './light.ts';
import { inkFor, straightRuns } from './page.ts';
import { dashRuns } from './paintRoute.ts';
import type { Random } from './random.ts';

/** A hand with its tool. Lengths in shares of a short crease unless a name says otherwise, so that a dense drawing is drawn with more care. */
export interface Pen {
  readonly name: 'pencil' | 'coloured-pencil' | 'ballpoint' | 'felt-tip';
  readonly ruler: boolean;
  /** Largest bow of a freehand line. */
  readonly wobble: number;
  /** Spread of where lines begin and end, across and along. */
  readonly missAcross: number;
  readonly missAlong: number;
  /** Lines run past their ends by this on average; negative: they stop short. */
  readonly overshoot: number;
  /** Spread of width and of darkness along a stroke, shares. */
  readonly uneven: number;
  readonly darkness: number;
  /** Share of ink that the paper's tooth keeps out, 0..1. */
  readonly grain: number;
  /** Share of strokes drawn a second time. */
  readonly again: number;
  /** Wrong lines rubbed out. */
  readonly ghosts: number;
  /** Whole lines in one pull, or crease by crease. */
  readonly byRun: boolean;
}

export function drawPen(random: Random, wide: boolean): Pen {
  const name = random.weigh<Pen['name']>([
    ['pencil', 4],
    ['coloured-pencil', 3],
    ['ballpoint', 3],
    ['felt-tip', 2],
  ]);
  const soft = name === 'pencil' || name === 'coloured-pencil';
  const ruler = random.chance(0.5);
  return {
    name,
    ruler,
    wobble: ruler ? random.range(0, 0.012) : random.range(0.02, wide ? 0.085 : 0.07),
    missAcross: ruler ? random.range(0.006, 0.03) : random.range(0.012, wide ? 0.06 : 0.05),
    missAlong: random.range(0.01, 0.06),
    overshoot: random.weigh([
      [random.range(0.02, 0.14), 5],
      [0, 3],
      [random.range(-0.08, -0.02), 2],
    ]),
    uneven: soft ? random.range(0.12, 0.35) : random.range(0.04, 0.16),
    darkness: name === 'pencil' ? random.range(0.6, 0.95) : soft ? random.range(0.75, 1) : random.range(0.85, 1),
    grain: soft ? random.range(0.2, 0.55) : random.range(0, 0.15),
    again: ruler ? 0.02 : random.range(0, 0.12),
    ghosts: name === 'pencil' && random.chance(0.35) ? random.int(1, 5) : 0,
    byRun: random.chance(0.7),
  };
}

/** Point spacing along a stroke, page px. */
const SPACING = 6;

/** All creases by hand. `shortPx` is the length of a short crease on the page: it sets how careful the hand is. */
export function handMarks(
  random: Random,
  pattern: Pattern,
  convention: Convention,
  at: Placement,
  pen: Pen,
  pagePx: number,
  shortPx: number,
): Mark[] {
  const strokes = pen.byRun ? straightRuns(pattern) : [...pattern.creases];
  const marks: Mark[] = [];
  for (let i = 0; i < pen.ghosts; i++) marks.push(ghost(random, pattern, convention, at, pen, pagePx, shortPx));
  for (const { from, to, kind } of strokes) {
    const ink = inkFor(convention, kind);
    if (!ink) continue;
    const a = placed(at, pattern.vertices[from][0], pattern.vertices[from][1]);
    const b = placed(at, pattern.vertices[to][0], pattern.vertices[to][1]);
    marks.push(...pulls(random, a, b, ink, pen, pagePx, shortPx, pen.darkness));
    if (ink.dash.length === 0 && random.chance(pen.again)) {
      marks.push(...pulls(random, a, b, ink, pen, pagePx, shortPx, 0.7 * pen.darkness));
    }
  }
  return marks;
}

/** One line: where the hand went, cut into dashes if the ink has a rhythm. */
function pulls(
  random: Random,
  a: readonly [number, number],
  b: readonly [number, number],
  ink: Ink,
  pen: Pen,
  pagePx: number,
  shortPx: number,
  darkness: number,
): HandMark[] {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [ux, uy] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  const miss = (): number => random.normal() * pen.missAcross * shortPx;
  const [missA, missB] = [miss(), miss()];
  const beyond = (): number => (pen.overshoot + random.normal() * pen.missAlong) * shortPx;
  const [start, end] = [-beyond(), length + beyond()];
  const seed = random.int(1, 1 << 30);
  // A hand drifts over some centimetres and trembles over some millimetres.
  const [drift, tremble] = [random.range(0.15, 0.4) / shortPx, 2.2 / shortPx];
  const line: number[] = [];
  const steps = Math.max(2, Math.ceil((end - start) / SPACING));
  for (let i = 0; i <= steps; i++) {
    const s = start + ((end - start) * i) / steps;
    const t = Math.min(1, Math.max(0, s / length));
    const bow =
      roughNoise(s * drift, 0.5, seed, 2) -
      (roughNoise(0, 0.5, seed, 2) * (1 - t) + roughNoise(length * drift, 0.5, seed, 2) * t);
    const shake = 0.25 * roughNoise(s * tremble, 3.5, seed + 7, 2);
    const across = missA * (1 - t) + missB * t + pen.wobble * shortPx * (bow + shake);
    line.push(a[0] + ux * s - uy * across, a[1] + uy * s + ux * across);
  }
  const dash = ink.dash.map((part) => part * pagePx * random.range(0.85, 1.2));
  const offset = dash.length > 0 ? random.range(0, dash[0] * 0.3) : 0;
  return dashRuns(line, dash, offset).map((points) => pressed(random, points, ink, pen, pagePx, darkness));
}

/** Width and darkness along a stroke: pressure wanders, and lifts at the ends. */
function pressed(random: Random, points: number[], ink: Ink, pen: Pen, pagePx: number, darkness: number): HandMark {
  const count = points.length / 2;
  const seed = random.int(1, 1 << 30);
  const force = 1 + random.normal() * pen.uneven * 0.4;
  const widths: number[] = [];
  const opacities: number[] = [];
  for (let i = 0; i < count; i++) {
    const fromEnd = Math.min(i, count - 1 - i) * SPACING;
    const lift = Math.min(1, 0.7 + fromEnd / (8 * ink.width * pagePx + 1));
    const wander = 1 + pen.uneven * roughNoise(i * SPACING * 0.012, 0.5, seed, 3);
    widths.push(Math.max(0.6, ink.width * pagePx * lift * wander));
    opacities.push(Math.min(1, Math.max(0.15, darkness * force * lift * wander)));
  }
  return { mark: 'hand', points, widths, opacities, colour: ink.colour };
}

/** A line that was wrong and rubbed out, not quite. */
function ghost(
  random: Random,
  pattern: Pattern,
  convention: Convention,
  at: Placement,
  pen: Pen,
  pagePx: number,
  shortPx: number,
): HandMark {
  const pickPoint = (): [number, number] => {
    const [x, y] = random.pick(pattern.vertices);
    return placed(at, x, y);
  };
  const [ax, ay] = pickPoint();
  const turn = random.pick([0, 0.25, 0.5, 0.75]) * Math.PI;
  const length = shortPx * random.range(0.8, 2.5);
  const [left, top] = placed(at, 0, 1);
  const [right, bottom] = placed(at, 1, 0);
  const bx = Math.min(right, Math.max(left, ax + length * Math.cos(turn)));
  const by = Math.min(bottom, Math.max(top, ay + length * Math.sin(turn)));
  const b: [number, number] = bx === ax && by === ay ? [ax + 1, ay] : [bx, by];
  const faint = random.range(0.06, 0.16);
  const [mark] = pulls(random, [ax, ay], b, { ...convention.mountain, dash: [] }, pen, pagePx, shortPx, faint);
  return { ...mark, opacities: mark.opacities.map(() => faint) };
}
