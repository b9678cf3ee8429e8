import type { Pattern } from '../types.ts';

/** Distances below this are rounding, pattern units. */
const NEAR = 1e-6;
/** Areas below this are rounding, pattern units². */
const ROUNDING = 1e-14;

/** What a ray from a vertex meets first. */
export interface RayHit {
  readonly distance: number;
  /** Vertex that it meets, or -1. */
  readonly vertex: number;
  /** Crease that it meets between its ends, or -1. */
  readonly crease: number;
}

/**
 * First vertex or crease (guides apart) on a ray from a vertex.
 *
 * @param near how far a vertex may lie off the ray, pattern units
 */
export function castRay(pattern: Pattern, from: number, angleRad: number, near: number): RayHit | null {
  const { vertices, creases } = pattern;
  const [ox, oy] = vertices[from];
  const [ux, uy] = [Math.cos(angleRad), Math.sin(angleRad)];
  const reach = Math.max(near, NEAR);
  let best: RayHit | null = null;
  const offer = (hit: RayHit): void => {
    if (best === null || hit.distance < best.distance) best = hit;
  };
  const along = vertices.map(([x, y]) => (x - ox) * ux + (y - oy) * uy);
  const across = vertices.map(([x, y]) => (y - oy) * ux - (x - ox) * uy);
  creases.forEach(({ from: a, to: b, kind }, c) => {
    if (kind === 'F' || a === from || b === from) return;
    for (const v of [a, b]) {
      if (along[v] > reach && Math.abs(across[v]) <= reach) offer({ distance: along[v], vertex: v, crease: -1 });
    }
    if (Math.abs(across[a]) <= reach || Math.abs(across[b]) <= reach || across[a] > 0 === across[b] > 0) return;
    const t = across[a] / (across[a] - across[b]);
    const distance = along[a] + t * (along[b] - along[a]);
    if (distance > reach) offer({ distance, vertex: -1, crease: c });
  });
  return best;
}

/** Whether some crease at a vertex crosses another crease of the pattern between their ends. */
export function starCrosses(pattern: Pattern, vertex: number): boolean {
  const { vertices, creases } = pattern;
  const own = creases.filter(({ from, to }) => from === vertex || to === vertex);
  return own.some(({ from, to }) =>
    creases.some((other) => {
      if ([other.from, other.to].some((v) => v === from || v === to)) return false;
      const [a, b, p, q] = [from, to, other.from, other.to].map((v) => vertices[v]);
      return isBetween(side(p, a, b), side(q, a, b)) && isBetween(side(a, p, q), side(b, p, q));
    }),
  );
}

type Point = readonly [number, number];

/** Twice the signed area of a, p, q. */
function side(a: Point, p: Point, q: Point): number {
  return (q[0] - p[0]) * (a[1] - p[1]) - (q[1] - p[1]) * (a[0] - p[0]);
}

/** Signs differ, and neither is rounding: collinear creases do not cross. */
function isBetween(first: number, second: number): boolean {
  return first * second < 0 && Math.min(Math.abs(first), Math.abs(second)) > ROUNDING;
}
