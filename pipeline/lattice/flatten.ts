import { type Bend, unbend } from '../geometry/bend.ts';
import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import type { PaperPoint, Raster, Sheet } from '../types.ts';

/** The bend is smooth: it is worked out at every so many px and interpolated between. */
const CELL_PX = 16;
/** Below this the picture stays as it is, px. */
const LEAST_PX = 0.5;

/**
 * The sheet with the bend taken out, so that a pattern laid over its picture covers the ink. Same frame: a place of the pattern
 * keeps its paper px, and `toPicture` goes through the bend.
 */
export function flattenSheet(sheet: Sheet, bend: Bend): Sheet {
  const seenAt = (p: PaperPoint): PaperPoint => {
    const [x, y] = paperToPattern(sheet, p);
    return patternToPaper(sheet, unbend(bend, x, y));
  };
  const shifts = shiftsOf(sheet.raster, seenAt);
  if (shifts.every((shift) => Math.abs(shift) < LEAST_PX)) return sheet;
  return { ...sheet, raster: resampled(sheet.raster, shifts), toPicture: (p) => sheet.toPicture(seenAt(p)) };
}

const cellsAlong = (px: number): number => Math.ceil(px / CELL_PX) + 1;

/** Where to look for each corner of the cells, as steps in x and y, px; row by row. */
function shiftsOf({ width, height }: Raster<Uint8Array>, seenAt: (p: PaperPoint) => PaperPoint): Float32Array {
  const [columns, rows] = [cellsAlong(width), cellsAlong(height)];
  const shifts = new Float32Array(2 * columns * rows);
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < columns; i++) {
      const p: PaperPoint = [i * CELL_PX, j * CELL_PX];
      const seen = seenAt(p);
      shifts[2 * (j * columns + i)] = seen[0] - p[0];
      shifts[2 * (j * columns + i) + 1] = seen[1] - p[1];
    }
  return shifts;
}

function resampled(raster: Raster<Uint8Array>, shifts: Float32Array): Raster<Uint8Array> {
  const { width, height, channels, data } = raster;
  const columns = cellsAlong(width);
  const out = new Uint8Array(data.length);
  for (let y = 0; y < height; y++) {
    const v = (y + 0.5) / CELL_PX;
    const row = Math.floor(v) * columns;
    for (let x = 0; x < width; x++) {
      const u = (x + 0.5) / CELL_PX;
      const corner = 2 * (row + Math.floor(u));
      const [fu, fv] = [u % 1, v % 1];
      const across = (axis: number): number => {
        const top = shifts[corner + axis] * (1 - fu) + shifts[corner + 2 + axis] * fu;
        const below = corner + 2 * columns + axis;
        return top * (1 - fv) + (shifts[below] * (1 - fu) + shifts[below + 2] * fu) * fv;
      };
      // Indices of pixels lie half a px before their centres.
      const sx = Math.min(width - 1, Math.max(0, x + across(0)));
      const sy = Math.min(height - 1, Math.max(0, y + across(1)));
      const [x0, y0] = [Math.floor(sx), Math.floor(sy)];
      const right = x0 + 1 < width ? channels : 0;
      const down = y0 + 1 < height ? width * channels : 0;
      const [gx, gy] = [sx - x0, sy - y0];
      const from = (y0 * width + x0) * channels;
      const to = (y * width + x) * channels;
      for (let c = 0; c < channels; c++) {
        const top = data[from + c] * (1 - gx) + data[from + c + right] * gx;
        const bottom = data[from + c + down] * (1 - gx) + data[from + c + down + right] * gx;
        out[to + c] = top * (1 - gy) + bottom * gy + 0.5;
      }
    }
  }
  return { width, height, channels, data: out };
}
