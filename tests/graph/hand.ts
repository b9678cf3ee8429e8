/** Strokes with known places, as the stages before would hand them over: one centre-line point a px, no picture behind them. */

import { NO_BEND } from '../../pipeline/geometry/bend.ts';
import { patternToPaper } from '../../pipeline/geometry/frames.ts';
import type { StrokeGraph } from '../../pipeline/graph/graph.ts';
import type { LatticeFit } from '../../pipeline/lattice/lattice.ts';
import type { Segment } from '../../pipeline/strokes/segments.ts';
import type { Strokes } from '../../pipeline/strokes/strokes.ts';
import type { Pattern, PatternPoint, Sheet } from '../../pipeline/types.ts';
import { sheetWith } from '../unit-sheet.ts';

/** A stroke from end to end, pattern units. */
export type Line = readonly [from: PatternPoint, to: PatternPoint];

export const line = (x0: number, y0: number, x1: number, y1: number): Line => [
  [x0, y0],
  [x1, y1],
];
/** Right across the unit square. */
export const upright = (x: number): Line => line(x, 0, x, 1);
export const level = (y: number): Line => line(0, y, 1, y);

/** Its four sides. */
export const SIDES: readonly Line[] = [level(0), level(1), upright(0), upright(1)];

export const PX_PER_UNIT = 800;
export const PX = 1 / PX_PER_UNIT;
const MARGIN_PX = 20;

/** A sheet that lies straight, with nothing on it. */
export const blankSheet = (polygon?: readonly PatternPoint[]): Sheet =>
  sheetWith(PX_PER_UNIT, MARGIN_PX, undefined, polygon);

/** Strokes along the lines, in order; each line one segment. */
export function strokesAlong(lines: readonly Line[], sheet: Sheet, strokeWidthPx = 3): Strokes {
  const x: number[] = [];
  const y: number[] = [];
  const angle: number[] = [];
  const segments = lines.map(([from, to]): Segment => {
    const [a, b] = [patternToPaper(sheet, from), patternToPaper(sheet, to)];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const turn = (Math.atan2(b[1] - a[1], b[0] - a[0]) + 2 * Math.PI) % Math.PI;
    const first = x.length;
    const count = Math.max(2, Math.round(length) + 1);
    for (let k = 0; k < count; k++) {
      const t = k / (count - 1);
      x.push(a[0] + t * (b[0] - a[0]));
      y.push(a[1] + t * (b[1] - a[1]));
      angle.push(turn);
    }
    const points = Int32Array.from({ length: count }, (_, k) => first + k);
    return { x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2, angle: turn, length, spread: 0, strength: 1, points };
  });
  const [width, height] = [sheet.width, sheet.height].map((side) => Math.round(side * PX_PER_UNIT) + 2 * MARGIN_PX);
  const at = new Int32Array(width * height).fill(-1);
  x.forEach((_, p) => {
    const [column, row] = [Math.floor(x[p]), Math.floor(y[p])];
    if (column >= 0 && row >= 0 && column < width && row < height) at[row * width + column] = p;
  });
  const ridges = {
    count: x.length,
    x: Float32Array.from(x),
    y: Float32Array.from(y),
    angle: Float32Array.from(angle),
    strength: new Float32Array(x.length).fill(1),
    at,
    width,
    height,
  };
  return { ridges, segments, strokeWidthPx };
}

/** The strokes taken as they were measured: no grid, no bend. */
export function noLattice(strokes: Strokes, sheet: Sheet): LatticeFit {
  const straight = strokes.segments.map((s) => ({
    x: (s.x - sheet.originPx[0]) / PX_PER_UNIT,
    y: (sheet.originPx[1] - s.y) / PX_PER_UNIT,
    angle: s.angle === 0 ? 0 : Math.PI - s.angle,
    length: s.length / PX_PER_UNIT,
  }));
  return { pitch: null, step: 0, bend: NO_BEND, spread: 0, straight };
}

/** The graph's pieces as creases, sides as edges and the rest undecided. */
export function patternOf({ vertices, pieces }: StrokeGraph): Pattern {
  return {
    vertices,
    exact: vertices.map(() => null),
    creases: pieces.map(({ from, to, border }) => ({ from, to, kind: border ? 'B' : 'U' })),
    lattice: null,
  };
}

/** Where the line through two points runs inside the unit square, or null; Liang & Barsky 1984. */
export function acrossSquare([ax, ay]: PatternPoint, angle: number): Line | null {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  let [low, high] = [-Infinity, Infinity];
  for (const [p, q] of [
    [-dx, ax],
    [dx, 1 - ax],
    [-dy, ay],
    [dy, 1 - ay],
  ]) {
    if (p === 0 && q < 0) return null;
    if (p < 0) low = Math.max(low, q / p);
    if (p > 0) high = Math.min(high, q / p);
  }
  if (high <= low) return null;
  return [
    [ax + low * dx, ay + low * dy],
    [ax + high * dx, ay + high * dy],
  ];
}

/** Where two segments cross, or null. */
export function crossingOf([a, b]: Line, [p, q]: Line): PatternPoint | null {
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], q[0] - p[0], q[1] - p[1]];
  const det = ux * vy - uy * vx;
  const s = ((p[0] - a[0]) * vy - (p[1] - a[1]) * vx) / det;
  const t = ((p[0] - a[0]) * uy - (p[1] - a[1]) * ux) / det;
  return s < 0 || s > 1 || t < 0 || t > 1 ? null : [a[0] + s * ux, a[1] + s * uy];
}

/** The line with its ends moved across it by `missA` and `missB`, and bent in its middle by `bow`: two strokes. */
export function waveringStroke([[ax, ay], [bx, by]]: Line, missA: number, missB: number, bow: number): Line[] {
  const length = Math.hypot(bx - ax, by - ay);
  const [nx, ny] = [(ay - by) / length, (bx - ax) / length];
  const from: PatternPoint = [ax + nx * missA, ay + ny * missA];
  const to: PatternPoint = [bx + nx * missB, by + ny * missB];
  const middle: PatternPoint = [(from[0] + to[0]) / 2 + nx * bow, (from[1] + to[1]) / 2 + ny * bow];
  return [
    [from, middle],
    [middle, to],
  ];
}
