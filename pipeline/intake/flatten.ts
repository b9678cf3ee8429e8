import type { Raster } from '../types.ts';

/** Relative luminance (WCAG 2) above which ink on white has a contrast under 1.5 : 1, and under which ink on black has. */
const VANISHES_ON_WHITE = 1.05 / 1.5 - 0.05;
const VANISHES_ON_BLACK = 0.05 * 1.5 - 0.05;
/** Lines alone never cover this share of a drawing; what covers more is the sheet itself. */
const LARGEST_LINE_SHARE = 0.5;
/** Share of the drawn pixels that may vanish before the ground is changed: less is a highlight or the rim of a line. */
const VANISHING_SHARE = 0.15;
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

function linesAreLight({ width, height, channels, data }: Raster<Uint8Array>): boolean {
  const linear = linearLight();
  const count = width * height;
  let drawn = 0;
  let lostOnWhite = 0;
  let lostOnBlack = 0;
  for (let i = 0, at = 0; i < count; i++, at += channels) {
    if (data[at + channels - 1] < DRAWN_ALPHA) continue;
    drawn++;
    const [r, g, b] = channels === 4 ? [data[at], data[at + 1], data[at + 2]] : [data[at], data[at], data[at]];
    const luminance = 0.2126 * linear[r] + 0.7152 * linear[g] + 0.0722 * linear[b];
    if (luminance > VANISHES_ON_WHITE) lostOnWhite++;
    else if (luminance < VANISHES_ON_BLACK) lostOnBlack++;
  }
  return drawn <= LARGEST_LINE_SHARE * count && lostOnWhite > VANISHING_SHARE * drawn && lostOnWhite > lostOnBlack;
}

/** Linear light of each 8-bit sRGB value (IEC 61966-2-1). */
function linearLight(): Float64Array {
  return Float64Array.from({ length: 256 }, (_, v) => {
    const s = v / 255;
    return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
  });
}
