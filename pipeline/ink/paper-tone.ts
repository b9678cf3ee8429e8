import { closing } from '../lanes.ts';
import type { Raster } from '../types.ts';
import { keepFaces } from './faces.ts';
import { enlarge } from './scale.ts';

export interface PaperTone {
  /** Colour of the bare paper at every pixel, three channels, 0..255. */
  readonly paper: Float32Array;
  readonly meanColour: readonly [number, number, number];
  readonly lightOnDark: boolean;
}

/** Shortest side over this is the reach of the closing: wider than any stroke, narrower than a shadow. */
const REACH_SHARE = 1 / 60;

/**
 * The bare paper under the ink: a grey closing per channel (an opening where the ground is dark) at half resolution,
 * smoothed. A closing fills strokes narrower than its reach yet keeps the edges of shadows (Serra 1982). Where one tinted
 * colour covers most of the sheet it is the paper everywhere: lines may be lighter than it in one channel and darker in another.
 *
 * @param isPlain a program drew the picture: faces that it filled are paper to their edges
 */
export function paperTone(raster: Raster<Uint8Array>, isPlain = false): PaperTone {
  const lightOnDark = isLightOnDark(raster);
  const flat = flatGround(raster);
  if (flat) return { paper: spread(flat, raster.width * raster.height), meanColour: flat, lightOnDark };
  const w = Math.ceil(raster.width / 2);
  const h = Math.ceil(raster.height / 2);
  const reach = Math.max(5, Math.round(Math.min(w, h) * REACH_SHARE));
  const small = new Float32Array(w * h * 3);
  const mean: [number, number, number] = [0, 0, 0];
  // On dark ground the channels are turned over, closed, and turned back.
  const sums = sumsOfFour(raster, w, h, lightOnDark);
  const closed = closing(sums, w, h, 2 * reach + 1, SUM_BITS);
  for (let c = 0; c < 3; c++) {
    const half = boxBlur(quarters(closed, c), w, h, Math.max(1, reach >> 1));
    if (lightOnDark) for (let i = 0; i < half.length; i++) half[i] = 255 - half[i];
    mean[c] = spreadOut(half, small, c) / half.length;
  }
  const paper = enlarge({ width: w, height: h, channels: 3, data: small }, 2, raster.width, raster.height);
  if (isPlain) {
    const halves = [0, 1, 2].map((c) => quarters(sums, c));
    keepFaces(raster, halves, { width: w, height: h, reach, isTurned: lightOnDark }, paper);
  }
  return { paper, meanColour: mean, lightOnDark };
}

/** One colour, to so many levels a channel, covers this share of a sheet that a program filled. */
const FLAT_LEVELS = 2;
const FLAT_SHARE = 0.6;

/** The colour that covers most of a sheet of no light ground; null where none does. */
function flatGround({ data, channels, width, height }: Raster<Uint8Array>): [number, number, number] | null {
  const [left, top] = [Math.round(BESIDE_SHARE * width), Math.round(BESIDE_SHARE * height)];
  const counts = [0, 1, 2].map(() => new Int32Array(256));
  const [reds, greens, blues] = counts;
  for (let y = top; y < height - top; y += 3) {
    for (let x = left; x < width - left; x += 3) {
      const i = (y * width + x) * channels;
      reds[data[i]]++;
      greens[data[i + 1]]++;
      blues[data[i + 2]]++;
    }
  }
  const usual = counts.map((of) => of.indexOf(Math.max(...of)));
  const [r, g, b] = usual;
  if (luma(Uint8Array.from(usual), 0) >= LIGHT) return null;
  let [all, on] = [0, 0];
  for (let y = top; y < height - top; y += 3) {
    for (let x = left; x < width - left; x += 3) {
      const i = (y * width + x) * channels;
      all++;
      const isFlat =
        Math.abs(data[i] - r) <= FLAT_LEVELS &&
        Math.abs(data[i + 1] - g) <= FLAT_LEVELS &&
        Math.abs(data[i + 2] - b) <= FLAT_LEVELS;
      if (isFlat) on++;
    }
  }
  return on > FLAT_SHARE * all ? [r, g, b] : null;
}

function spread(colour: readonly number[], count: number): Float32Array {
  const out = new Float32Array(3 * count);
  for (let p = 0; p < out.length; p++) out[p] = colour[p % 3];
  return out;
}

/** Darker than this half of the sheet is dark ground, and lighter than that light ground, 0..255; between both fine lines decide. */
const DARK = 110;
const LIGHT = 190;
/** What lies beside the sheet is not asked, a share of the raster's sides. */
const BESIDE_SHARE = 0.04;
/** On ground of middling light the lines are light where they are so many times as plain as dark ones, ... */
const PLAINLY = 4;
/** ... against the mean of what lies around, to this share of the sides. */
const AROUND_SHARE = 1 / 80;

/** Paper is what there is most of, and ink what departs from it: by squares, for few thin lines are a small share of the sheet, but far off. */
function isLightOnDark(raster: Raster<Uint8Array>): boolean {
  const { data, channels, width, height } = raster;
  const counts = new Int32Array(256);
  const [left, top] = [Math.round(BESIDE_SHARE * width), Math.round(BESIDE_SHARE * height)];
  let n = 0;
  for (let y = top; y < height - top; y++) {
    for (let x = left + (y % 3); x < width - left; x += 3) {
      const i = (y * width + x) * channels;
      counts[Math.round(luma(data, i))]++;
      n++;
    }
  }
  let middle = 0;
  for (let seen = counts[0]; seen < n / 2; seen += counts[++middle]);
  if (middle >= LIGHT) return false;
  if (middle >= DARK) return hasLightLines(raster, left, top);
  let [darker, lighter] = [0, 0];
  for (let v = 0; v < middle; v++) darker += counts[v] * (middle - v) ** 2;
  for (let v = middle + 1; v < 256; v++) lighter += counts[v] * (v - middle) ** 2;
  return lighter > darker;
}

function luma(data: Uint8Array, i: number): number {
  return 0.3 * data[i] + 0.59 * data[i + 1] + 0.11 * data[i + 2];
}

/** Whether what stands out from its surroundings is lighter than they are; by cubes, so that lamps and shadows, which are broad, hardly count. */
function hasLightLines({ data, channels, width, height }: Raster<Uint8Array>, left: number, top: number): boolean {
  const grey = new Float32Array(width * height);
  for (let i = 0; i < grey.length; i++) grey[i] = luma(data, i * channels);
  const around = boxBlur(grey, width, height, Math.max(5, Math.round(Math.min(width, height) * AROUND_SHARE)));
  let [darker, lighter] = [0, 0];
  for (let y = top; y < height - top; y++) {
    for (let i = y * width + left; i < (y + 1) * width - left; i++) {
      const off = grey[i] - around[i];
      if (off > 0) lighter += off * off * off;
      else darker -= off * off * off;
    }
  }
  return lighter > PLAINLY * darker;
}

/** Sums of four values of a channel take so many bits. */
const SUM_BITS = 10;
/** 255 four times in each of three channels. */
const WHITE = 1020 * (1 + (1 << SUM_BITS) + (1 << (2 * SUM_BITS)));

/** Sums of two by two pixels, three channels side by side (see lanes.ts); the last row and column count twice where they have no neighbour. */
function sumsOfFour({ width, height, channels, data }: Raster<Uint8Array>, w: number, h: number, turned: boolean) {
  const out = new Int32Array(w * h);
  for (let y = 0, i = 0; y < h; y++) {
    const upper = 2 * y * width * channels;
    const lower = Math.min(height - 1, 2 * y + 1) * width * channels;
    for (let x = 0; x < w; x++, i++) {
      const left = 2 * x * channels;
      const right = Math.min(width - 1, 2 * x + 1) * channels;
      const [a, b, c, d] = [upper + left, upper + right, lower + left, lower + right];
      const red = data[a] + data[b] + data[c] + data[d];
      const green = data[a + 1] + data[b + 1] + data[c + 1] + data[d + 1];
      const blue = data[a + 2] + data[b + 2] + data[c + 2] + data[d + 2];
      const sum = red | (green << SUM_BITS) | (blue << (2 * SUM_BITS));
      out[i] = turned ? WHITE - sum : sum;
    }
  }
  return out;
}

/** A quarter of the sums of one channel: means. */
function quarters(sums: Int32Array, channel: number): Float32Array {
  const out = new Float32Array(sums.length);
  const shift = channel * SUM_BITS;
  for (let i = 0; i < out.length; i++) out[i] = ((sums[i] >> shift) & 1023) / 4;
  return out;
}

/** Writes a channel among three; returns its sum. */
function spreadOut(plane: Float32Array, into: Float32Array, channel: number): number {
  let sum = 0;
  for (let i = 0, p = channel; i < plane.length; i++, p += 3) {
    sum += plane[i];
    into[p] = plane[i];
  }
  return sum;
}

/** Running mean with half-width `reach`, rows then columns; edges repeat. */
function boxBlur(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  return blurDown(blurAlong(src, w, h, reach), w, h, reach);
}

function blurAlong(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  const inv = 1 / (2 * reach + 1);
  const out = new Float32Array(src.length);
  const line = new Float32Array(w + 2 * reach + 1);
  for (let y = 0; y < h; y++) {
    const base = y * w;
    // Beyond its ends the row goes on as it ends.
    line.fill(src[base], 0, reach);
    line.set(src.subarray(base, base + w), reach);
    line.fill(src[base + w - 1], reach + w);
    let sum = 0;
    for (let i = 0; i <= 2 * reach; i++) sum += line[i];
    for (let i = 0, enters = 2 * reach + 1; i < w; i++, enters++) {
      out[base + i] = sum * inv;
      sum += line[enters] - line[i];
    }
  }
  return out;
}

/** The same along columns, whole rows at a time. */
function blurDown(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  const inv = 1 / (2 * reach + 1);
  const out = new Float32Array(src.length);
  const sums = new Float64Array(w);
  for (let i = -reach; i <= reach; i++) {
    const row = Math.min(h - 1, Math.max(0, i)) * w;
    for (let x = 0; x < w; x++) sums[x] += src[row + x];
  }
  for (let y = 0; y < h; y++) {
    const enters = Math.min(h - 1, y + reach + 1) * w;
    const leaves = Math.max(0, y - reach) * w;
    for (let x = 0, o = y * w; x < w; x++, o++) {
      out[o] = sums[x] * inv;
      sums[x] += src[enters + x] - src[leaves + x];
    }
  }
  return out;
}
