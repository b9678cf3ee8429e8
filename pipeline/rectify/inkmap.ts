/**
 * Where ink lies on a working copy of the picture, whatever the light: each channel against its local paper (a morphological
 * closing, which follows steps such as shadow edges and desk borders without answering to them), as a share of that paper.
 */
import type { Raster } from '../types.ts';
import { closing, dilate, erode } from './morphology.ts';
import { levelNoise, pixelNoise } from './noise.ts';
import { shrink } from './shrink.ts';

export type Polarity = 'dark-ink' | 'light-ink';

/**
 * The working copy: the shrunk picture with a rim of bare paper all round, so that lines along the picture's edge have two flanks. A picture point (x, y) lies at
 * index (x * scale + rim - 0.5, y * scale + rim - 0.5).
 */
export interface InkMap {
  readonly width: number;
  readonly height: number;
  /** Width of the rim, working px. */
  readonly rim: number;
  /** Working px per picture px, at most 1. */
  readonly scale: number;
  readonly polarity: Polarity;
  /** Contrast of ink with its paper, 0..255 for 0..100 % of the paper's light, one value a pixel. */
  readonly ink: Uint8Array;
  /** Local paper colour (ink removed), RGB interleaved, in the colours of the picture. */
  readonly paper: Uint8Array;
  /** The picture itself on the working copy, RGB interleaved. */
  readonly picture: Uint8Array;
  /** Contrast that pixel noise reaches seldom (about one pixel in a thousand). */
  readonly noise: number;
}

/** Rim of bare paper around the working copy, px: a few times the smoothing. */
const RIM_PX = 8;
/** Longest side of the working copy: strokes of a 2600 px picture stay visible, and every pass costs under 100 ms. */
const WORKING_LONGEST = 1100;
/** Side of the closing window as a share of the longest side: wider than any stroke, smaller than the paper between text lines. */
const WINDOW_SHARE = 0.022;
/** Smallest window, px: a 12 px stroke on a 480 px picture has to vanish in it. */
const WINDOW_LEAST = 15;
/** Light below which a ratio to paper only amplifies noise (dark desks). */
const DIMMEST_PAPER = 56;
/** Noise above which the working copy is smoothed first, grey levels. */
const SMOOTH_ABOVE = 1.6;
/** Least contrast that may count as ink, of 255. */
const LEAST_CONTRAST = 9;
/** Passes of binomial smoothing that take fringes of some px away: 6 of half a squared px each. */
const SMOOTHER = 6;
/** Least contrast of ink after them, and spreads of the noise that it seldom reaches. */
const LEAST_SMOOTHED = 4;
const SELDOM_SPREADS = 3;

/** What is common to both polarities. */
export interface WorkingCopy {
  readonly raster: Raster<Uint8Array>;
  readonly scale: number;
  /** Pixel noise, grey levels. */
  readonly grain: number;
}

export function workingCopy(picture: Raster<Uint8Array>, longest = WORKING_LONGEST): WorkingCopy {
  const { raster, scale } = shrink(picture, longest);
  return { raster, scale, grain: pixelNoise(raster) };
}

/** The ink of a picture for lines darker (or lighter) than their paper. */
export function inkMap(copy: WorkingCopy, polarity: Polarity): InkMap {
  const { raster, scale } = copy;
  const { width, height } = raster;
  const ink = new Uint8Array(width * height);
  const light = new Uint8Array(width * height);
  const paper = new Uint8Array(width * height * 3);
  for (let c = 0; c < 3; c++) {
    const contrast = contrastOf(copy, polarity, (p) => raster.data[p + c]);
    for (let i = 0, p = c; i < ink.length; i++, p += 3) {
      if (c === 0 || contrast.light[i] < light[i]) light[i] = contrast.light[i];
      if (contrast.ink[i] > ink[i]) ink[i] = contrast.ink[i];
      paper[p] = contrast.paper[i];
    }
  }
  levelNoise(ink, light, width, height);
  const rim = RIM_PX;
  return {
    width: width + 2 * rim,
    height: height + 2 * rim,
    rim,
    scale,
    polarity,
    ink: padded(ink, width, height, 1, rim, false),
    paper: padded(paper, width, height, 3, rim, true),
    picture: padded(raster.data, width, height, 3, rim, true),
    noise: LEAST_CONTRAST,
  };
}

/**
 * The same map with its ink from the mean of the channels, smoothed: grain of single pixels is coloured, each channel dark where another is light, and cancels in
 * the mean, while ink is dark in most channels. Noise and ink are both paler then. Coloured ink on a quiet page shows less in it.
 */
export function greyMap(copy: WorkingCopy, map: InkMap): InkMap {
  const { width, height, data } = copy.raster;
  const mean = (p: number): number => (data[p] + data[p + 1] + data[p + 2]) / 3;
  const { ink, light } = contrastOf(copy, map.polarity, mean, SMOOTHER);
  const spread = levelNoise(ink, light, width, height);
  const noise = Math.min(LEAST_CONTRAST, Math.max(LEAST_SMOOTHED, SELDOM_SPREADS * spread));
  return { ...map, ink: padded(ink, width, height, 1, map.rim, false), noise };
}

/**
 * The same map with its ink from the channel of least contrast: what a display's lattice and the camera's make together is coloured, dark in one channel or two
 * and light in another, while the ink of a border is dark in all. Ink of a pure colour is not in it.
 */
export function blackMap(copy: WorkingCopy, map: InkMap): InkMap {
  const { width, height, data } = copy.raster;
  const channels = [0, 1, 2].map((c) => contrastOf(copy, map.polarity, (p) => data[p + c]));
  const [{ ink, light }, ...others] = channels;
  for (const other of others) {
    for (let i = 0; i < ink.length; i++) {
      if (other.ink[i] < ink[i]) ink[i] = other.ink[i];
      if (other.light[i] < light[i]) light[i] = other.light[i];
    }
  }
  levelNoise(ink, light, width, height);
  return { ...map, ink: padded(ink, width, height, 1, map.rim, false) };
}

/** Contrast with the local paper, 0..255, of one reading of the pixels; `read` gives 0..255 for the pixel whose red is at that index. */
function contrastOf(
  { raster, grain }: WorkingCopy,
  polarity: Polarity,
  read: (index: number) => number,
  passes = grain > SMOOTH_ABOVE ? 1 : 0,
): { ink: Uint8Array; light: Uint8Array; paper: Uint8Array } {
  const { width, height } = raster;
  const flip = polarity === 'light-ink';
  const plane = new Uint8Array(width * height);
  for (let i = 0, p = 0; i < plane.length; i++, p += 3) plane[i] = flip ? 255 - read(p) : read(p);
  let smooth: Uint8Array = plane;
  for (let k = 0; k < passes; k++) smooth = binomial(smooth, width, height);
  const paper = closing(smooth, width, height, windowOf(raster));
  const ink = new Uint8Array(plane.length);
  const light = new Uint8Array(plane.length);
  for (let i = 0; i < plane.length; i++) {
    // Screens with light lines: contrast counts from black up, so no division by the paper.
    light[i] = flip ? 255 : Math.max(DIMMEST_PAPER, paper[i]);
    ink[i] = ((paper[i] - smooth[i]) * 255) / light[i];
    if (flip) paper[i] = 255 - paper[i];
  }
  return { ink, light, paper };
}

function windowOf(raster: Raster<Uint8Array>): number {
  return Math.max(WINDOW_LEAST, Math.round(WINDOW_SHARE * Math.max(raster.width, raster.height)) | 1);
}

/** A plane with a rim around it, zero or the nearest pixel. */
function padded(
  plane: Uint8Array,
  width: number,
  height: number,
  channels: number,
  rim: number,
  replicate: boolean,
): Uint8Array {
  const wide = (width + 2 * rim) * channels;
  const out = new Uint8Array(wide * (height + 2 * rim));
  for (let y = 0; y < height + 2 * rim; y++) {
    const from = Math.min(height - 1, Math.max(0, y - rim));
    if (from !== y - rim && !replicate) continue;
    const o = y * wide + rim * channels;
    out.set(plane.subarray(from * width * channels, (from + 1) * width * channels), o);
    if (!replicate) continue;
    for (let k = 0; k < rim * channels; k++) {
      out[y * wide + k] = plane[from * width * channels + (k % channels)];
      out[o + width * channels + k] = plane[((from + 1) * width - 1) * channels + (k % channels)];
    }
  }
  return out;
}

/**
 * Share of the busy pixels that are nearer to the lightest than to the darkest value around them: near 1 for dark lines on light paper, near 0 for light lines on
 * dark paper. Paper is the larger part of the sheet whatever is drawn on it.
 */
export function lightShare(copy: WorkingCopy): number {
  const { data } = copy.raster;
  // Every other pixel will do: the share is counted over large areas.
  const width = Math.max(1, copy.raster.width >> 1);
  const height = Math.max(1, copy.raster.height >> 1);
  const grey = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const p = (2 * y * copy.raster.width + 2 * x) * 3;
      grey[y * width + x] = (data[p] + 2 * data[p + 1] + data[p + 2]) >> 2;
    }
  }
  const side = (windowOf(copy.raster) >> 1) | 1;
  const high = dilate(grey, width, height, side);
  const low = erode(grey, width, height, side);
  const busy = Math.max(3 * LEAST_CONTRAST, 10 * copy.grain);
  let all = 0;
  let light = 0;
  for (let i = 0; i < grey.length; i++) {
    if (high[i] - low[i] < busy) continue;
    all++;
    if (2 * grey[i] > high[i] + low[i]) light++;
  }
  return all ? light / all : 0.5;
}

/** 3 x 3 binomial smoothing. */
function binomial(plane: Uint8Array, width: number, height: number): Uint8Array {
  const out = new Uint8Array(plane.length);
  const rows = new Uint16Array(plane.length);
  for (let y = 0; y < height; y++) {
    const o = y * width;
    for (let x = 0; x < width; x++) {
      rows[o + x] = plane[o + Math.max(0, x - 1)] + 2 * plane[o + x] + plane[o + Math.min(width - 1, x + 1)];
    }
  }
  for (let y = 0; y < height; y++) {
    const o = y * width;
    const up = Math.max(0, y - 1) * width;
    const down = Math.min(height - 1, y + 1) * width;
    for (let x = 0; x < width; x++) out[o + x] = (rows[up + x] + 2 * rows[o + x] + rows[down + x] + 8) >> 4;
  }
  return out;
}
