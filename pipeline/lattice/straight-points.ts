import { type Bend, bendAt } from '../geometry/bend.ts';
import type { Ridges } from '../strokes/ridges.ts';
import type { Sheet } from '../types.ts';

/** Ridge points in the pattern frame, bend taken out; angles y up. */
export interface StraightPoints {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly angle: Float32Array;
}

export function straightPoints(ridges: Ridges, bend: Bend, sheet: Sheet): StraightPoints {
  const px = 1 / sheet.pxPerUnit;
  const x = new Float64Array(ridges.count);
  const y = new Float64Array(ridges.count);
  const angle = new Float32Array(ridges.count);
  for (let p = 0; p < ridges.count; p++) {
    const mx = (ridges.x[p] - sheet.originPx[0]) * px;
    const my = (sheet.originPx[1] - ridges.y[p]) * px;
    const [bx, by] = bendAt(bend, mx, my);
    x[p] = mx + bx;
    y[p] = my + by;
    angle[p] = Math.PI - ridges.angle[p];
  }
  return { x, y, angle };
}

/** Writes the points within so far of a line into `near`, in their order; returns how many there are. Most lie far off: a short loop of its own passes over them. */
export function pointsNear(
  { x, y }: StraightPoints,
  nx: number,
  ny: number,
  off: number,
  reach: number,
  near: Int32Array,
): number {
  let count = 0;
  for (let p = 0; p < x.length; p++) {
    const miss = nx * x[p] + ny * y[p] - off;
    if (miss <= reach && miss >= -reach) near[count++] = p;
  }
  return count;
}
