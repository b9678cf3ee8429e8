import type { ExactPoint, Lattice } from '../../pipeline/types.ts';

/** More divisions than this are no grid that anyone would draw. */
const MOST_DIVISIONS = 64;

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

/**
 * A square lattice of given divisions; unit 1 / the larger number. Says whether vertices use half units, and which share
 * of them lies on whole or half units (slanted lines may meet the border elsewhere).
 */
export function squareLattice(divisionsX: number, divisionsY: number, points: readonly (ExactPoint | null)[]): Lattice {
  const unit = Math.max(divisionsX, divisionsY);
  const onUnits = (parts: number) => (p: ExactPoint | null) =>
    p?.every((e) => e.r === 0 && (parts * unit * e.p) % e.q === 0) ?? false;
  const whole = points.filter(onUnits(1)).length;
  const half = points.filter(onUnits(2)).length;
  return { kind: 'square', divisionsX, divisionsY, halfUnits: half > whole, residual: 0, fit: half / points.length };
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
