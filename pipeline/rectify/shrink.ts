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
  const line = new Float32Array(width * 3);
  const sum = new Float32Array(width * 3);
  let row = 0;
  const area = ratioX * ratioY;
  const flush = (target: number): void => {
    const o = target * width * 3;
    for (let i = 0; i < sum.length; i++) out[o + i] = sum[i] / area + 0.5;
    sum.fill(0);
  };
  for (let y = 0; y < sh; y++) {
    narrow(data.subarray(y * sw * channels, (y + 1) * sw * channels), channels, ratioX, line);
    const end = (row + 1) * ratioY;
    if (y + 1 > end && row < height - 1) {
      const part = end - y;
      for (let i = 0; i < sum.length; i++) sum[i] += part * line[i];
      flush(row++);
      for (let i = 0; i < sum.length; i++) sum[i] += (1 - part) * line[i];
    } else {
      for (let i = 0; i < sum.length; i++) sum[i] += line[i];
    }
  }
  flush(row);
  return { raster: { width, height, channels: 3, data: out }, scale: width / sw };
}

/** One row of the source spread over the row of the copy, of which each pixel is `ratio` wide. */
function narrow(row: Uint8Array, channels: number, ratio: number, line: Float32Array): void {
  const g = channels > 2 ? 1 : 0;
  const b = channels > 2 ? 2 : 0;
  const count = line.length / 3;
  const end = row.length / channels;
  for (let k = 0, o = 0; k < count; k++, o += 3) {
    const from = k * ratio;
    const to = k + 1 < count ? (k + 1) * ratio : end;
    const first = Math.floor(from);
    const last = Math.min(end - 1, Math.ceil(to) - 1);
    // The pixels at either end lie in it in part.
    let p = first * channels;
    const before = from - first;
    let red = -before * row[p];
    let green = -before * row[p + g];
    let blue = -before * row[p + b];
    for (const stop = (last + 1) * channels; p < stop; p += channels) {
      red += row[p];
      green += row[p + g];
      blue += row[p + b];
    }
    p -= channels;
    const after = last + 1 - to;
    line[o] = red - after * row[p];
    line[o + 1] = green - after * row[p + g];
    line[o + 2] = blue - after * row[p + b];
  }
}
