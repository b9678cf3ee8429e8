import { sidesOf } from '../geometry/sides.ts';
import type { Raster, Sheet } from '../types.ts';
import { hasColouredGrain } from './coloured-grain.ts';
import { paperTone } from './paper-tone.ts';
import { isPlainPaper } from './plain-paper.ts';
import { profileWidth } from './stroke-profile.ts';
import { measureStrokes } from './stroke-width.ts';
import type { LearnedInk } from './tiling.ts';

/** Per pixel of the paper raster: how much ink, and how its colour differs from the paper there. */
export interface InkField {
  readonly width: number;
  readonly height: number;
  /** 0 (paper) to about 1 (full black): root mean square of `diff` over the channels. */
  readonly density: Float32Array;
  /** Paper minus ink as a share of the paper's light, three channels a pixel; linear in coverage, so blur does not turn its direction. */
  readonly diff: Float32Array;
  /** Where strokes run, 0..1, for finding centre lines: the density itself, or the network's ridges. */
  readonly line: Float32Array;
  /** Profile of a stroke in `line`: width of the like box, px; usual height; noise beside it; least height worth a look. */
  readonly ridge: { readonly widthPx: number; readonly crest: number; readonly noise: number; readonly palest: number };
  /** Typical stroke width, paper px. */
  readonly strokeWidthPx: number;
  /** How dark the strokes get, density. */
  readonly crest: number;
  /** Standard deviation of density on bare paper. */
  readonly noise: number;
  /** True where the paper's colour changes from place to place with the subpixels of a display. */
  readonly coloured: boolean;
  /** True where the paper has no grain at all: a program drew the picture, and every line in it is meant. */
  readonly plain: boolean;
  /** Colour of the paper, mean sRGB 0..255. */
  readonly paperColour: readonly [number, number, number];
  /** True where light lines stand on dark ground. */
  readonly lightOnDark: boolean;
}

/**
 * Ink by colour statistics: the paper's own tone is estimated everywhere (so that shadows and casts drop out), and ink
 * is what differs from it.
 */
export function findInk(sheet: Sheet): InkField {
  const { width, height, data, channels } = sheet.raster;
  const plain = isPlainPaper(sheet.raster);
  const tone = paperTone(sheet.raster, plain);
  const density = new Float32Array(width * height);
  // Written over the paper, which is not needed any longer.
  const diff = tone.paper;
  const sign = tone.lightOnDark ? -1 : 1;
  // With light ink on dark ground the full swing is what lies above the ground, not the ground itself.
  const [ground, slope] = tone.lightOnDark ? [255, -1] : [0, 1];
  for (let i = 0, p = 0; p < diff.length; i += channels, p += 3) {
    const red = diff[p];
    const green = diff[p + 1];
    const blue = diff[p + 2];
    diff[p] = (sign * (red - data[i])) / Math.max(ground + slope * red, MIN_SWING);
    diff[p + 1] = (sign * (green - data[i + 1])) / Math.max(ground + slope * green, MIN_SWING);
    diff[p + 2] = (sign * (blue - data[i + 2])) / Math.max(ground + slope * blue, MIN_SWING);
  }
  const noise = settleBias(density, diff);
  blankOutside(density, sheet);
  const { widthPx, crest } = measureStrokes({ width, height, channels: 1, data: density }, noise);
  return {
    width,
    height,
    density,
    diff,
    line: density,
    ridge: { widthPx, crest, noise, palest: PALEST },
    strokeWidthPx: widthPx,
    crest,
    noise,
    coloured: hasColouredGrain(sheet.raster),
    plain,
    paperColour: tone.meanColour,
    lightOnDark: tone.lightOnDark,
  };
}

/** Least height of a stroke as a share of this picture's usual strokes: pale guides are a tenth. */
const PALEST = 0.06;
/** ... and for the network, which leaves out what is no crease itself. */
const PALEST_LEARNED = 0.25;
/** Width of the box that has the variance of a ridge of standard deviation 1. */
const BOX_PER_SIGMA = Math.sqrt(12);

/**
 * The field with its lines as the network sees them; colours and densities stay as measured, but for the width of strokes that a
 * display breaks up into dots.
 */
export function withLearnedLines(ink: InkField, learned: LearnedInk): InkField {
  const widthPx = ink.coloured ? profileWidth(learned.line, ink.density, ink) : null;
  return {
    ...ink,
    strokeWidthPx: widthPx ?? ink.strokeWidthPx,
    line: learned.line,
    ridge: { widthPx: BOX_PER_SIGMA * learned.ridgePx, crest: 1, noise: 0, palest: PALEST_LEARNED },
  };
}

/** Whether its lines are the network's. */
export function hasLearnedLines({ line, density }: InkField): boolean {
  return line !== density;
}

/** The field with its own ink for lines instead of the network's. */
export function withOwnLines(ink: InkField): InkField {
  const { density, strokeWidthPx: widthPx, crest, noise } = ink;
  return { ...ink, line: density, ridge: { widthPx, crest, noise, palest: PALEST } };
}

/** Ink this far outside the outline is not the pattern's, pattern units. */
const OUTSIDE = 0.012;

/** Clears what lies beyond the outline: desk, captions, the sheet's own edge. The outline is taken for convex. */
function blankOutside(density: Float32Array, sheet: Sheet): void {
  const { width, height } = sheet.raster;
  const px = 1 / sheet.pxPerUnit;
  // Height above each side, inside positive, as a x + b y + c in paper px.
  const sides = sidesOf(sheet.polygon).map(({ from, nx, ny }) => ({
    a: nx * px,
    b: -ny * px,
    c: -nx * (from[0] + sheet.originPx[0] * px) - ny * (from[1] - sheet.originPx[1] * px) + OUTSIDE,
  }));
  for (let y = 0; y < height; y++) {
    const isOutside = (x: number): boolean => sides.some((s) => s.a * (x + 0.5) + s.b * (y + 0.5) + s.c < 0);
    let left = 0;
    while (left < width && isOutside(left)) left++;
    let right = width;
    while (right > left && isOutside(right - 1)) right--;
    density.fill(0, y * width, y * width + left);
    density.fill(0, y * width + right, (y + 1) * width);
  }
}

/** Below this much light (of 255) a paper channel says nothing; keeps deep shadows from blowing up. */
const MIN_SWING = 24;

/** Bins for a unit of density. */
const BINS = 400;

/**
 * The paper estimate rides on the crest of the noise. The most common density is bare paper: take it off, per channel,
 * and return the spread of the noise (density units).
 */
function settleBias(density: Float32Array, diff: Float32Array): number {
  const counts = [0, 1, 2].map(() => new Int32Array(BINS));
  for (let c = 0; c < 3; c++) countAbout(diff, c, counts[c]);
  const [inRed, inGreen, inBlue] = counts.map((own) => mode(own) / BINS - 0.2);
  const below = new Int32Array(BINS);
  let n = 0;
  for (let i = 0, p = 0; i < density.length; i++, p += 3) {
    const red = diff[p] - inRed;
    const green = diff[p + 1] - inGreen;
    const blue = diff[p + 2] - inBlue;
    diff[p] = red;
    diff[p + 1] = green;
    diff[p + 2] = blue;
    let sum = red > 0 ? red * red : 0;
    if (green > 0) sum += green * green;
    if (blue > 0) sum += blue * blue;
    density[i] = Math.sqrt(sum / 3);
    // Pixels lighter than paper can only be noise: their spread is the noise.
    const mean = red + green + blue;
    if (mean < 0) {
      below[Math.min(BINS - 1, ((-mean / 3) * BINS) | 0)]++;
      n++;
    }
  }
  return Math.max(1.48 * (quantileBin(below, n, 0.5) / BINS), 0.004);
}

/** Counts the values of a channel from -0.2 to 0.8. */
function countAbout(diff: Float32Array, channel: number, counts: Int32Array): void {
  for (let i = channel; i < diff.length; i += 3) {
    const v = diff[i] + 0.2;
    if (v >= 0 && v < 1) counts[(v * BINS) | 0]++;
  }
}

function mode(counts: Int32Array): number {
  let best = 1;
  let bestCount = -1;
  for (let i = 1; i < counts.length - 1; i++) {
    const v = counts[i - 1] + 2 * counts[i] + counts[i + 1];
    if (v > bestCount) {
      bestCount = v;
      best = i;
    }
  }
  return best + 0.5;
}

function quantileBin(counts: Int32Array, total: number, share: number): number {
  let seen = 0;
  for (let i = 0; i < counts.length; i++) {
    seen += counts[i];
    if (seen >= share * total) return i + 0.5;
  }
  return counts.length;
}

/** The density as a grey picture for people: black is full ink. */
export function inkPicture(ink: InkField): Raster<Uint8Array> {
  const data = new Uint8Array(ink.width * ink.height);
  for (let i = 0; i < data.length; i++) data[i] = 255 - Math.round(255 * Math.min(1, Math.max(0, ink.density[i])));
  return { width: ink.width, height: ink.height, channels: 1, data };
}
