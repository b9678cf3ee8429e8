/** Lines to fold along, and exact isometries: the algebra under simulated folding. */
import { addExact, ExactOverflowError, mulExact, negExact, subExact, toNumber } from '../../pipeline/geometry/exact.ts';
import type { Exact, ExactPoint } from '../../pipeline/types.ts';

/** a·x + b·y = c; the side a·x + b·y > c moves when the line is folded. Exact coefficients where the line has them. */
export interface FoldLine {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly exact: readonly [a: Exact, b: Exact, c: Exact] | null;
}
/** (m0 x + m1 y, m2 x + m3 y) + t. */
export interface ExactIsometry {
  readonly m: readonly [Exact, Exact, Exact, Exact];
  readonly t: ExactPoint;
}

/** The value, or null where it has no small exact form. */
export function tryExact<T>(make: () => T): T | null {
  try {
    return make();
  } catch (error) {
    if (error instanceof ExactOverflowError) return null;
    throw error;
  }
}

/** a·x + b·y. */
export function dotExact(a: Exact, x: Exact, b: Exact, y: Exact): Exact {
  return addExact(mulExact(a, x), mulExact(b, y));
}

/** The line as seen on the sheet, through the face's isometry: exact coefficients. */
export function lineOnPaper(line: FoldLine, place: ExactIsometry): readonly [Exact, Exact, Exact] {
  const [a, b, c] = line.exact!;
  const { m, t } = place;
  return [dotExact(a, m[0], b, m[2]), dotExact(a, m[1], b, m[3]), subExact(c, dotExact(a, t[0], b, t[1]))];
}

/** A line through two exact numbers of direction and offset, as a FoldLine. */
export function exactLine(a: Exact, b: Exact, c: Exact): FoldLine {
  return { a: toNumber(a), b: toNumber(b), c: toNumber(c), exact: [a, b, c] };
}

/** The same line with the other side moving. */
export function otherSide(line: FoldLine): FoldLine {
  const e = line.exact;
  return {
    a: -line.a,
    b: -line.b,
    c: -line.c,
    exact: e ? [negExact(e[0]), negExact(e[1]), negExact(e[2])] : null,
  };
}
