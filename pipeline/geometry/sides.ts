import type { PatternPoint } from '../types.ts';

/** One side of a counterclockwise polygon, pattern frame; inside (of a convex one) nx x + ny y is greater than `off`. */
export interface Side {
  readonly from: PatternPoint;
  readonly to: PatternPoint;
  readonly length: number;
  /** Unit direction from `from` to `to`. */
  readonly dx: number;
  readonly dy: number;
  /** Unit normal to the left of it. */
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
}

export function sidesOf(polygon: readonly PatternPoint[]): Side[] {
  return polygon.map((from, i) => {
    const to = polygon[(i + 1) % polygon.length];
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const dx = (to[0] - from[0]) / length;
    const dy = (to[1] - from[1]) / length;
    return { from, to, length, dx, dy, nx: -dy, ny: dx, off: dx * from[1] - dy * from[0] };
  });
}

/** Whether a place lies deeper than `margin` within all sides of a convex polygon. */
export function isInside(sides: readonly Pick<Side, 'nx' | 'ny' | 'off'>[], x: number, y: number, margin = 0): boolean {
  return sides.every(({ nx, ny, off }) => nx * x + ny * y - off > margin);
}

/** Side by which a ray from a place within a convex polygon leaves it, how far away that is, and at what sine; null where no side lies ahead. */
export function sideAhead<S extends Pick<Side, 'nx' | 'ny' | 'off'>>(
  [x, y]: PatternPoint,
  angle: number,
  sides: readonly S[],
): { side: S; length: number; sine: number } | null {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  let best: { side: S; length: number; sine: number } | null = null;
  for (const side of sides) {
    const sine = -(side.nx * dx + side.ny * dy);
    if (sine <= 0) continue;
    const length = (side.nx * x + side.ny * y - side.off) / sine;
    if (!best || length < best.length) best = { side, length, sine };
  }
  return best;
}
