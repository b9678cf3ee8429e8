/** Smaller copies of a picture. */
import type { Raster } from '../types.ts';

/** RGB copy whose longest side is at most `longest`, by area averages; `scale` is copy px per source px. */
export function shrink(source: Raster<Uint8Array>, longest: number): { raster: Raster<Uint8Array>; scale: number } {
  const scale = Math.min(1, longest / Math.max(source.width, source.height));
  const { width: sw, height: sh, channels, data } = source;
  const width = Math.max(1, Math.round(sw * scale));
  const height = Math.max(1, Math.round(sh * scale));
  const out = new Uint8Array(width * height * 3);
  if (width === sw && height === sh) {
    for (let i = 0, p = 0; i < out.length; i += 3, p += channels) {
      out[i] = data[p];
      out[i + 1] = data[p + (channels > 2 ? 1 : 0)];
      out[i + 2] = data[p + (channels > 2 ? 2 : 0)];
    }
    return { raster: { width, height, channels: 3, data: out }, scale: 1 };
  }
  // Separable: each row of the source is spread over its one or two rows of the copy.
  const ratioX = sw / width;
  const ratioY = sh / height;
  const spans = spansOf(width, sw, ratioX);
  const line = new Float32Array(width * 3);
  const sum = new Float32Array(width * 3);
  const area = ratioX * ratioY;
  let row = 0;
  for (let y = 0; y < sh; y++) {
    narrow(data, y * sw * channels, channels, spans, line);
    const end = (row + 1) * ratioY;
    if (y + 1 > end && row < height - 1) {
      add(line, end - y, sum);
      flush(sum, area, out, row++ * sum.length);
      add(line, 1 - (end - y), sum);
    } else add(line, 1, sum);
  }
  flush(sum, area, out, row * sum.length);
  return { raster: { width, height, channels: 3, data: out }, scale: width / sw };
}

// Loops in functions of their own: they are compiled for speed after few rows.

function add(line: Float32Array, share: number, sum: Float32Array): void {
  for (let i = 0; i < sum.length; i++) sum[i] += share * line[i];
}

/** Writes the sums as means and clears them. */
function flush(sum: Float32Array, area: number, out: Uint8Array, at: number): void {
  for (let i = 0; i < sum.length; i++) {
    out[at + i] = sum[i] / area + 0.5;
    sum[i] = 0;
  }
}

/** For each pixel of the copy: the first and last source pixel that lie in it, and the shares of these two that do not. */
interface Spans {
  readonly first: Int32Array;
  readonly last: Int32Array;
  readonly before: Float64Array;
  readonly after: Float64Array;
}

function spansOf(count: number, end: number, ratio: number): Spans {
  const first = new Int32Array(count);
  const last = new Int32Array(count);
  const before = new Float64Array(count);
  const after = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const from = k * ratio;
    const to = k + 1 < count ? (k + 1) * ratio : end;
    first[k] = Math.floor(from);
    last[k] = Math.min(end - 1, Math.ceil(to) - 1);
    before[k] = from - first[k];
    after[k] = last[k] + 1 - to;
  }
  return { first, last, before, after };
}

/** The row of the source that begins at `at`, spread over the row of the copy. */
function narrow(
  data: Uint8Array,
  at: number,
  channels: number,
  { first, last, before, after }: Spans,
  line: Float32Array,
): void {
  const g = channels > 2 ? 1 : 0;
  const b = channels > 2 ? 2 : 0;
  for (let k = 0, o = 0; k < first.length; k++, o += 3) {
    const start = at + first[k] * channels;
    const stop = at + last[k] * channels;
    let red = 0;
    let green = 0;
    let blue = 0;
    for (let p = start; p <= stop; p += channels) {
      red = (red + data[p]) | 0;
      green = (green + data[p + g]) | 0;
      blue = (blue + data[p + b]) | 0;
    }
    // The pixels at either end lie in it in part.
    const left = before[k];
    const right = after[k];
    line[o] = red - left * data[start] - right * data[stop];
    line[o + 1] = green - left * data[start + g] - right * data[stop + g];
    line[o + 2] = blue - left * data[start + b] - right * data[stop + b];
  }
}
