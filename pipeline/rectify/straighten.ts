/** Resampling of the picture through any smooth map from paper px to picture px. */
import type { PaperPoint, PicturePoint, Raster } from '../types.ts';

export interface StraightenOptions {
  readonly width: number;
  readonly height: number;
  /** Paper colour where the picture ends, RGB; default: the local paper colour at the picture's rim. */
  readonly fill?: readonly [number, number, number];
}

/** Distance of the knots on which the map is evaluated, paper px; between them it is taken as bilinear. */
const KNOT_STEP = 16;
/** Steps of the table of cubic weights between two pixels. */
const WEIGHT_STEPS = 64;
/** Pixels of the rim that are pooled for the paper colour outside the picture, as a share of the longest side. */
const RIM_SHARE = 0.03;

/** Weights of the cubic convolution kernel (Keys 1981, a = -1/2) at each of WEIGHT_STEPS + 1 phases, four a phase. */
const WEIGHTS = ((): Float64Array => {
  const table = new Float32Array((WEIGHT_STEPS + 1) * 4);
  for (let i = 0; i <= WEIGHT_STEPS; i++) {
    const t = i / WEIGHT_STEPS;
    const t2 = t * t;
    const t3 = t2 * t;
    table[4 * i] = -0.5 * t + t2 - 0.5 * t3;
    table[4 * i + 1] = 1 - 2.5 * t2 + 1.5 * t3;
    table[4 * i + 2] = 0.5 * t + 2 * t2 - 1.5 * t3;
    table[4 * i + 3] = -0.5 * t2 + 0.5 * t3;
  }
  return Float64Array.from(table);
})();

/**
 * The straightened raster: pixel (x, y) shows the picture at `toPicture([x + 0.5, y + 0.5])`. RGB in, RGB out. `toPicture` is
 * called on a coarse grid only, so it must be smooth on the scale of 16 px.
 */
export function straighten(
  picture: Raster<Uint8Array>,
  toPicture: (p: PaperPoint) => PicturePoint,
  options: StraightenOptions,
): Raster<Uint8Array> {
  const { width, height } = options;
  const columns = Math.ceil(width / KNOT_STEP) + 1;
  const rows = Math.ceil(height / KNOT_STEP) + 1;
  const knotX = new Float64Array(columns * rows);
  const knotY = new Float64Array(columns * rows);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const p = toPicture([c * KNOT_STEP + 0.5, r * KNOT_STEP + 0.5]);
      // Index frame: the centre of the first pixel is 0.
      knotX[r * columns + c] = p[0] - 0.5;
      knotY[r * columns + c] = p[1] - 0.5;
    }
  }
  const out = new Uint8ClampedArray(width * height * 3);
  const beyond = beyondPicture(picture, options.fill);
  for (let y = 0; y < height; y++) {
    const r = (y / KNOT_STEP) | 0;
    const fy = (y - r * KNOT_STEP) / KNOT_STEP;
    for (let c = 0; c < columns - 1; c++) {
      const k = r * columns + c;
      const lower = r + 1 < rows ? k + columns : k;
      let sx = knotX[k] + (knotX[lower] - knotX[k]) * fy;
      let sy = knotY[k] + (knotY[lower] - knotY[k]) * fy;
      const dx = (knotX[k + 1] + (knotX[lower + 1] - knotX[k + 1]) * fy - sx) / KNOT_STEP;
      const dy = (knotY[k + 1] + (knotY[lower + 1] - knotY[k + 1]) * fy - sy) / KNOT_STEP;
      const end = Math.min(width, (c + 1) * KNOT_STEP);
      let o = (y * width + c * KNOT_STEP) * 3;
      for (let x = c * KNOT_STEP; x < end; x++, o += 3, sx += dx, sy += dy) {
        if (!cubic(picture, sx, sy, out, o)) beyond(sx, sy, out, o);
      }
    }
  }
  return { width, height, channels: 3, data: new Uint8Array(out.buffer) };
}

/** One pixel by cubic convolution; false where the kernel reaches over the picture's end. */
function cubic(
  { width, height, data }: Raster<Uint8Array>,
  sx: number,
  sy: number,
  out: Uint8ClampedArray,
  o: number,
): boolean {
  if (!(sx >= 1 && sy >= 1 && sx < width - 3 && sy < height - 3)) return false;
  const ix = sx | 0;
  const iy = sy | 0;
  const a = (((sx - ix) * WEIGHT_STEPS + 0.5) | 0) * 4;
  const b = (((sy - iy) * WEIGHT_STEPS + 0.5) | 0) * 4;
  const w0 = WEIGHTS[a];
  const w1 = WEIGHTS[a + 1];
  const w2 = WEIGHTS[a + 2];
  const w3 = WEIGHTS[a + 3];
  let red = 0;
  let green = 0;
  let blue = 0;
  let p = ((iy - 1) * width + ix - 1) * 3;
  for (let j = 0; j < 4; j++, p += 3 * width) {
    const v = WEIGHTS[b + j];
    red += v * (w0 * data[p] + w1 * data[p + 3] + w2 * data[p + 6] + w3 * data[p + 9]);
    green += v * (w0 * data[p + 1] + w1 * data[p + 4] + w2 * data[p + 7] + w3 * data[p + 10]);
    blue += v * (w0 * data[p + 2] + w1 * data[p + 5] + w2 * data[p + 8] + w3 * data[p + 11]);
  }
  out[o] = red;
  out[o + 1] = green;
  out[o + 2] = blue;
  return true;
}

/** Paper colours along the picture's rim: for each column of the top and bottom, each row of the left and right, RGB. */
interface RimColours {
  readonly top: Uint8Array;
  readonly bottom: Uint8Array;
  readonly left: Uint8Array;
  readonly right: Uint8Array;
}

/** Sets the pixel whose red is `out[o]`, at (sx, sy) near the picture's end or beyond it. */
type Beyond = (sx: number, sy: number, out: Uint8ClampedArray, o: number) => void;

/** How pixels come by their colour there: most sheets lie within the picture, so the rim's colours are read when first needed. */
function beyondPicture(picture: Raster<Uint8Array>, fill: StraightenOptions['fill']): Beyond {
  let rim: RimColours | null = null;
  return (sx, sy, out, o) => {
    if (!fill) rim ??= rimColours(picture);
    nearRim(picture, rim, fill, sx, sy, out, o);
  };
}

/** One pixel whose kernel reaches over the picture's end: bilinear with replicated rim inside, paper colour outside. */
function nearRim(
  picture: Raster<Uint8Array>,
  rim: RimColours | null,
  fill: readonly [number, number, number] | undefined,
  sx: number,
  sy: number,
  out: Uint8ClampedArray,
  o: number,
): void {
  const { width, height, data } = picture;
  if (!(sx >= -0.5 && sy >= -0.5 && sx <= width - 0.5 && sy <= height - 0.5)) {
    if (fill) {
      out.set(fill, o);
      return;
    }
    const x = Math.min(width - 1, Math.max(0, Math.round(sx) || 0));
    const y = Math.min(height - 1, Math.max(0, Math.round(sy) || 0));
    const overX = Math.max(-sx, sx - width + 1);
    const overY = Math.max(-sy, sy - height + 1);
    const side = overX > overY ? (sx < 0 ? rim!.left : rim!.right) : sy < 0 ? rim!.top : rim!.bottom;
    const i = (overX > overY ? y : x) * 3;
    out[o] = side[i];
    out[o + 1] = side[i + 1];
    out[o + 2] = side[i + 2];
    return;
  }
  const cx = Math.min(width - 1, Math.max(0, sx));
  const cy = Math.min(height - 1, Math.max(0, sy));
  const x0 = cx | 0;
  const y0 = cy | 0;
  const x1 = Math.min(width - 1, x0 + 1);
  const y1 = Math.min(height - 1, y0 + 1);
  const fx = cx - x0;
  const fy = cy - y0;
  for (let c = 0; c < 3; c++) {
    const top = data[(y0 * width + x0) * 3 + c] * (1 - fx) + data[(y0 * width + x1) * 3 + c] * fx;
    const bottom = data[(y1 * width + x0) * 3 + c] * (1 - fx) + data[(y1 * width + x1) * 3 + c] * fx;
    out[o + c] = top * (1 - fy) + bottom * fy;
  }
}

/**
 * Paper colours along the rim: median of each channel over a window along the rim, a few px deep, so that lines that run into the rim, or along it, do
 * not colour it.
 */
function rimColours(picture: Raster<Uint8Array>): RimColours {
  const { width, height, data } = picture;
  const reach = Math.max(2, Math.round(RIM_SHARE * Math.max(width, height)));
  const depth = Math.max(2, reach >> 1);
  const along = (n: number, at: (i: number, d: number) => number): Uint8Array => {
    const out = new Uint8Array(n * 3);
    const step = Math.max(1, reach >> 2);
    for (let c = 0; c < 3; c++) {
      for (let i = 0; i < n; i += step) {
        const counts = new Uint32Array(256);
        let total = 0;
        for (let k = Math.max(0, i - reach); k <= Math.min(n - 1, i + reach); k += 2) {
          for (let d = 0; d < depth; d++) {
            counts[data[at(k, d) * 3 + c]]++;
            total++;
          }
        }
        let seen = 0;
        let median = 0;
        while (seen + counts[median] <= total / 2) seen += counts[median++];
        for (let k = i; k < Math.min(n, i + step); k++) out[k * 3 + c] = median;
      }
    }
    return out;
  };
  return {
    top: along(width, (i, d) => Math.min(d, height - 1) * width + i),
    bottom: along(width, (i, d) => Math.max(0, height - 1 - d) * width + i),
    left: along(height, (i, d) => i * width + Math.min(d, width - 1)),
    right: along(height, (i, d) => i * width + Math.max(0, width - 1 - d)),
  };
}
