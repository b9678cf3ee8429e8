import type { ExactPoint, Pattern, PatternPoint } from '../types.ts';
import { addExact, divExact, mulExact, subExact } from './exact.ts';

/** Lines within a degree of each other say little about where they meet. */
const LEAST_SINE = Math.sin(Math.PI / 180);

/** Where the lines a–b and c–d meet; null where they are nearly parallel. Exact where all four points are. */
export function crossingOf(
  { vertices, exact }: Pattern,
  [a, b]: readonly [number, number],
  [c, d]: readonly [number, number],
): { readonly at: PatternPoint; readonly exact: ExactPoint | null } | null {
  const [p, q, r, s] = [a, b, c, d].map((v) => vertices[v]);
  const [ux, uy, vx, vy] = [q[0] - p[0], q[1] - p[1], s[0] - r[0], s[1] - r[1]];
  const area = ux * vy - uy * vx;
  if (Math.abs(area) < LEAST_SINE * Math.hypot(ux, uy) * Math.hypot(vx, vy)) return null;
  const t = ((r[0] - p[0]) * vy - (r[1] - p[1]) * vx) / area;
  return { at: [p[0] + t * ux, p[1] + t * uy], exact: exactCrossing([a, b, c, d].map((v) => exact[v])) };
}

function exactCrossing(points: readonly (ExactPoint | null)[]): ExactPoint | null {
  const [p, q, r, s] = points;
  if (!p || !q || !r || !s) return null;
  try {
    const [ux, uy] = [subExact(q[0], p[0]), subExact(q[1], p[1])];
    const [vx, vy] = [subExact(s[0], r[0]), subExact(s[1], r[1])];
    const area = subExact(mulExact(ux, vy), mulExact(uy, vx));
    const along = subExact(mulExact(subExact(r[0], p[0]), vy), mulExact(subExact(r[1], p[1]), vx));
    const t = divExact(along, area);
    return [addExact(p[0], mulExact(t, ux)), addExact(p[1], mulExact(t, uy))];
  } catch (error) {
    // Too large, or √2 with √3: the place is then known in decimals only.
    if (error instanceof RangeError) return null;
    throw error;
  }
}
