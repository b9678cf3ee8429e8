import { describe, expect, it } from 'vitest';
import { type Bend, bendAt, NO_BEND } from '../../pipeline/geometry/bend.ts';
import { patternToPaper } from '../../pipeline/geometry/frames.ts';
import { flattenSheet } from '../../pipeline/lattice/flatten.ts';
import type { PatternPoint, Sheet } from '../../pipeline/types.ts';
import { sheetWith } from '../unit-sheet.ts';

const SIDE = 300;
const MARGIN = 20;
/** Quadratic: the middle of the sheet bulges by 0.03 of the side upwards, the corners stay. Terms 1, u, v, u², uv, v². */
const BULGE: Bend = {
  degree: 2,
  x: new Float64Array(6),
  y: Float64Array.from([-0.03, 0, 0, 0.03, 0, 0]),
};

/** A white sheet with a dark line drawn where the straight line y = 1/2 was seen through the bend. */
function seenSheet(bend: Bend): Sheet {
  const side = SIDE + 2 * MARGIN;
  const data = new Uint8Array(side * side * 3).fill(255);
  const sheet = sheetWith(SIDE, MARGIN, { width: side, height: side, channels: 3, data });
  for (let x = MARGIN; x < MARGIN + SIDE; x++) {
    const u = (x + 0.5 - MARGIN) / SIDE;
    // A measured point m belongs at m + bend(m); this bend does not depend on y.
    const measured: PatternPoint = [u, 0.5 - bendAt(bend, u, 0.5)[1]];
    const y = Math.floor(patternToPaper(sheet, measured)[1]);
    for (const row of [y - 1, y, y + 1]) data.fill(0, (row * side + x) * 3, (row * side + x) * 3 + 3);
  }
  return sheet;
}

/** Middle of the dark in a column, px. */
function darkAt({ raster: { width, height, data } }: Sheet, x: number): number {
  let [sum, weight] = [0, 0];
  for (let y = 0; y < height; y++) {
    const dark = 255 - data[(y * width + x) * 3];
    sum += dark * (y + 0.5);
    weight += dark;
  }
  return sum / weight;
}

describe('a bent sheet', () => {
  const bent = seenSheet(BULGE);
  const flat = flattenSheet(bent, BULGE);
  const columns = [30, 90, 170, 230, 310];
  const straightAt = patternToPaper(bent, [0, 0.5])[1];

  it('was seen bent', () => {
    expect(Math.abs(darkAt(bent, 170) - straightAt)).toBeGreaterThan(6);
  });

  it('is flat: the ink lies where the pattern has its line, to a pixel', () => {
    for (const x of columns) expect(Math.abs(darkAt(flat, x) - straightAt)).toBeLessThan(1);
  });

  it('still leads to the picture: a place on the line to where it was seen', () => {
    for (const x of columns) {
      const [px, py] = flat.toPicture([x + 0.5, straightAt]);
      expect(px).toBeCloseTo(x + 0.5, 6);
      expect(Math.abs(py - darkAt(bent, x))).toBeLessThan(1);
    }
  });

  it('without a bend is left as it is', () => {
    const sheet = seenSheet(NO_BEND);
    expect(flattenSheet(sheet, NO_BEND)).toBe(sheet);
  });
});
