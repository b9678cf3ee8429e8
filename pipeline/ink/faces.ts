import type { Raster } from '../types.ts';
import { slideMax } from './slide-max.ts';

/** A pixel has the colour of its face to so many levels. */
const LEVELS = 2;
/** Scans of the sheet, forth and back; shapes that wind more are rare. */
const MOST_ROUNDS = 6;

/**
 * Writes over `paper` the picture's own colour on faces that are filled darker than the paper, for a closing with a smooth rim takes them for lighter near their edges and in their corners. What survives
 * a dilation of this reach is no line: it is restored as it was, to its corners (reconstruction, Vincent 1993), and what comes back unchanged is a face.
 *
 * @param halves the channels at half resolution, 0..255, on dark ground turned over
 * @param paper three channels a pixel of the raster, 0..255
 */
export function keepFaces(
  raster: Raster<Uint8Array>,
  halves: readonly Float32Array[],
  { width: w, height: h, reach, isTurned }: { width: number; height: number; reach: number; isTurned: boolean },
  paper: Float32Array,
): void {
  const restored = halves.map((half) => reconstructed(slideMax(half, w, h, reach), half, w, h));
  const { width, height, channels, data } = raster;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = (y * width + x) * channels;
      const s = (y >> 1) * w + (x >> 1);
      let isFace = true;
      for (let c = 0; c < 3; c++) {
        const value = isTurned ? 255 - data[i + c] : data[i + c];
        isFace &&= Math.abs(restored[c][s] - value) <= LEVELS;
      }
      if (!isFace) continue;
      const p = 3 * (y * width + x);
      for (let c = 0; c < 3; c++) paper[p + c] = data[i + c];
    }
  }
}

/** The marker brought down as far as the mask lets it, from neighbour to neighbour. */
function reconstructed(marker: Float32Array, mask: Float32Array, w: number, h: number): Float32Array {
  const lower = (i: number, by: readonly number[]): boolean => {
    let least = marker[i];
    for (const d of by) least = Math.min(least, marker[i + d]);
    const next = Math.max(least, mask[i]);
    if (next >= marker[i]) return false;
    marker[i] = next;
    return true;
  };
  const forth = [-1, -w - 1, -w, -w + 1];
  const back = [1, w - 1, w, w + 1];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    let changed = false;
    for (let y = 1; y < h - 1; y++) for (let x = 1; x < w - 1; x++) if (lower(y * w + x, forth)) changed = true;
    for (let y = h - 2; y > 0; y--) for (let x = w - 2; x > 0; x--) if (lower(y * w + x, back)) changed = true;
    if (!changed) break;
  }
  return marker;
}
