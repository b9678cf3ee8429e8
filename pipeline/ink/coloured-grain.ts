/** Coloured grain: beats between a display's subpixels and a camera's mosaic, which shift the colour of every pixel and its brightness little. */
import type { Raster } from '../types.ts';

/** Side of the blocks in which grain is measured, px: a few pixels of any display. */
const BLOCK_PX = 9;
/** This share of the blocks is bare paper on the fullest sheet, whose lines are coloured but whose paper is not. */
const BARE_SHARE = 0.1;
/** Spread of the two colour differences on bare paper that is grain, grey levels: twice a noisy camera's, which JPEG halves once more. */
const LEAST_GRAIN = 3.5;

/** True where even bare paper is full of coloured grain: a photograph of a display. `sheet` is RGB, sRGB 0..255. */
export function hasColouredGrain(sheet: Raster<Uint8Array>): boolean {
  return bareGrain(sheet) > LEAST_GRAIN;
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
