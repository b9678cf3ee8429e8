import type { Raster } from '../types.ts';
import { slideMax } from './slide-max.ts';

/** A pixel has the colour of its face to so many levels. */
const LEVELS = 2;
/** Scans of the sheet, forth and back; shapes that wind more are rare. */
const MOST_ROUNDS = 6;
/** Of a face at least this share survives the dilation; of broad strokes next to nothing but the blot where several meet. */
const LEAST_CORE = 0.04;

/**
 * Writes over `paper` the picture's own colour on faces that are filled darker than the paper, for a closing with a smooth rim takes them for lighter near their edges and in their corners. What survives
 * a dilation of this reach is no line: it is restored as it was, to its corners (reconstruction, Vincent 1993), and what comes back unchanged is a face, if enough of it
 * survived.
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
  const survived = halves.map((half) => slideMax(half, w, h, reach));
  const isLike = (maps: readonly Float32Array[], s: number): boolean =>
    maps.every((map, c) => Math.abs(map[s] - halves[c][s]) <= LEVELS);
  const cores = Uint8Array.from(halves[0], (_, s) => (isLike(survived, s) ? 1 : 0));
  const restored = survived.map((marker, c) => reconstructed(marker, halves[c], w, h));
  const faces = Uint8Array.from(halves[0], (_, s) => (isLike(restored, s) ? 1 : 0));
  clearStrokes(faces, cores, halves, w);
  const { width, height, channels, data } = raster;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const s = (y >> 1) * w + (x >> 1);
      if (!faces[s]) continue;
      const i = (y * width + x) * channels;
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

/** Clears areas of one colour of which hardly anything survived. In place. */
function clearStrokes(faces: Uint8Array, cores: Uint8Array, halves: readonly Float32Array[], w: number): void {
  const open = Uint8Array.from(faces);
  const area = new Int32Array(faces.length);
  for (let seed = 0; seed < faces.length; seed++) {
    if (!open[seed]) continue;
    let [count, core] = [0, 0];
    open[seed] = 0;
    area[count++] = seed;
    for (let k = 0; k < count; k++) {
      const s = area[k];
      core += cores[s];
      for (const to of [s - 1, s + 1, s - w, s + w]) {
        if (!open[to] || halves.some((half) => Math.abs(half[to] - half[s]) > LEVELS)) continue;
        open[to] = 0;
        area[count++] = to;
      }
    }
    if (core < LEAST_CORE * count) for (let k = 0; k < count; k++) faces[area[k]] = 0;
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
