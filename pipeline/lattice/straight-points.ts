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
