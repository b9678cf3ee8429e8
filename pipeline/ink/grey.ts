import type { Raster } from '../types.ts';

/**
 * The raster with each pixel's channels replaced by their mean. The beats of a display's subpixels with a camera's mosaic run through the channels one
 * after the other, a third of a period apart, and cancel in the mean; ink is dark in most channels and stays.
 *
 * @param raster RGB, sRGB 0..255
 */
export function greyed({ width, height, channels, data }: Raster<Uint8Array>): Raster<Uint8Array> {
  const out = new Uint8Array(width * height * 3);
  for (let i = 0, o = 0; o < out.length; i += channels, o += 3) {
    out.fill(Math.round((data[i] + data[i + 1] + data[i + 2]) / 3), o, o + 3);
  }
  return { width, height, channels: 3, data: out };
}
