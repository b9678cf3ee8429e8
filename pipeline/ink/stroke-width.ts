import type { Raster } from '../types.ts';

const WIDEST = 24;
/** Density under which nothing counts as ink, and the same for very faint drawings. */
const FAINT = 0.06;
const FAINTEST = 0.03;
/** Share of the picture that strokes cover at the least. */
const HARDLY_ANY = 0.004;

function shareAbove(data: Float32Array, level: number): number {
  let n = 0;
  for (const v of data) if (v > level) n++;
  return n / data.length;
}

export interface StrokeMeasure {
  readonly widthPx: number;
  /** Density that one in twenty of the inked pixels exceeds: how dark this picture's strokes get. */
  readonly crest: number;
}

/**
 * Typical stroke width in px: the most common shortest run of ink through a pixel, over rows, columns and both
 * diagonals, of pixels darker than half the usual ink; sub-pixel strokes come out as about 1.
 */
export function measureStrokes(density: Raster<Float32Array>, noise: number): StrokeMeasure {
  const { width, height, data } = density;
  // Faint ink counts only where there is hardly any other.
  const usual = Math.max(6 * noise, FAINT);
  const floor = shareAbove(data, usual) > HARDLY_ANY ? usual : Math.max(6 * noise, FAINTEST);
  const counts = new Int32Array(256);
  let inked = 0;
  for (let i = 0; i < data.length; i++) {
    if (data[i] > floor) {
      counts[Math.min(255, (data[i] * 128) | 0)]++;
      inked++;
    }
  }
  if (inked === 0) return { widthPx: 1, crest: 1 };
  let seen = 0;
  let strong = 255;
  while (strong > 0 && seen < 0.25 * inked) seen += counts[strong--];
  const level = Math.max(floor, strong / 128 / 2);
  let darkest = 255;
  for (let n = 0; darkest > 0 && n < 0.05 * inked; darkest--) n += counts[darkest];
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
  return { widthPx: best, crest: Math.max(darkest / 128, floor) };
}
