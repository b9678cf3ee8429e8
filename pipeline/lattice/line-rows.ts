import type { BendRow } from '../geometry/bend.ts';
import type { Ridges } from '../strokes/ridges.ts';
import type { Sheet } from '../types.ts';

/** One sample in so many px along a segment. */
const SAMPLE_EVERY_PX = 20;

/**
 * Asks the measured points of a segment to lie on the line nx x + ny y = off (pattern frame, unit normal). `points` are
 * the segment's ridge point indices. The bend is a function of the measured place, so no earlier bend enters.
 */
export function lineRows(
  points: Int32Array,
  { nx, ny, off }: { readonly nx: number; readonly ny: number; readonly off: number },
  ridges: Ridges,
  sheet: Sheet,
  weight = 1,
): BendRow[] {
  const px = 1 / sheet.pxPerUnit;
  const rows: BendRow[] = [];
  const every = Math.max(1, Math.min(SAMPLE_EVERY_PX, points.length >> 1));
  for (let k = every >> 1; k < points.length; k += every) {
    const x = (ridges.x[points[k]] - sheet.originPx[0]) * px;
    const y = (sheet.originPx[1] - ridges.y[points[k]]) * px;
    rows.push([x, y, nx, ny, off - nx * x - ny * y, (weight * every) / SAMPLE_EVERY_PX]);
  }
  return rows;
}
