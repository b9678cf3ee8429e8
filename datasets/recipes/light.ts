import type { Raster } from '../../pipeline/types.ts';
import { scramble } from './random.ts';

/** Smooth random field on the plane (value noise, cubic between lattice points), about -1..1; one octave has wavelength 1. */
export function valueNoise(x: number, y: number, seed: number): number {
  const ix = Math.floor(x);
  const iy = Math.floor(y);
  const fx = x - ix;
  const fy = y - iy;
  const sx = fx * fx * (3 - 2 * fx);
  const sy = fy * fy * (3 - 2 * fy);
  const top = corner(ix, iy, seed) * (1 - sx) + corner(ix + 1, iy, seed) * sx;
  const bottom = corner(ix, iy + 1, seed) * (1 - sx) + corner(ix + 1, iy + 1, seed) * sx;
  return top * (1 - sy) + bottom * sy;
}

function corner(x: number, y: number, seed: number): number {
  return scramble(Math.imul(x, 0x1f123bb5) ^ Math.imul(y, 0x5f356495) ^ seed) / 2147483648 - 1;
}

/** Sum of octaves, each half as strong and twice as fine. */
export function roughNoise(x: number, y: number, seed: number, octaves: number): number {
  let sum = 0;
  let weight = 1;
  let scale = 1;
  for (let i = 0; i < octaves; i++) {
    sum += weight * valueNoise(x * scale, y * scale, seed + i);
    weight *= 0.5;
    scale *= 2;
  }
  return sum;
}

const NORMALS = 1 << 16;
let normals: Float32Array | null = null;

/** Standard normals by table: enough for sensor noise, and far cheaper than drawing each. */
export function normalTable(): Float32Array {
  if (normals) return normals;
  normals = new Float32Array(NORMALS);
  for (let i = 0; i < NORMALS; i += 2) {
    const radius = Math.sqrt(-2 * Math.log((scramble(i + 1) + 1) / 4294967297));
    const angle = (2 * Math.PI * scramble(i + 0x51ed27)) / 4294967296;
    normals[i] = radius * Math.cos(angle);
    normals[i + 1] = radius * Math.sin(angle);
  }
  return normals;
}

/** Index into the normal table for a running pixel number: scattered, so that no pattern shows. */
export function scattered(index: number, seed: number): number {
  return scramble(index ^ seed) & (NORMALS - 1);
}

/** sRGB byte to linear light 0..1, and back. */
export const toLight = new Float32Array(256);
for (let i = 0; i < 256; i++) {
  const v = i / 255;
  toLight[i] = v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}

const DISPLAY_STEPS = 4096;
const displayTable = new Float32Array(DISPLAY_STEPS + 1);
for (let i = 0; i <= DISPLAY_STEPS; i++) {
  const v = i / DISPLAY_STEPS;
  displayTable[i] = 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);
}

/** Linear light to sRGB 0..255, not rounded. */
export function toDisplay(light: number): number {
  if (light <= 0) return 0;
  if (light >= 1) return 255;
  // Interpolated: the table is coarse in the shadows.
  const at = light * DISPLAY_STEPS;
  const low = at | 0;
  return displayTable[low] + (displayTable[low + 1] - displayTable[low]) * (at - low);
}

/** Gaussian blur in place, separable, reflecting at the border. Sigmas in px; different along x and y allowed. */
export function blur(raster: Raster<Float32Array>, sigmaX: number, sigmaY = sigmaX): void {
  if (sigmaX > 0.15) blurRows(raster, kernelOf(sigmaX));
  if (sigmaY > 0.15) blurColumns(raster, kernelOf(sigmaY));
}

function kernelOf(sigma: number): Float32Array {
  const reach = Math.max(1, Math.ceil(3 * sigma));
  const kernel = new Float32Array(2 * reach + 1);
  let sum = 0;
  for (let i = -reach; i <= reach; i++) {
    kernel[i + reach] = Math.exp((-i * i) / (2 * sigma * sigma));
    sum += kernel[i + reach];
  }
  return kernel.map((part) => part / sum);
}

function blurRows({ width, height, channels, data }: Raster<Float32Array>, kernel: Float32Array): void {
  const reach = (kernel.length - 1) / 2;
  const row = new Float32Array(width * channels);
  for (let y = 0; y < height; y++) {
    const start = y * width * channels;
    row.set(data.subarray(start, start + width * channels));
    for (let x = 0; x < width; x++) {
      for (let c = 0; c < channels; c++) {
        let sum = 0;
        for (let k = -reach; k <= reach; k++) {
          const sx = Math.min(width - 1, Math.max(0, x + k));
          sum += kernel[k + reach] * row[sx * channels + c];
        }
        data[start + x * channels + c] = sum;
      }
    }
  }
}

/** Columns in a ring of rows, so that memory is read in order. */
function blurColumns({ width, height, channels, data }: Raster<Float32Array>, kernel: Float32Array): void {
  const reach = (kernel.length - 1) / 2;
  const stride = width * channels;
  const ring: Float32Array[] = [];
  const rowAt = (y: number): Float32Array => ring[Math.min(height - 1, Math.max(0, y)) % kernel.length];
  for (let y = 0; y < Math.min(reach, height); y++) ring[y % kernel.length] = data.slice(y * stride, (y + 1) * stride);
  const sum = new Float32Array(stride);
  for (let y = 0; y < height; y++) {
    const ahead = y + reach;
    if (ahead < height) ring[ahead % kernel.length] = data.slice(ahead * stride, (ahead + 1) * stride);
    sum.fill(0);
    for (let k = -reach; k <= reach; k++) {
      const row = rowAt(y + k);
      const weight = kernel[k + reach];
      for (let i = 0; i < stride; i++) sum[i] += weight * row[i];
    }
    data.set(sum, y * stride);
  }
}

/** Blur along a straight path (a moving hand): average of samples, px. */
export function smear(raster: Raster<Float32Array>, dx: number, dy: number): void {
  const { width, height, channels, data } = raster;
  const steps = Math.max(2, Math.ceil(Math.hypot(dx, dy) * 1.5));
  const source = data.slice();
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      for (let c = 0; c < channels; c++) {
        let sum = 0;
        for (let s = 0; s < steps; s++) {
          const t = s / (steps - 1) - 0.5;
          const px = Math.min(width - 1.001, Math.max(0, x + dx * t));
          const py = Math.min(height - 1.001, Math.max(0, y + dy * t));
          const ix = px | 0;
          const iy = py | 0;
          const fx = px - ix;
          const fy = py - iy;
          const base = (iy * width + ix) * channels + c;
          const upper = source[base] * (1 - fx) + source[base + channels] * fx;
          const lower = source[base + width * channels] * (1 - fx) + source[base + (width + 1) * channels] * fx;
          sum += upper * (1 - fy) + lower * fy;
        }
        data[(y * width + x) * channels + c] = sum / steps;
      }
    }
  }
}
