import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';

/** The carrier of one straight stroke from a to b, of which ink was seen between two distances from a; all in pattern units. */
export function straightCarrier(
  [ax, ay]: PatternPoint,
  [bx, by]: PatternPoint,
  inSight: { readonly from: number; readonly to: number },
  px: number,
): Carrier {
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  const seen = new Uint8Array(Math.ceil(length / px) + 1);
  seen.fill(1, Math.round(inSight.from / px), Math.round(inSight.to / px) + 1);
  const from = dx * ax + dy * ay;
  return {
    nx: -dy,
    ny: dx,
    off: dx * ay - dy * ax,
    dx,
    dy,
    grid: null,
    from,
    to: from + length,
    seen,
    beside: new Float32Array(seen.length),
    residual: px / 2,
  };
}
