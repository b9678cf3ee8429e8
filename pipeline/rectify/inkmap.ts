/**
 * Where ink lies on a working copy of the picture, whatever the light: each channel against its local paper (a morphological
 * closing, which follows steps such as shadow edges and desk borders without answering to them), as a share of that paper.
 */
import { closing, dilate } from '../lanes.ts';
import type { Raster } from '../types.ts';
import { levelNoise, pixelNoise } from './noise.ts';
import { shrink } from './shrink.ts';
import { smooth } from './smooth.ts';

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
  /** Its pixels and their paper for ink of that polarity; found once. */
  readonly closed: (polarity: Polarity) => Closed;
}

/** Pixels, smoothed where they are grainy, and their local paper: three channels side by side (see lanes.ts), turned over where ink is light. */
interface Closed {
  readonly pixels: Int32Array;
  readonly paper: Int32Array;
}

export function workingCopy(picture: Raster<Uint8Array>, longest = WORKING_LONGEST): WorkingCopy {
  const { raster, scale } = shrink(picture, longest);
  const grain = pixelNoise(raster);
  const found = new Map<Polarity, Closed>();
  const closed = (polarity: Polarity): Closed => {
    const known = found.get(polarity) ?? closedOf(packed(raster, polarity), raster, grain > SMOOTH_ABOVE ? 1 : 0);
    found.set(polarity, known);
    return known;
  };
  return { raster, scale, grain, closed };
}

function closedOf(plane: Int32Array, { width, height }: Raster, passes: number): Closed {
  smooth(plane, width, height, passes);
  return { pixels: plane, paper: closing(plane, width, height, windowOf(width, height), 8) };
}

/** The channels of each pixel side by side, turned over where ink is light. */
function packed({ width, height, data }: Raster<Uint8Array>, polarity: Polarity): Int32Array {
  const out = new Int32Array(width * height);
  const turned = turnedBits(polarity);
  for (let i = 0, p = 0; i < out.length; i++, p += 3) {
    out[i] = (data[p] | (data[p + 1] << 8) | (data[p + 2] << 16)) ^ turned;
  }
  return out;
}

/** The bits that turn a pixel's three channels over where ink is light. */
function turnedBits(polarity: Polarity): number {
  return polarity === 'light-ink' ? 0xffffff : 0;
}

/** The ink of a picture for lines darker (or lighter) than their paper. */
export function inkMap(copy: WorkingCopy, polarity: Polarity): InkMap {
  const { raster, scale } = copy;
  const { width, height } = raster;
  const ink = inkOf(copy, polarity, 'most');
  const { paper: closed } = copy.closed(polarity);
  const paper = new Uint8Array(width * height * 3);
  const turned = turnedBits(polarity);
  for (let i = 0, p = 0; i < closed.length; i++, p += 3) {
    const own = closed[i] ^ turned;
    paper[p] = own & 255;
    paper[p + 1] = (own >> 8) & 255;
    paper[p + 2] = (own >> 16) & 255;
  }
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
export function greyMap({ raster }: WorkingCopy, map: InkMap): InkMap {
  const { width, height, data } = raster;
  const mean = new Int32Array(width * height);
  const isTurned = map.polarity === 'light-ink';
  for (let i = 0, p = 0; i < mean.length; i++, p += 3) {
    const grey = (data[p] + data[p + 1] + data[p + 2]) / 3;
    mean[i] = isTurned ? 255 - grey : grey;
  }
  const { pixels, paper } = closedOf(mean, raster, SMOOTHER);
  const contrasts = contrastsOf(map.polarity);
  const ink = new Uint8Array(mean.length);
  const light = new Uint8Array(mean.length);
  for (let i = 0; i < ink.length; i++) {
    ink[i] = contrasts[((paper[i] & 255) << 8) | (pixels[i] & 255)];
    light[i] = lightOf(paper[i] & 255, map.polarity);
  }
  const spread = levelNoise(ink, light, width, height);
  const noise = Math.min(LEAST_CONTRAST, Math.max(LEAST_SMOOTHED, SELDOM_SPREADS * spread));
  return { ...map, ink: padded(ink, width, height, 1, map.rim, false), noise };
}

/**
 * The same map with its ink from the channel of least contrast: what a display's lattice and the camera's make together is coloured, dark in one channel or two
 * and light in another, while the ink of a border is dark in all. Ink of a pure colour is not in it.
 */
export function blackMap(copy: WorkingCopy, map: InkMap): InkMap {
  const { width, height } = copy.raster;
  return { ...map, ink: padded(inkOf(copy, map.polarity, 'least'), width, height, 1, map.rim, false) };
}

/** The ink of each pixel by the channel in which its contrast is most, or least. */
function inkOf({ raster, closed }: WorkingCopy, polarity: Polarity, contrast: 'most' | 'least'): Uint8Array {
  const { width, height } = raster;
  const { pixels, paper } = closed(polarity);
  const contrasts = contrastsOf(polarity);
  const isMost = contrast === 'most';
  const ink = new Uint8Array(width * height);
  const light = new Uint8Array(width * height);
  for (let i = 0; i < ink.length; i++) {
    const [here, around] = [pixels[i], paper[i]];
    const red = around & 255;
    const green = (around >> 8) & 255;
    const blue = (around >> 16) & 255;
    const inRed = contrasts[(red << 8) | (here & 255)];
    const inGreen = contrasts[(green << 8) | ((here >> 8) & 255)];
    const inBlue = contrasts[(blue << 8) | ((here >> 16) & 255)];
    ink[i] = isMost ? Math.max(inRed, inGreen, inBlue) : Math.min(inRed, inGreen, inBlue);
    light[i] = lightOf(Math.min(red, green, blue), polarity);
  }
  levelNoise(ink, light, width, height);
  return ink;
}

/** The light by which contrast is divided. Screens with light lines: contrast counts from black up, so no division by the paper. */
function lightOf(paper: number, polarity: Polarity): number {
  return polarity === 'light-ink' ? 255 : Math.max(DIMMEST_PAPER, paper);
}

const CONTRASTS = new Map<Polarity, Uint8Array>();

/** Contrast of a channel with its local paper, 0..255, by 256 times the paper and the pixel: a division a pixel is spared. */
function contrastsOf(polarity: Polarity): Uint8Array {
  const known = CONTRASTS.get(polarity);
  if (known) return known;
  const out = new Uint8Array(256 * 256);
  for (let paper = 0; paper < 256; paper++) {
    for (let pixel = 0; pixel <= paper; pixel++) {
      out[(paper << 8) | pixel] = ((paper - pixel) * 255) / lightOf(paper, polarity);
    }
  }
  CONTRASTS.set(polarity, out);
  return out;
}

function windowOf(width: number, height: number): number {
  return Math.max(WINDOW_LEAST, Math.round(WINDOW_SHARE * Math.max(width, height)) | 1);
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
  // Beside it what is turned over, so that the lowest values come along with the highest.
  const grey = new Int32Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const p = (2 * y * copy.raster.width + 2 * x) * 3;
      const v = (data[p] + 2 * data[p + 1] + data[p + 2]) >> 2;
      grey[y * width + x] = v | ((255 - v) << 8);
    }
  }
  const side = (windowOf(copy.raster.width, copy.raster.height) >> 1) | 1;
  const extremes = dilate(grey, width, height, side, 8);
  const busy = Math.max(3 * LEAST_CONTRAST, 10 * copy.grain);
  let all = 0;
  let light = 0;
  for (let i = 0; i < grey.length; i++) {
    const high = extremes[i] & 255;
    const low = 255 - ((extremes[i] >> 8) & 255);
    if (high - low < busy) continue;
    all++;
    if (2 * (grey[i] & 255) > high + low) light++;
  }
  return all ? light / all : 0.5;
}
