import type { Exact, ExactPoint, Lattice } from '../../pipeline/types.ts';

/** More divisions than this are no grid that anyone would draw. */
const MOST_DIVISIONS = 64;

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

/** A square lattice of given divisions; says whether some vertex lies between its lines. Unit: 1 / the larger number. */
export function squareLattice(divisionsX: number, divisionsY: number, points: readonly (ExactPoint | null)[]): Lattice {
  const unit = Math.max(divisionsX, divisionsY);
  const whole = (e: Exact): boolean => e.r === 0 && (unit * e.p) % e.q === 0;
  const halfUnits = points.some((p) => p && !(whole(p[0]) && whole(p[1])));
  return { kind: 'square', divisionsX, divisionsY, halfUnits, residual: 0, fit: 1 };
}

/** The 22.5-degree family, or the square grid where every vertex happens to lie on one. */
export function latticeOf22(points: readonly (ExactPoint | null)[]): Lattice {
  const parts = points.flatMap((p) => (p ? [p[0], p[1]] : []));
  const divisions = parts.reduce((n, e) => Math.min((n / gcd(n, e.q)) * e.q, 1e9), 1);
  const isGrid = parts.every((e) => e.r === 0) && divisions <= MOST_DIVISIONS;
  return isGrid
    ? { kind: 'square', divisionsX: divisions, divisionsY: divisions, halfUnits: false, residual: 0, fit: 1 }
    : { kind: 'angle22', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: 0, fit: 1 };
}

export const HEX_FREE: Lattice = { kind: 'hex', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: 0, fit: 1 };
export const NO_LATTICE: Lattice = {
  kind: 'none',
  divisionsX: 0,
  divisionsY: 0,
  halfUnits: false,
  residual: 0,
  fit: 0,
};
