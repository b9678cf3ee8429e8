/** Paper without any grain: a picture that a program drew, in which nothing is there by accident. */
import type { Raster } from '../types.ts';

/** Paper is looked at around every third pixel each way, every second pixel of this reach, px. */
const REACH_PX = 4;
const EVERY = 3;
/** Where the light differs by more grey levels there is ink, or the blur of it. */
const INK_LEVELS = 12;
/** Levels by which plain paper differs, for resampling and rounding, and the least share of it that does. */
const PLAIN_LEVELS = 1;
const PLAIN_SHARE = 0.85;

/** Compression leaves ripples beside strokes: as many places with some as this share of those with ink are no longer plain. */
const RIPPLES = 0.25;

/**
 * True where nearly all paper away from ink has the same colour as the paper around it, close to the strokes as well: no camera, no
 * scanner, no strong compression made it. `sheet` is RGB, sRGB 0..255.
 */
export function isPlainPaper({ width, height, channels, data }: Raster<Uint8Array>): boolean {
  let [ink, rippled, plain] = [0, 0, 0];
  for (let y = REACH_PX; y < height - REACH_PX; y += EVERY) {
    for (let x = REACH_PX; x < width - REACH_PX; x += EVERY) {
      const most = differenceAround(data, (y * width + x) * channels, width, channels);
      if (most > INK_LEVELS) ink++;
      else if (most > PLAIN_LEVELS) rippled++;
      else plain++;
    }
  }
  return plain > PLAIN_SHARE * (plain + rippled) && rippled <= RIPPLES * ink;
}

/** Greatest difference of a channel from the pixel at `p`, grey levels; more than `INK_LEVELS` wherever that is passed. */
function differenceAround(data: Uint8Array, p: number, width: number, channels: number): number {
  let most = 0;
  for (let dy = -REACH_PX; dy <= REACH_PX; dy += 2) {
    for (let dx = -REACH_PX; dx <= REACH_PX; dx += 2) {
      const q = p + (dy * width + dx) * channels;
      const red = Math.abs(data[q] - data[p]);
      const green = Math.abs(data[q + 1] - data[p + 1]);
      const blue = Math.abs(data[q + 2] - data[p + 2]);
      most = Math.max(most, red, green, blue);
      if (most > INK_LEVELS) return most;
    }
  }
  return most;
}
