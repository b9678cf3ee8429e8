import {
  addExact,
  divExact,
  EXACT_ONE,
  EXACT_ZERO,
  equalExact,
  mulExact,
  negExact,
  subExact,
} from '../geometry/exact.ts';
import type { Exact, ExactPoint, Pattern } from '../types.ts';

/** x' = m0·x + m1·y + m2, y' = m3·x + m4·y + m5, in exact numbers. */
export type ExactIsometry = readonly [Exact, Exact, Exact, Exact, Exact, Exact];

export const EXACT_IDENTITY: ExactIsometry = [EXACT_ONE, EXACT_ZERO, EXACT_ZERO, EXACT_ZERO, EXACT_ONE, EXACT_ZERO];

/**
 * Isometry of the face beyond a crease, given that of the face before it; null where something is not exact, mixes
 * roots, or grows beyond safe integers.
 */
export function reflectExactly(pattern: Pattern, crease: number, before: ExactIsometry | null): ExactIsometry | null {
  const { from, to } = pattern.creases[crease];
  const [p, q] = [pattern.exact[from], pattern.exact[to]];
  if (!before || !p || !q) return null;
  return orNull(() => {
    const [dx, dy] = [subExact(q[0], p[0]), subExact(q[1], p[1])];
    const [xx, yy] = [mulExact(dx, dx), mulExact(dy, dy)];
    const square = addExact(xx, yy);
    const cos = divExact(subExact(xx, yy), square);
    const xy = mulExact(dx, dy);
    const sin = divExact(addExact(xy, xy), square);
    const fixed = imageOf(before, p);
    const row = (a: Exact, b: Exact, fixedAt: Exact): [Exact, Exact, Exact] => {
      const u = addExact(mulExact(a, cos), mulExact(b, sin));
      const v = subExact(mulExact(a, sin), mulExact(b, cos));
      const rest = negExact(addExact(mulExact(u, p[0]), mulExact(v, p[1])));
      return [u, v, addExact(fixedAt, rest)];
    };
    return [...row(before[0], before[1], fixed[0]), ...row(before[3], before[4], fixed[1])];
  });
}

/** Image of a point; null where it mixes roots or grows beyond safe integers. */
export function exactImage(m: ExactIsometry, point: ExactPoint): ExactPoint | null {
  return orNull(() => imageOf(m, point));
}

function imageOf(m: ExactIsometry, [x, y]: ExactPoint): ExactPoint {
  const along = (a: Exact, b: Exact, c: Exact): Exact => addExact(addExact(mulExact(a, x), mulExact(b, y)), c);
  return [along(m[0], m[1], m[2]), along(m[3], m[4], m[5])];
}

/** Overflow and mixed roots are both RangeErrors: the caller goes on in double precision. */
function orNull<T>(compute: () => T): T | null {
  try {
    return compute();
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

export function sameExactPoint(a: ExactPoint, b: ExactPoint): boolean {
  return equalExact(a[0], b[0]) && equalExact(a[1], b[1]);
}
