import { type Bend, bendAt, bendTerms, NO_BEND, pullOfTerm, termCount } from '../geometry/bend.ts';
import { endsOf } from '../geometry/segment-ends.ts';
import type { Side } from '../geometry/sides.ts';
import { solveSymmetric } from '../geometry/solve.ts';
import { weightedMedian } from '../geometry/weighted-median.ts';
import { sideRows } from './side-rows.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Directions of the family lie so far apart, radians, and are so many. */
const EIGHTH = Math.PI / 8;
const DIRECTIONS = 8;
/** Shorter strokes say too little about their direction, pattern units; so long ones are fully trusted. */
const LEAST_LENGTH = 0.04;
const TRUSTED_LENGTH = 0.12;
/** So many of the directions are drawn, each by more than this share of the length: fewer leave a bend free where they run. */
const LEAST_DIRECTIONS = 6;
const DRAWN = 0.02;
/** The longest so many are asked: more would tell nothing new. */
const MOST_STROKES = 600;
/** Strokes farther outside the outline than this, pattern units, are no creases. */
const OUTSIDE = 0.01;
/** A bend of this degree is fitted to the strokes within `reach` of a direction, radians; later rounds are freer and stricter. */
const ROUNDS = [
  { degree: 2, reach: 0.12 },
  { degree: 3, reach: 0.09 },
  { degree: 3, reach: 0.06 },
  { degree: 4, reach: 0.045 },
  { degree: 5, reach: 0.03 },
  { degree: 5, reach: 0.03 },
];
/** So many strokes for each coefficient, or the bend stays stiffer. */
const STROKES_PER_COEFFICIENT = 1.5;
/** A stroke runs in a direction if it leaves it by less than this, radians, or its ends by less than so many px. */
const ON_DIRECTION = 0.006;
const ON_DIRECTION_PX = 0.8;
/**
 * Share of the length that must run in the family's directions once the bend is taken out, once one is that was fitted to other strokes, and how
 * much more that must be than ran in eight directions of the sheet's own before. By chance it is a tenth.
 */
const STRAIGHTENED = 0.8;
const FORETOLD = 0.7;
const GAIN = 0.2;
/** Parts of the strokes that are foretold from the others. Strokes of one line lie in bands of this width: what one of them tells of the next is no proof. */
const PARTS = 4;
const BAND = 0.03;
/** Sheets bend by less than this, pattern units. */
const MOST_BEND = 0.05;
/** Spread of a stroke's ends, px, and steps of the robust fit. */
const SPREAD_PX = 1;
const STEPS = 4;
/** The bend's pull towards none, a share of the rows' weight. */
const PULL = 1e-5;

/**
 * The bend of a sheet whose creases run at multiples of 22.5 degrees, as those do that come of halving a square's angles. On a bent sheet they
 * leave these directions, each as the sheet is bent where it lies; the smooth displacement that brings them back and leaves the sides where
 * they are is the bend. Straight lines alone would not tell it: places along the sides may be off and all lines straight.
 *
 * Null where the strokes run in eight directions already, and where the others do not foretell what brings a stroke back: a pattern of other angles
 * is not bent onto the family. `measured` are in the pattern frame without any bend; `px` is one paper px in pattern units.
 */
export function familyBend(measured: readonly StraightSegment[], sides: readonly Side[], px: number): Bend | null {
  const strokes = measured
    .filter(({ x, y, length }) => length >= LEAST_LENGTH && sides.every((s) => s.nx * x + s.ny * y - s.off > -OUTSIDE))
    .sort((a, b) => b.length - a.length)
    .slice(0, MOST_STROKES);
  if (countDirections(strokes) < LEAST_DIRECTIONS) return null;
  const before = shareOn(strokes, () => NO_BEND, px, usualTurns(strokes));
  const isEnough = (share: number) => share >= STRAIGHTENED && share >= before + GAIN;
  if (!isEnough(1)) return null;
  const bend = fitFrom(strokes, sides, px);
  const most = Math.max(...strokes.map(({ x, y }) => Math.hypot(...bendAt(bend, x, y))));
  if (most > MOST_BEND || !isEnough(shareOn(strokes, () => bend, px))) return null;
  const others = Array.from({ length: PARTS }, (_, part) =>
    fitFrom(
      strokes.filter((s) => partOf(s) !== part),
      sides,
      px,
    ),
  );
  return shareOn(strokes, (s) => others[partOf(s)], px) < FORETOLD ? null : bend;
}

/** The direction of the family that this one is nearest to, counted from 0, and the turn from it, radians. */
function nearest(angle: number): { k: number; turn: number } {
  const k = Math.round(angle / EIGHTH);
  return { k, turn: angle - k * EIGHTH };
}

/** Which part a stroke belongs to, by the band in which it lies. */
function partOf({ x, y, angle }: StraightSegment): number {
  const { k } = nearest(angle);
  const band = Math.floor((y * Math.cos(k * EIGHTH) - x * Math.sin(k * EIGHTH)) / BAND);
  return (((band + k) % PARTS) + PARTS) % PARTS;
}

/** How many directions of the family have a good share of the strokes nearest to them. */
function countDirections(strokes: readonly StraightSegment[]): number {
  const lengths = new Float64Array(DIRECTIONS);
  for (const { angle, length } of strokes) lengths[nearest(angle).k % DIRECTIONS] += length;
  const all = lengths.reduce((sum, length) => sum + length, 0);
  return lengths.filter((length) => length > DRAWN * all).length;
}

/** How the strokes near each direction are turned from it in the middle: on a flat sheet a pattern has directions of its own. */
function usualTurns(strokes: readonly StraightSegment[]): number[] {
  return Array.from({ length: DIRECTIONS }, (_, d) => {
    const own = strokes.flatMap(({ angle, length }) => {
      const { k, turn } = nearest(angle);
      return k % DIRECTIONS === d ? [{ value: turn, weight: length }] : [];
    });
    return own.length > 0 ? weightedMedian(own) : 0;
  });
}

/** Share of the length that runs in the family's directions, or ones turned from them, each stroke once its bend is taken out. */
function shareOn(
  strokes: readonly StraightSegment[],
  bendOf: (s: StraightSegment) => Bend,
  px: number,
  turns: readonly number[] = new Array(DIRECTIONS).fill(0),
): number {
  let on = 0;
  let all = 0;
  for (const s of strokes) {
    const { k, turn } = nearest(angleOf(s, bendOf(s)));
    const off = Math.abs(turn - turns[k % DIRECTIONS]);
    all += s.length;
    if (off < Math.max(ON_DIRECTION, (2 * ON_DIRECTION_PX * px) / s.length)) on += s.length;
  }
  return on / Math.max(all, 1e-9);
}

/** Direction of a stroke once the bend is taken out, radians in [0, pi]. */
function angleOf(s: StraightSegment, bend: Bend): number {
  const [[ax, ay], [bx, by]] = endsOf(s);
  const [p, q] = [bendAt(bend, ax, ay), bendAt(bend, bx, by)];
  const angle = Math.atan2(by + q[1] - ay - p[1], bx + q[0] - ax - p[0]);
  return angle < 0 ? angle + Math.PI : angle;
}

/** Asks the coefficients of a bend, first those of x, to come to `off` together. */
interface Row {
  readonly by: Float64Array;
  readonly off: number;
  readonly weight: number;
}

function fitFrom(strokes: readonly StraightSegment[], sides: readonly Side[], px: number): Bend {
  let bend = NO_BEND;
  for (const { degree, reach } of ROUNDS) {
    const rows = strokes.flatMap((s) => {
      const { k, turn } = nearest(angleOf(s, bend));
      return Math.abs(turn) < reach ? [directionRow(s, k * EIGHTH, degree)] : [];
    });
    if (rows.length < STROKES_PER_COEFFICIENT * 2 * termCount(degree)) break;
    for (const side of sides) rows.push(...keepSide(side, degree));
    bend = solve(rows, degree, SPREAD_PX * px) ?? bend;
  }
  return bend;
}

/** Asks both ends of a stroke to lie equally far to the left of the direction. */
function directionRow(s: StraightSegment, direction: number, degree: number): Row {
  const [[ax, ay], [bx, by]] = endsOf(s);
  const [nx, ny] = [-Math.sin(direction), Math.cos(direction)];
  const end = along(bx, by, nx, ny, degree);
  return {
    by: along(ax, ay, nx, ny, degree).map((v, i) => end[i] - v),
    off: nx * (ax - bx) + ny * (ay - by),
    weight: Math.min(1, s.length / TRUSTED_LENGTH),
  };
}

function keepSide(side: Side, degree: number): Row[] {
  return sideRows(side).map(([x, y, nx, ny, off, weight]) => ({ by: along(x, y, nx, ny, degree), off, weight }));
}

/** What each coefficient moves the place (x, y) along (nx, ny). */
function along(x: number, y: number, nx: number, ny: number, degree: number): Float64Array {
  const m = termCount(degree);
  const by = new Float64Array(2 * m);
  bendTerms(degree, x, y, by);
  for (let i = 0; i < m; i++) {
    by[m + i] = ny * by[i];
    by[i] *= nx;
  }
  return by;
}

/** Robust least squares: iterated, Cauchy weights. */
function solve(rows: readonly Row[], degree: number, spread: number): Bend | null {
  const m = termCount(degree);
  const size = 2 * m;
  let solution = new Float64Array(size);
  for (let step = 0; step < STEPS; step++) {
    const a = new Float64Array(size * size);
    const b = new Float64Array(size);
    let total = 0;
    for (const { by, off, weight } of rows) {
      const got = by.reduce((sum, v, i) => sum + v * solution[i], 0);
      const w = step === 0 ? weight : weight / (1 + ((off - got) / spread) ** 2);
      total += w;
      for (let i = 0; i < size; i++) {
        b[i] += w * by[i] * off;
        for (let j = 0; j <= i; j++) a[i * size + j] += w * by[i] * by[j];
      }
    }
    for (let i = 0; i < size; i++) a[i * size + i] += PULL * total * pullOfTerm(degree, i % m) + 1e-12;
    const next = solveSymmetric(a, b);
    if (!next) return null;
    solution = Float64Array.from(next);
  }
  return { degree, x: solution.slice(0, m), y: solution.slice(m) };
}
