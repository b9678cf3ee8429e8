/** Rasters made smaller by a whole factor, and maps made larger again. */
import type { Raster } from '../types.ts';

/** Mean over blocks of factor x factor px; blocks at the right and lower border may be cut. */
export function shrink({ width, height, channels, data }: Raster<Uint8Array>, factor: number): Raster<Uint8Array> {
  const [across, down] = [Math.ceil(width / factor), Math.ceil(height / factor)];
  const out = new Uint8Array(across * down * channels);
  for (let y = 0; y < down; y++) {
    const bottom = Math.min(height, (y + 1) * factor);
    for (let x = 0; x < across; x++) {
      const right = Math.min(width, (x + 1) * factor);
      const count = (bottom - y * factor) * (right - x * factor);
      for (let c = 0; c < channels; c++) {
        let sum = 0;
        for (let v = y * factor; v < bottom; v++) {
          for (let u = x * factor; u < right; u++) sum += data[(v * width + u) * channels + c];
        }
        out[(y * across + x) * channels + c] = Math.round(sum / count);
      }
    }
  }
  return { width: across, height: down, channels, data: out };
}

/** Bilinear enlargement of a map that `shrink` by the same factor belongs to; pixel centres stay where they were. */
export function enlarge(map: Raster<Float32Array>, factor: number, width: number, height: number): Float32Array {
  const { channels, data } = map;
  const out = new Float32Array(width * height * channels);
  const [left, shareX] = places(width, map.width, factor);
  const [top, shareY] = places(height, map.height, factor);
  const line = new Float32Array(map.width * channels);
  for (let y = 0; y < height; y++) {
    // Between two rows of the map first: a row of it is shorter than one of the result.
    const row = top[y] * line.length;
    const below = Math.min(map.height - 1, top[y] + 1) * line.length;
    const down = shareY[y];
    for (let i = 0; i < line.length; i++) line[i] = data[row + i] + down * (data[below + i] - data[row + i]);
    stretchLine(line, channels, left, shareX, out, y * width * channels);
  }
  return out;
}

/** A row between the pixels of a shorter one, which end on its last. */
function stretchLine(
  line: Float32Array,
  channels: number,
  left: Int32Array,
  share: Float32Array,
  out: Float32Array,
  at: number,
): void {
  const last = line.length - channels;
  for (let x = 0, to = at; x < left.length; x++) {
    const p = left[x] * channels;
    const step = p < last ? channels : 0;
    const along = share[x];
    if (channels === 3) {
      out[to] = line[p] + along * (line[p + step] - line[p]);
      out[to + 1] = line[p + 1] + along * (line[p + 1 + step] - line[p + 1]);
      out[to + 2] = line[p + 2] + along * (line[p + 2 + step] - line[p + 2]);
      to += 3;
    } else for (let c = p; c < p + channels; c++) out[to++] = line[c] + along * (line[c + step] - line[c]);
  }
}

/** For each of `count` pixels: the small pixel before it and the share of the one after. */
function places(count: number, small: number, factor: number): [Int32Array, Float32Array] {
  const before = new Int32Array(count);
  const share = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    const at = Math.min(small - 1, Math.max(0, (i + 0.5) / factor - 0.5));
    before[i] = Math.floor(at);
    share[i] = at - before[i];
  }
  return [before, share];
}
