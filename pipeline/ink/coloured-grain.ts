/** Coloured grain: beats between a display's subpixels and a camera's mosaic, which shift the colour of every pixel and its brightness little. */
import type { Raster } from '../types.ts';

/** Side of the blocks in which grain is measured, px: a few pixels of any display. */
const BLOCK_PX = 9;
/** This share of the blocks is bare paper on the fullest sheet, whose lines are coloured but whose paper is not. */
const BARE_SHARE = 0.1;
/** Spread of the two colour differences on bare paper that is grain, grey levels: twice a noisy camera's, which JPEG halves once more. */
const LEAST_GRAIN = 3.5;
/** Half-width of the two running means that take the colour of a pixel from its neighbours, px: a display's pixel is 2 to 4 px wide on the sheet. */
const REACH_PX = 3;

/**
 * The sheet as the network should see it: where even bare paper is full of coloured grain, every pixel keeps its brightness (the mean of its channels, in
 * which the beats of red, green and blue subpixels cancel) and takes its colour from its neighbours. A quiet sheet comes back as it is.
 *
 * @param sheet RGB, sRGB 0..255
 */
export function withoutColouredGrain(sheet: Raster<Uint8Array>): Raster<Uint8Array> {
  return bareGrain(sheet) < LEAST_GRAIN ? sheet : quieted(sheet);
}

/** Spread of colour within the quietest blocks of a sheet, grey levels: root of the summed variances of red less green and blue less green. */
export function bareGrain({ width, height, channels, data }: Raster<Uint8Array>): number {
  const across = Math.floor(width / BLOCK_PX);
  const down = Math.floor(height / BLOCK_PX);
  if (across * down === 0) return 0;
  const variances = new Float32Array(across * down);
  const n = BLOCK_PX * BLOCK_PX;
  for (let row = 0; row < down; row++) {
    for (let column = 0; column < across; column++) {
      let [red, red2, blue, blue2] = [0, 0, 0, 0];
      for (let y = row * BLOCK_PX; y < (row + 1) * BLOCK_PX; y++) {
        let p = (y * width + column * BLOCK_PX) * channels;
        for (let x = 0; x < BLOCK_PX; x++, p += channels) {
          const r = data[p] - data[p + 1];
          const b = data[p + 2] - data[p + 1];
          red += r;
          red2 += r * r;
          blue += b;
          blue2 += b * b;
        }
      }
      variances[row * across + column] = (red2 + blue2 - (red * red + blue * blue) / n) / n;
    }
  }
  variances.sort();
  return Math.sqrt(variances[Math.floor(BARE_SHARE * variances.length)]);
}

function quieted({ width, height, channels, data }: Raster<Uint8Array>): Raster<Uint8Array> {
  const pixels = width * height;
  const light = new Uint16Array(pixels);
  for (let i = 0, p = 0; i < pixels; i++, p += channels) light[i] = data[p] + data[p + 1] + data[p + 2];
  const out = new Uint8Array(data.length);
  const shade = new Float32Array(pixels);
  const scratch = new Float32Array(pixels);
  for (let c = 0; c < 3; c++) {
    for (let i = 0, p = c; i < pixels; i++, p += channels) shade[i] = data[p] - light[i] / 3;
    for (let pass = 0; pass < 2; pass++) {
      runningMean(shade, scratch, width, height, 1, width);
      runningMean(scratch, shade, height, width, width, 1);
    }
    // Values are held to 0..255 by hand: a plain array of bytes would wrap.
    for (let i = 0, p = c; i < pixels; i++, p += channels) {
      out[p] = Math.min(255, Math.max(0, Math.round(light[i] / 3 + shade[i])));
    }
  }
  return { width, height, channels, data: out };
}

/** Mean over 2 REACH_PX + 1 values along lines of `n`, `step` apart; the ends repeat. */
function runningMean(
  src: Float32Array,
  into: Float32Array,
  n: number,
  lines: number,
  step: number,
  lineStep: number,
): void {
  const share = 1 / (2 * REACH_PX + 1);
  for (let l = 0; l < lines; l++) {
    const base = l * lineStep;
    const at = (i: number): number => src[base + Math.min(n - 1, Math.max(0, i)) * step];
    let sum = 0;
    for (let i = -REACH_PX; i <= REACH_PX; i++) sum += at(i);
    for (let i = 0; i < n; i++) {
      into[base + i * step] = sum * share;
      sum += at(i + REACH_PX + 1) - at(i - REACH_PX);
    }
  }
}
