/** Straightened sheets for tests: the outline lies on the raster with the given margin, nothing is bent. */
import type { PatternPoint, Raster, Sheet } from '../pipeline/types.ts';

export const SQUARE: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const WHITE_PIXEL: Raster = { width: 1, height: 1, channels: 3, data: new Uint8Array(3).fill(255) };

/** @param marginPx from the raster's left and top to the outline's box, paper px */
export function sheetWith(
  pxPerUnit: number,
  marginPx: number,
  raster: Raster = WHITE_PIXEL,
  polygon: readonly PatternPoint[] = SQUARE,
): Sheet {
  const [width, height] = [0, 1].map((k) => Math.max(...polygon.map((p) => p[k])));
  return {
    raster,
    pxPerUnit,
    originPx: [marginPx, marginPx + height * pxPerUnit],
    width,
    height,
    polygon,
    toPicture: (p) => [p[0], p[1]],
    outline: { corners: [], how: 'given', width, height, probability: 1, assumed: [] },
  };
}
