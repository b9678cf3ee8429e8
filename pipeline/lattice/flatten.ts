import { type Bend, unbend } from '../geometry/bend.ts';
import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import { straighten } from '../rectify/straighten.ts';
import type { PaperPoint, Sheet } from '../types.ts';

/** How far apart places are at which it is asked whether there is a bend worth taking out, and how large it must be, px. */
const STEP_PX = 16;
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
  const { width, height } = sheet.raster;
  if (!isBent(seenAt, width, height)) return sheet;
  // The sheet as it was straightened so far plays the picture's part.
  const raster = straighten(sheet.raster, (p) => seenAt(p) as readonly [number, number], { width, height });
  return { ...sheet, raster, toPicture: (p) => sheet.toPicture(seenAt(p)) };
}

function isBent(seenAt: (p: PaperPoint) => PaperPoint, width: number, height: number): boolean {
  for (let y = 0; y < height + STEP_PX; y += STEP_PX) {
    for (let x = 0; x < width + STEP_PX; x += STEP_PX) {
      const seen = seenAt([x, y]);
      if (Math.abs(seen[0] - x) >= LEAST_PX || Math.abs(seen[1] - y) >= LEAST_PX) return true;
    }
  }
  return false;
}
