import { paperToPattern } from '../geometry/frames.ts';
import { isInside, sidesOf } from '../geometry/sides.ts';
import type { Raster, Sheet } from '../types.ts';
import type { InkField } from './ink.ts';
import { slideMax } from './slide-max.ts';

/**
 * A sheet without creases darker than this is pale all over, density: the printed grids of the training have up to 0.4 of the light
 * of one channel, a third in the mean over the channels of a coloured ink, so that such a drawing may pass for one as a whole.
 * Drawings that were paled step by step lost lines from 0.3 on.
 */
const PALE = 0.35;
/** The darkest creases are stretched to this, as most drawings have it. */
const PLAIN = 0.6;
/** Greater factors draw compression and grain as well. */
const MOST = 4;
/** Density that one in twenty of the inked pixels exceeds tells how dark the darkest creases get. */
const DARKEST = 0.05;
/** Nearer than this to a side lies the border, which may be drawn much darker than what it holds, pattern units. */
const BORDER = 0.02;
/** Noise counts as ink from so many of its spreads on, and never below this density. */
const INK_SPREADS = 6;
const LEAST_INK = 0.03;
/** Fewer inked pixels say nothing. */
const LEAST_COUNT = 200;
/** Every so many pixels both ways are looked at. */
const STEP = 2;
const BINS = 256;

/** On plain paper pale strokes are stretched one by one, by how dark they get within this reach, px. */
const REACH_PX = 4;
/** ... by this at most: the last rims of smoothed strokes are no lines. */
const MOST_ON_PLAIN = 8;

/**
 * The sheet with its contrast stretched where the whole drawing is pale, for the network, which was trained to take pale
 * lines beside dark ones for a printed grid; the same raster where some creases are dark. On plain paper every pale stroke is
 * stretched by itself, for there a pale line is meant and no grain is stretched with it. Paper stays as it is.
 *
 * @param sheet RGB, sRGB 0..255
 * @param ink what was measured on it, same size
 */
export function stretchPale(sheet: Sheet, ink: InkField): Raster<Uint8Array> {
  const { raster } = sheet;
  if (ink.plain) {
    const darkest = slideMax(ink.density, ink.width, ink.height, REACH_PX);
    const isPale = (d: number): boolean => d > LEAST_INK && d < PALE;
    if (!darkest.some(isPale)) return raster;
    return stretched(raster, ink, (i) => (isPale(darkest[i]) ? Math.min(MOST_ON_PLAIN, PLAIN / darkest[i]) : 1));
  }
  const darkest = darkestInside(sheet, ink);
  if (darkest >= PALE) return raster;
  const factor = Math.min(MOST, PLAIN / darkest);
  return stretched(raster, ink, () => factor);
}

/** How dark the darkest strokes within the border are, density; 1 where there are hardly any. */
function darkestInside(sheet: Sheet, { density, width, height, noise }: InkField): number {
  const sides = sidesOf(sheet.polygon);
  const floor = Math.max(INK_SPREADS * noise, LEAST_INK);
  const counts = new Int32Array(BINS);
  let inked = 0;
  for (let y = 0; y < height; y += STEP) {
    for (let x = 0; x < width; x += STEP) {
      const d = density[y * width + x];
      if (d <= floor) continue;
      const [u, v] = paperToPattern(sheet, [x + 0.5, y + 0.5]);
      if (!isInside(sides, u, v, BORDER)) continue;
      counts[Math.min(BINS - 1, Math.floor(d * BINS))]++;
      inked++;
    }
  }
  if (inked < LEAST_COUNT) return 1;
  let bin = BINS - 1;
  for (let seen = counts[bin]; seen < DARKEST * inked; seen += counts[bin]) bin--;
  return (bin + 0.5) / BINS;
}

/**
 * Each pixel moved away from its paper's tone by the factor, at most as far as PLAIN: beside a border much darker than the creases
 * they would be pale again. `diff` is a share of the light that the ground can lose (gain on dark ground).
 */
function stretched(
  { width, height, channels, data }: Raster<Uint8Array>,
  { density, diff, lightOnDark }: InkField,
  factorAt: (pixel: number) => number,
): Raster<Uint8Array> {
  const out = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const by = density[i] > 0 ? Math.min(factorAt(i), PLAIN / density[i]) : factorAt(i);
    for (let c = 0; c < 3; c++) {
      const v = lightOnDark ? 255 - data[i * channels + c] : data[i * channels + c];
      const d = diff[i * 3 + c];
      const ground = Math.min(255, v / Math.max(LEAST_REST, 1 - d));
      const w = Math.min(255, Math.max(0, Math.round(v - (by - 1) * d * ground)));
      out[i * 3 + c] = lightOnDark ? 255 - w : w;
    }
  }
  return { width, height, channels: 3, data: out };
}

/** A pixel with less than this share of its paper's light is black. */
const LEAST_REST = 0.05;
