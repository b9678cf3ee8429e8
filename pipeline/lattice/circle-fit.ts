import { cross, dot } from '../geometry/vector.ts';
import type { Ridges } from '../strokes/ridges.ts';
import type { Segment } from '../strokes/segments.ts';

export interface Circle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  /** Root mean square distance of its points, px. */
  readonly spread: number;
}

/** Sums over points: of 1, x, y, xx, xy, yy, and with r = xx + yy of x r, y r, r r. Those of two sets together are their sums. */
export type Moments = Float64Array;
const [N, X, Y, XX, XY, YY, XR, YR, RR] = [0, 1, 2, 3, 4, 5, 6, 7, 8];

export function momentsOf({ points }: Segment, ridges: Ridges): Moments {
  const sums = new Float64Array(9);
  for (const p of points) {
    const [x, y] = [ridges.x[p], ridges.y[p]];
    const r = x * x + y * y;
    [1, x, y, x * x, x * y, y * y, x * r, y * r, r * r].forEach((v, i) => {
      sums[i] += v;
    });
  }
  return sums;
}

export const addMoments = (a: Moments, b: Moments): Moments => a.map((v, i) => v + b[i]);

/** The circle of least squares (Kasa 1976), or null for points on a line. */
export function circleOf(m: Moments): Circle | null {
  const n = m[N];
  const [mx, my, mr] = [m[X] / n, m[Y] / n, (m[XX] + m[YY]) / n];
  const [uu, uv, vv] = [m[XX] - n * mx * mx, m[XY] - n * mx * my, m[YY] - n * my * my];
  const [ur, vr] = [m[XR] - n * mx * mr, m[YR] - n * my * mr];
  const det = uu * vv - uv * uv;
  if (Math.abs(det) < 1e-9 * uu * vv) return null;
  const [x, y] = [(ur * vv - vr * uv) / det / 2, (vr * uu - ur * uv) / det / 2];
  const radius = Math.sqrt((x - mx) ** 2 + (y - my) ** 2 + (uu + vv) / n);
  // r - 2 x u - 2 y v about its mean is 2 R times the distance to the circle.
  const rest = m[RR] - n * mr * mr - 2 * x * ur - 2 * y * vr;
  return { x, y, radius, spread: Math.sqrt(Math.max(0, rest) / n) / (2 * radius) };
}

/** How far the ends of a piece lie to the left of its middle along its direction (y down: to its right), px, if it bends evenly (least squares). */
export function riseOf({ x, y, angle, length, points }: Segment, ridges: Ridges): number {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  // v = a + b u + c u u along and across the piece.
  let [n, u1, u2, u3, u4, v0, v1, v2] = [0, 0, 0, 0, 0, 0, 0, 0];
  for (const p of points) {
    const [px, py] = [ridges.x[p] - x, ridges.y[p] - y];
    const [u, v] = [px * dx + py * dy, py * dx - px * dy];
    n++;
    u1 += u;
    u2 += u * u;
    u3 += u ** 3;
    u4 += u ** 4;
    v0 += v;
    v1 += u * v;
    v2 += u * u * v;
  }
  const whole = dot([n, u1, u2], cross([u1, u2, u3], [u2, u3, u4]));
  if (Math.abs(whole) < 1e-9) return 0;
  // Cramer's rule.
  const bend = dot([n, u1, v0], cross([u1, u2, v1], [u2, u3, v2])) / whole;
  return (bend * length ** 2) / 4;
}
