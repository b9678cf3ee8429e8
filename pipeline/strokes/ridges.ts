import type { InkField } from '../ink/ink.ts';

/** Centre-line points of strokes, paper px (pixel centres at .5), one per pixel at most. */
export interface Ridges {
  readonly count: number;
  /** Sub-pixel position. */
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Direction ALONG the stroke, radians in [0, pi), y down. */
  readonly angle: Float32Array;
  /** Minus the second derivative across the stroke, density per square px. */
  readonly strength: Float32Array;
  /** Index of the point in each pixel, or -1. */
  readonly at: Int32Array;
  readonly width: number;
  readonly height: number;
}

export interface FindRidgesOptions {
  /** Scale of the derivatives in px; about the stroke width over the square root of 12, at least 0.9. Larger joins close lines. */
  readonly sigmaPx: number;
  /** Least strength; larger loses pale lines. */
  readonly least: number;
  /** Stroke width, px: corrects the sub-pixel step for the stroke's own profile. */
  readonly strokeWidthPx: number;
}

/** Kernels of the Gaussian and its first two derivatives, sampled. */
function kernels(sigma: number): [Float32Array, Float32Array, Float32Array, number] {
  const reach = Math.ceil(3 * sigma);
  const g = new Float32Array(2 * reach + 1);
  const g1 = new Float32Array(2 * reach + 1);
  const g2 = new Float32Array(2 * reach + 1);
  let sum = 0;
  for (let i = -reach; i <= reach; i++) {
    const v = Math.exp((-i * i) / (2 * sigma * sigma));
    g[i + reach] = v;
    sum += v;
  }
  let drift = 0;
  for (let i = -reach; i <= reach; i++) {
    const v = g[i + reach] / sum;
    g[i + reach] = v;
    g1[i + reach] = (-i / (sigma * sigma)) * v;
    g2[i + reach] = ((i * i) / sigma ** 4 - 1 / (sigma * sigma)) * v;
    drift += g2[i + reach];
  }
  // The sampled second derivative must not see a constant.
  for (let i = 0; i < g2.length; i++) g2[i] -= drift / g2.length;
  return [g, g1, g2, reach];
}

/** Points where the density is a ridge across the stroke, with sub-pixel position (Steger 1998). */
export function findRidges(ink: Pick<InkField, 'width' | 'height' | 'line'>, options: FindRidgesOptions): Ridges {
  const { width, height, line } = ink;
  const [g, g1, g2, reach] = kernels(options.sigmaPx);
  const taps = g.length;
  const variance = options.sigmaPx ** 2 + options.strokeWidthPx ** 2 / 12;
  const r0 = alongRows(line, width, height, g, reach);
  // A ridge needs ink: smoothed row values near zero cannot hold one, and most of a sheet is bare.
  const asked = new Uint8Array(line.length);
  const needed = new Uint8Array(line.length);
  for (let y = reach; y < height - reach; y++) ask(r0, width, y, reach, options.least, asked, needed);
  const [r1, r2] = derivatives(line, needed, width, height, [g1, g2], reach);
  const xs: number[] = [];
  const ys: number[] = [];
  const angles: number[] = [];
  const strengths: number[] = [];
  const at = new Int32Array(width * height).fill(-1);
  for (let y = reach; y < height - reach; y++) {
    for (let x = reach; x < width - reach; x++) {
      const i = y * width + x;
      if (asked[i] === 0) continue;
      let rx = 0;
      let ry = 0;
      let rxx = 0;
      let ryy = 0;
      let rxy = 0;
      for (let k = 0, j = i - reach * width; k < taps; k++, j += width) {
        const a = r0[j];
        const b = r1[j];
        rx += b * g[k];
        ry += a * g1[k];
        rxx += r2[j] * g[k];
        rxy += b * g1[k];
        ryy += a * g2[k];
      }
      // g1 is the derivative of the kernel; correlation with it turns the sign of odd derivatives only.
      rx = -rx;
      ry = -ry;
      const half = (rxx - ryy) / 2;
      const root = Math.hypot(half, rxy);
      const lowest = (rxx + ryy) / 2 - root;
      if (-lowest < options.least) continue;
      // Unit normal: eigenvector of the lowest eigenvalue.
      let nx = rxy;
      let ny = lowest - rxx;
      if (Math.abs(lowest - ryy) > Math.abs(ny)) {
        nx = lowest - ryy;
        ny = rxy;
      }
      const len = Math.hypot(nx, ny);
      if (len < 1e-12) {
        nx = 1;
        ny = 0;
      } else {
        nx /= len;
        ny /= len;
      }
      const t = -(rx * nx + ry * ny) / (rxx * nx * nx + 2 * rxy * nx * ny + ryy * ny * ny);
      // A Newton step from d off the crest of a bell of this variance overshoots to d / (1 - d^2 / variance): solved for d.
      const d = (2 * t) / (1 + Math.sqrt(1 + (4 * t * t) / variance));
      const ox = d * nx;
      const oy = d * ny;
      if (Math.abs(ox) > OFFSET_LIMIT || Math.abs(oy) > OFFSET_LIMIT) continue;
      at[i] = xs.length;
      xs.push(x + 0.5 + ox);
      ys.push(y + 0.5 + oy);
      let angle = Math.atan2(nx, -ny);
      if (angle < 0) angle += Math.PI;
      if (angle >= Math.PI) angle -= Math.PI;
      angles.push(angle);
      strengths.push(-lowest);
    }
  }
  return {
    count: xs.length,
    x: Float32Array.from(xs),
    y: Float32Array.from(ys),
    angle: Float32Array.from(angles),
    strength: Float32Array.from(strengths),
    at,
    width,
    height,
  };
}

/** A point belongs to the pixel it falls in, with a little overlap so that no stroke has holes. */
const OFFSET_LIMIT = 0.6;

/** Marks the pixels of a row that may hold a ridge, and all whose derivatives along the rows are needed for that. */
function ask(
  r0: Float32Array,
  width: number,
  y: number,
  reach: number,
  least: number,
  asked: Uint8Array,
  needed: Uint8Array,
): void {
  for (let i = y * width + reach, end = (y + 1) * width - reach; i < end; i++) {
    if (r0[i] + r0[i - width] + r0[i + width] < least) continue;
    asked[i] = 1;
    for (let j = i - reach * width, last = i + reach * width; j <= last; j += width) needed[j] = 1;
  }
}

/** The map correlated with the kernel along its rows. */
function alongRows(
  src: Float32Array,
  width: number,
  height: number,
  kernel: Float32Array,
  reach: number,
): Float32Array {
  const taps = Float64Array.from(kernel);
  const out = new Float32Array(src.length);
  for (let y = 0; y < height; y++) {
    for (let i = y * width + reach, end = (y + 1) * width - reach; i < end; i++) {
      let sum = 0;
      for (let k = 0, j = i - reach; k < taps.length; k++, j++) sum += src[j] * taps[k];
      out[i] = sum;
    }
  }
  return out;
}

/** The map correlated with both kernels along its rows, at the needed pixels. */
function derivatives(
  src: Float32Array,
  needed: Uint8Array,
  width: number,
  height: number,
  kernels: readonly [Float32Array, Float32Array],
  reach: number,
): [Float32Array, Float32Array] {
  const [k1, k2] = kernels.map((kernel) => Float64Array.from(kernel));
  const out1 = new Float32Array(src.length);
  const out2 = new Float32Array(src.length);
  for (let y = 0; y < height; y++) {
    for (let i = y * width + reach, end = (y + 1) * width - reach; i < end; i++) {
      if (needed[i] === 0) continue;
      let sum1 = 0;
      let sum2 = 0;
      for (let k = 0, j = i - reach; k < k1.length; k++, j++) {
        const v = src[j];
        sum1 += v * k1[k];
        sum2 += v * k2[k];
      }
      out1[i] = sum1;
      out2[i] = sum2;
    }
  }
  return [out1, out2];
}

/** The ridge points that pass `keep` (by index), numbered anew. */
export function keepRidges(ridges: Ridges, keep: (point: number) => boolean): Ridges {
  const kept = new Int32Array(ridges.count);
  const number = new Int32Array(ridges.count).fill(-1);
  let count = 0;
  for (let p = 0; p < ridges.count; p++) {
    if (!keep(p)) continue;
    number[p] = count;
    kept[count++] = p;
  }
  const take = (a: Float32Array) => {
    const taken = new Float32Array(count);
    for (let i = 0; i < count; i++) taken[i] = a[kept[i]];
    return taken;
  };
  const at = ridges.at.slice();
  for (let i = 0; i < at.length; i++) if (at[i] >= 0) at[i] = number[at[i]];
  return {
    ...ridges,
    count,
    x: take(ridges.x),
    y: take(ridges.y),
    angle: take(ridges.angle),
    strength: take(ridges.strength),
    at,
  };
}
