/** Noise of a picture and of its ink. */
import type { Raster } from '../types.ts';

/** Side of the blocks in which the noise of the ink is measured, px. */
const BLOCK_PX = 32;
/** In a closing's residue of pure noise the lower quartile lies at 1.83 standard deviations, the middle at 2.5 (window of some 25 px, by simulation). */
const QUARTILE = 1.83;
const MIDDLE = 2.5;
/** A block may be this much noisier than the middle block, beyond that its low values are lines. */
const MOST_OVER_MIDDLE = 2;
/** Noise is brought down to this standard deviation, in units of contrast. */
const UNIT = 3;

/** Standard deviation of pixel noise in green, grey levels: median of the absolute 3 x 3 difference of Laplacians (after Immerkaer 1996, median for mean). */
export function pixelNoise(raster: Raster<Uint8Array>): number {
  const { width, height, data } = raster;
  const counts = new Uint32Array(2048);
  let n = 0;
  for (let y = 1; y < height - 1; y += 2) {
    for (let x = 1; x < width - 1; x += 2) {
      const i = (y * width + x) * 3 + 1;
      const up = i - 3 * width;
      const down = i + 3 * width;
      const v =
        data[up - 3] +
        data[up + 3] +
        data[down - 3] +
        data[down + 3] -
        2 * (data[up] + data[i - 3] + data[i + 3] + data[down]) +
        4 * data[i];
      counts[Math.min(2047, Math.abs(v))]++;
      n++;
    }
  }
  let seen = 0;
  let median = 0;
  while (median < 2047 && seen + counts[median] <= n / 2) seen += counts[median++];
  const inside = counts[median] > 0 ? (n / 2 - seen) / counts[median] : 0;
  // The mask's noise gain is 6; 0.6745 turns a median absolute value into a deviation. A spike at 0 is a clean picture.
  return Math.max(0, median - 0.5 + inside) / 6 / 0.6745;
}

/**
 * Takes the noise out of a plane of contrasts, in place: in every block its level is subtracted and its spread brought down to UNIT, so that one threshold
 * serves light paper and dark desk. `light` is the paper's light at each pixel, 0..255, by which contrast was divided. Returns the noise that
 * is left in the middle block: its standard deviation in units of contrast, at most UNIT.
 */
export function levelNoise(ink: Uint8Array, light: Uint8Array, width: number, height: number): number {
  const columns = Math.max(1, Math.round(width / BLOCK_PX));
  const rows = Math.max(1, Math.round(height / BLOCK_PX));
  const spread = new Float32Array(columns * rows);
  const meanLight = new Float32Array(columns * rows);
  const counts = new Uint32Array(256);
  for (let r = 0; r < rows; r++) {
    const top = Math.floor((r * height) / rows);
    const bottom = Math.floor(((r + 1) * height) / rows);
    for (let c = 0; c < columns; c++) {
      const left = Math.floor((c * width) / columns);
      const right = Math.floor(((c + 1) * width) / columns);
      counts.fill(0);
      let sum = 0;
      for (let y = top; y < bottom; y++) {
        for (let i = y * width + left, end = y * width + right; i < end; i++) {
          counts[ink[i]]++;
          sum += light[i];
        }
      }
      const n = (bottom - top) * (right - left);
      let v = 0;
      let seen = counts[0];
      while (v < 255 && seen < n / 4) seen += counts[++v];
      meanLight[r * columns + c] = sum / n;
      spread[r * columns + c] = ((v / QUARTILE) * sum) / n;
    }
  }
  const middle = Float32Array.from(spread).sort()[spread.length >> 1];
  for (let i = 0; i < spread.length; i++) {
    spread[i] = Math.min(spread[i], MOST_OVER_MIDDLE * middle) / Math.max(1, meanLight[i]);
  }
  const usual = Float32Array.from(spread).sort()[spread.length >> 1];
  const upper = new Float64Array(width);
  const lower = new Float64Array(width);
  let between = -1;
  for (let y = 0; y < height; y++) {
    const fr = Math.min(rows - 1, Math.max(0, ((y + 0.5) * rows) / height - 0.5));
    const r = Math.min(rows - 1, fr | 0);
    const wr = fr - r;
    if (r !== between) {
      blend(spread.subarray(r * columns, (r + 1) * columns), upper);
      const below = Math.min(rows - 1, r + 1);
      blend(spread.subarray(below * columns, (below + 1) * columns), lower);
      between = r;
    }
    for (let x = 0, i = y * width; x < width; x++, i++) {
      const here = ink[i];
      if (here === 0) continue;
      const s = upper[x] * (1 - wr) + lower[x] * wr;
      const left = here - MIDDLE * s;
      ink[i] = left <= 0 ? 0 : s > UNIT ? (left * UNIT) / s : left;
    }
  }
  return Math.min(usual, UNIT);
}

/** A row of blocks at every pixel, from middle to middle. */
function blend(blocks: Float32Array, into: Float64Array): void {
  const columns = blocks.length;
  for (let x = 0; x < into.length; x++) {
    const fc = Math.min(columns - 1, Math.max(0, ((x + 0.5) * columns) / into.length - 0.5));
    const c = fc | 0;
    const wc = fc - c;
    const d = c + 1 < columns ? c + 1 : c;
    into[x] = blocks[c] * (1 - wc) + blocks[d] * wc;
  }
}
