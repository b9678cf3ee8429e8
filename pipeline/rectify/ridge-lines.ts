/**
 * Folds from corner to corner, which no side shows: all four stay straight. Lines on the sheet that cross such a fold are seen with a kink there, all of them, and two
 * planes fitted to some of them must straighten the others.
 */
import { apply, type Homography, inverse } from '../geometry/homography.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';
import type { RidgeGuess } from './ridge.ts';
import { type RidgedView, viewOf } from './ridged-view.ts';
import { ridgedViews, type SeenSheet } from './sheet-view.ts';
import { straysOn } from './straightness.ts';

/** So many lines must have a kink at the fold, and this share of those that cross it. */
const FEWEST_LINES = 3;
const LEAST_SHARE = 0.4;
/** A line crosses the fold if it goes on for so long on either side, pattern units, and was seen at so many places there. */
const GOES_ON = 0.08;
const FEWEST_POINTS = 2;
/** A kink is seen where the line leaves the straight one by this at least, pattern units, and two pieces leave at most this share of what one does, mean square. */
const LEAST_HEIGHT = 0.0012;
const CLEARER = 0.4;
/** The planes must leave this share at most of the crookedness of lines that they were not fitted to. */
const FORETOLD = 0.6;
/** Planes turned less than this are one, radians: a degree. */
const LEAST_TURN = 0.0175;

type Line = readonly PicturePoint[];

/** Two planes that meet in a diagonal of a four-sided sheet, where the lines show them; null for others. `flat` is the sheet's homography. */
export function diagonalFold(sheet: SeenSheet, lines: readonly Line[], flat: Homography): RidgedView | null {
  if (sheet.polygon.length !== 4 || lines.length < FEWEST_LINES) return null;
  const back = inverse(flat);
  const onSheet = lines.map((line) => line.map((p): PatternPoint => apply(back, p)));
  for (const guess of [
    [0, 2],
    [1, 3],
  ] as const) {
    const [a, b] = [sheet.polygon[guess[0]], sheet.polygon[guess[1]]];
    const crossing = lines.filter((_, i) => crossesAt(onSheet[i], a, b) !== null);
    const kinked = lines.filter((_, i) => isKinked(onSheet[i], a, b));
    if (kinked.length < FEWEST_LINES || kinked.length < LEAST_SHARE * crossing.length) continue;
    const view = foretold(sheet, guess, crossing, flat);
    if (view) return view;
  }
  return null;
}

/** The planes fitted to all lines, if fitted to either half of them they straighten the other. */
function foretold(sheet: SeenSheet, guess: RidgeGuess, lines: readonly Line[], flat: Homography): RidgedView | null {
  const before = straysOn((p) => apply(flat, p), flat, lines);
  let [left, was] = [0, 0];
  for (const half of [0, 1]) {
    const [others] = ridgedViews(
      sheet,
      [guess],
      lines.filter((_, i) => i % 2 !== half),
    );
    if (!others) return null;
    straysOn(viewOf(others).toPicture, flat, lines).forEach((stray, i) => {
      if (i % 2 !== half) return;
      left += stray;
      was += before[i];
    });
  }
  const [all] = left < FORETOLD * was ? ridgedViews(sheet, [guess], lines) : [];
  const view = all && viewOf(all);
  return view && Math.abs(view.turnRad) > LEAST_TURN ? view : null;
}

/** Distances along the line, from its first point, of its points and of where it crosses the way from a to b; null where it does not. */
function crossesAt(line: readonly PatternPoint[], a: PatternPoint, b: PatternPoint): number | null {
  const side = ([x, y]: PatternPoint): number => (x - a[0]) * (b[1] - a[1]) - (y - a[1]) * (b[0] - a[0]);
  const [p, q] = [line[0], line[line.length - 1]];
  const [sp, sq] = [side(p), side(q)];
  if (sp * sq >= 0) return null;
  const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
  const at = (length * sp) / (sp - sq);
  if (at < GOES_ON || at > length - GOES_ON) return null;
  const before = line.filter((point) => side(point) * sp > 0).length;
  return before >= FEWEST_POINTS && line.length - before >= FEWEST_POINTS ? at : null;
}

/** Whether the line has a kink where it crosses the way from a to b: how far its points are off the straight line, against off c0 + c1 t + c2 |t - t0|. */
function isKinked(line: readonly PatternPoint[], a: PatternPoint, b: PatternPoint): boolean {
  const at = crossesAt(line, a, b);
  if (at === null) return false;
  const [p, q] = [line[0], line[line.length - 1]];
  const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
  const [ux, uy] = [(q[0] - p[0]) / length, (q[1] - p[1]) / length];
  const ts = line.map(([x, y]) => (x - p[0]) * ux + (y - p[1]) * uy);
  const offs = line.map(([x, y]) => -(x - p[0]) * uy + (y - p[1]) * ux);
  // What is left of both once a straight line is taken out: the kink's size is the slope between them.
  const straight = withoutLine(ts, offs);
  const tent = withoutLine(
    ts,
    ts.map((t) => Math.abs(t - at)),
  );
  const tentSquare = sumOf(tent, tent);
  const size = tentSquare > 0 ? sumOf(tent, straight) / tentSquare : 0;
  const left = straight.map((v, i) => v - size * tent[i]);
  const height = (2 * Math.abs(size) * at * (length - at)) / length;
  return height > LEAST_HEIGHT && sumOf(left, left) < CLEARER * sumOf(straight, straight);
}

/** What is left of the values once the straight line through them is taken out (least squares). */
function withoutLine(ts: readonly number[], values: readonly number[]): number[] {
  const mean = (of: readonly number[]): number => of.reduce((sum, v) => sum + v, 0) / of.length;
  const [mt, mv] = [mean(ts), mean(values)];
  const [dt, dv] = [ts.map((t) => t - mt), values.map((v) => v - mv)];
  const slope = sumOf(dt, dv) / (sumOf(dt, dt) || 1);
  return dv.map((v, i) => v - slope * dt[i]);
}

function sumOf(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, v, i) => sum + v * b[i], 0);
}
