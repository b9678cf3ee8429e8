import type { Raster } from '../types.ts';

/** Relative luminance (WCAG 2) above which ink on white has a contrast under 1.5 : 1, and under which ink on black has. */
const VANISHES_ON_WHITE = 1.05 / 1.5 - 0.05;
const VANISHES_ON_BLACK = 0.05 * 1.5 - 0.05;
/** Lines alone never cover this share of a drawing; what covers more is the sheet itself. */
const LARGEST_LINE_SHARE = 0.5;
/** Share of the drawn pixels that may vanish before the ground is changed: less is a highlight or the rim of a line. */
const VANISHING_SHARE = 0.15;
/** Slanted lines are no wider than this share of the longest side, or px, across and down: what is wider both ways is a filled face. */
const WIDEST_LINE = 0.015;
const LEAST_FACE_PX = 12;
/** Alpha from which a pixel counts as drawn rather than as the soft rim of a line. */
const DRAWN_ALPHA = 128;

/**
 * Any 1 to 4 channels to three: grey is repeated, transparent pixels are laid on white. A drawing of light lines with
 * nothing behind them is laid on black, where it can be seen.
 */
export function flattenOnContrast(source: Raster<Uint8Array>): Raster<Uint8Array> {
  const { width, height, channels, data } = source;
  if (channels === 3) return source;
  const count = width * height;
  const colours = channels > 2 ? 3 : 1;
  const hasAlpha = channels === 2 || channels === 4;
  const ground = hasAlpha && linesAreLight(source) ? 0 : 255;
  const flat = new Uint8Array(count * 3);
  for (let i = 0, from = 0, to = 0; i < count; i++, from += channels, to += 3) {
    const alpha = hasAlpha ? data[from + channels - 1] : 255;
    for (let c = 0; c < 3; c++) {
      const ink = data[from + (colours === 3 ? c : 0)];
      flat[to + c] = Math.round((ink * alpha + ground * (255 - alpha)) / 255);
    }
  }
  return { width, height, channels: 3, data: flat };
}

/** Whether lines would vanish on white more than on black; faces that are filled with a light colour are no lines. */
function linesAreLight(source: Raster<Uint8Array>): boolean {
  const { width, height } = source;
  const drawn = countDrawn(source);
  // Opaque pictures cost no more than this count.
  if (drawn > LARGEST_LINE_SHARE * width * height) return false;
  const light = luminanceOf(source);
  const vanishes = new Uint8Array(light.length);
  for (let i = 0; i < light.length; i++) if (light[i] > VANISHES_ON_WHITE) vanishes[i] = 1;
  const least = Math.max(LEAST_FACE_PX, Math.round(WIDEST_LINE * Math.max(width, height)));
  const [across, down] = [
    inLongRuns(vanishes, height, width, [width, 1], least),
    inLongRuns(vanishes, width, height, [1, width], least),
  ];
  let inFaces = 0;
  let lostOnWhite = 0;
  let lostOnBlack = 0;
  for (let i = 0; i < light.length; i++) {
    if (light[i] < 0) continue;
    if (light[i] < VANISHES_ON_BLACK) lostOnBlack++;
    else if (vanishes[i]) {
      if (across[i] && down[i]) inFaces++;
      else lostOnWhite++;
    }
  }
  return lostOnWhite > VANISHING_SHARE * (drawn - inFaces) && lostOnWhite > lostOnBlack;
}

function countDrawn({ channels, data }: Raster<Uint8Array>): number {
  let count = 0;
  for (let at = channels - 1; at < data.length; at += channels) if (data[at] >= DRAWN_ALPHA) count++;
  return count;
}

/** 1 for the pixels of runs of at least that many, along each of `lines` lines of `length` pixels: steps from line to line, and along one. */
function inLongRuns(
  marked: Uint8Array,
  lines: number,
  length: number,
  [next, along]: readonly [number, number],
  least: number,
): Uint8Array {
  const out = new Uint8Array(marked.length);
  for (let line = 0; line < lines; line++) {
    for (let from = 0; from < length; from++) {
      let to = from;
      while (to < length && marked[line * next + to * along]) to++;
      if (to - from >= least) for (let k = from; k < to; k++) out[line * next + k * along] = 1;
      from = to;
    }
  }
  return out;
}

/** Relative luminance of each drawn pixel, 0..1; -1 where nothing is drawn. */
function luminanceOf({ width, height, channels, data }: Raster<Uint8Array>): Float32Array {
  const linear = linearLight();
  const [g, b] = channels === 4 ? [1, 2] : [0, 0];
  const out = new Float32Array(width * height).fill(-1);
  for (let i = 0, at = 0; i < out.length; i++, at += channels) {
    if (data[at + channels - 1] < DRAWN_ALPHA) continue;
    out[i] = 0.2126 * linear[data[at]] + 0.7152 * linear[data[at + g]] + 0.0722 * linear[data[at + b]];
  }
  return out;
}

/** Linear light of each 8-bit sRGB value (IEC 61966-2-1). */
function linearLight(): Float64Array {
  return Float64Array.from({ length: 256 }, (_, v) => {
    const s = v / 255;
    return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
  });
}
