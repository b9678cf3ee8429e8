import type { Raster } from '../types.ts';

const WIDEST = 24;

/**
 * Typical stroke width in px: the most common shortest run of ink through a pixel, over rows, columns and both
 * diagonals, of pixels darker than half the usual ink; sub-pixel strokes come out as about 1.
 */
export function measureStrokeWidth(density: Raster<Float32Array>, noise: number): number {
  const { width, height, data } = density;
  const floor = Math.max(6 * noise, 0.06);
  const counts = new Int32Array(256);
  let inked = 0;
  for (let i = 0; i < data.length; i++) {
    if (data[i] > floor) {
      counts[Math.min(255, (data[i] * 128) | 0)]++;
      inked++;
    }
  }
  if (inked === 0) return 1;
  let seen = 0;
  let strong = 255;
  while (strong > 0 && seen < 0.25 * inked) seen += counts[strong--];
  const level = Math.max(floor, strong / 128 / 2);
  const runs = new Int32Array(WIDEST + 1);
  const steps = [
    [1, 0, 1],
    [0, 1, 1],
    [1, 1, Math.SQRT2],
    [1, -1, Math.SQRT2],
  ] as const;
  for (let y = WIDEST; y < height - WIDEST; y += 2) {
    for (let x = WIDEST; x < width - WIDEST; x += 3) {
      if (data[y * width + x] <= level) continue;
      let least = WIDEST;
      for (const [dx, dy, len] of steps) {
        let n = 1;
        const step = dy * width + dx;
        for (let p = y * width + x + step; n < WIDEST && data[p] > level; p += step) n++;
        for (let p = y * width + x - step; n < WIDEST && data[p] > level; p -= step) n++;
        least = Math.min(least, n * len);
      }
      runs[Math.min(WIDEST, Math.round(least))]++;
    }
  }
  // A stroke of width w owns w pixels for each px of length: weigh by 1/w to count strokes, not area.
  let best = 1;
  let bestCount = -1;
  for (let r = 1; r < WIDEST; r++) {
    const v = (runs[r - 1] / Math.max(1, r - 1) + 2 * (runs[r] / r) + runs[r + 1] / (r + 1)) / 4;
    if (v > bestCount) {
      bestCount = v;
      best = r;
    }
  }
  return best;
}
