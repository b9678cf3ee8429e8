/** Straight lines with exact coefficients: where they run, where they cross. */
import { addExact, divExact, EXACT_ONE, EXACT_ZERO, exact, mulExact, subExact, toNumber } from '../geometry/exact.ts';
import type { Exact, ExactPoint } from '../types.ts';

/** a·x + b·y = c, with b = 1, or b = 0 and a = 1: the same line always has the same numbers. */
export interface ExactLine {
  readonly a: Exact;
  readonly b: Exact;
  readonly c: Exact;
}

/** Larger numerators or denominators than this come of no construction that a person folds. */
const LARGEST_NUMBER = 200_000;

const NO_SLOPE: readonly [Exact, Exact] = [EXACT_ZERO, EXACT_ONE];
const UPRIGHT: readonly [Exact, Exact] = [EXACT_ONE, EXACT_ZERO];
const slope = (rise: Exact): readonly [Exact, Exact] => [subExact(EXACT_ZERO, rise), EXACT_ONE];
/** tan 22.5° = √2 - 1 and tan 67.5° = √2 + 1. */
const [TAN_22, TAN_67] = [exact(-1, 1, 1), exact(1, 1, 1)];
/** tan 30° = √3 / 3 and tan 60° = √3. */
const [TAN_30, TAN_60] = [exact(0, 3, 1, 3), exact(0, 1, 1, 3)];
const minus = (e: Exact): Exact => subExact(EXACT_ZERO, e);

/** Normals (a, b) of the directions at multiples of 22.5 degrees, from 0 up. */
export const NORMALS_22: readonly (readonly [Exact, Exact])[] = [
  NO_SLOPE,
  slope(TAN_22),
  slope(EXACT_ONE),
  slope(TAN_67),
  UPRIGHT,
  slope(minus(TAN_67)),
  slope(minus(EXACT_ONE)),
  slope(minus(TAN_22)),
];
/** Normals of the directions at multiples of 30 degrees, from 0 up. */
export const NORMALS_30: readonly (readonly [Exact, Exact])[] = [
  NO_SLOPE,
  slope(TAN_30),
  slope(TAN_60),
  UPRIGHT,
  slope(minus(TAN_60)),
  slope(minus(TAN_30)),
];

/** Nothing exact can be said where numbers outgrow what is exact, or √2 meets √3. */
function orNull<T>(work: () => T): T | null {
  try {
    return work();
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function small(e: Exact): boolean {
  return Math.abs(e.p) <= LARGEST_NUMBER && Math.abs(e.r) <= LARGEST_NUMBER && e.q <= LARGEST_NUMBER;
}

/** The line with a normal as above through a point. */
export function lineThrough([x, y]: ExactPoint, [a, b]: readonly [Exact, Exact]): ExactLine | null {
  return orNull(() => {
    const c = addExact(mulExact(a, x), mulExact(b, y));
    return small(c) ? { a, b, c } : null;
  });
}

/** The line through two points; null where they are one. */
export function lineOf(p: ExactPoint, q: ExactPoint): ExactLine | null {
  return orNull(() => {
    const dx = subExact(q[0], p[0]);
    const dy = subExact(q[1], p[1]);
    if (dx.p === 0 && dx.r === 0) return dy.p === 0 && dy.r === 0 ? null : lineThrough(p, UPRIGHT);
    return lineThrough(p, slope(divExact(dy, dx)));
  });
}

/** Where two lines cross; null for parallels. */
export function crossingOf(l: ExactLine, m: ExactLine): ExactPoint | null {
  return orNull(() => {
    const det = subExact(mulExact(l.a, m.b), mulExact(m.a, l.b));
    if (det.p === 0 && det.r === 0) return null;
    const x = divExact(subExact(mulExact(l.c, m.b), mulExact(m.c, l.b)), det);
    const y = divExact(subExact(mulExact(l.a, m.c), mulExact(m.a, l.c)), det);
    return small(x) && small(y) ? ([x, y] as const) : null;
  });
}

export function isOn(line: ExactLine, [x, y]: ExactPoint): boolean {
  return (
    orNull(() => {
      const d = subExact(addExact(mulExact(line.a, x), mulExact(line.b, y)), line.c);
      return d.p === 0 && d.r === 0;
    }) ?? false
  );
}

/** A line as floats with a unit normal: nx·x + ny·y = off. */
export function floatLine({ a, b, c }: ExactLine): { nx: number; ny: number; off: number } {
  const [fa, fb] = [toNumber(a), toNumber(b)];
  const size = Math.hypot(fa, fb);
  return { nx: fa / size, ny: fb / size, off: toNumber(c) / size };
}

function keyOf(e: Exact): string {
  return e.r === 0 ? `${e.p}/${e.q}` : `${e.p},${e.r}.${e.root}/${e.q}`;
}

export function pointKey(p: ExactPoint): string {
  return `${keyOf(p[0])} ${keyOf(p[1])}`;
}

export function lineKey(l: ExactLine): string {
  return `${keyOf(l.a)} ${keyOf(l.b)} ${keyOf(l.c)}`;
}
