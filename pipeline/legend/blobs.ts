import { enlarge } from '../ink/scale.ts';
import { slideMax } from '../ink/slide-max.ts';
import type { Raster } from '../types.ts';
import type { Box } from './beside.ts';

/** Ink that hangs together, px of its raster. */
export interface Blob extends Box {
  /** Number of px. */
  readonly area: number;
}

/** How much darker than the paper around it (lighter, on dark ground) the channel is that differs most, 0..1; `reach` px is wider than any letter's stroke. */
export function darkness(
  { width, height, data }: Raster<Uint8Array>,
  lightOnDark: boolean,
  reach: number,
): Float32Array {
  const [w, h] = [Math.ceil(width / 2), Math.ceil(height / 2)];
  const value = new Float32Array(width * height);
  for (let i = 0, p = 0; i < value.length; i++, p += 3) {
    value[i] = lightOnDark
      ? 255 - Math.max(data[p], data[p + 1], data[p + 2])
      : Math.min(data[p], data[p + 1], data[p + 2]);
  }
  // A closing, at half the size, fills what is narrower than its reach (Serra 1982).
  let half: Float32Array = new Float32Array(w * h);
  for (let y = 0; y < height; y++) {
    for (let x = 0, o = (y >> 1) * w; x < width; x++) {
      const at = o + (x >> 1);
      half[at] = Math.max(half[at], value[y * width + x]);
    }
  }
  const within = Math.max(2, Math.round(reach / 2));
  half = slideMax(half, w, h, within);
  half = slideMax(half.map(turnOver), w, h, within).map(turnOver);
  const paper = enlarge({ width: w, height: h, channels: 1, data: half }, 2, width, height);
  for (let i = 0; i < value.length; i++) value[i] = 1 - value[i] / Math.max(LEAST_LIGHT, paper[i]);
  return value;
}

const turnOver = (v: number): number => 255 - v;

/** Darker paper than this shows nothing, 0..255. */
const LEAST_LIGHT = 30;

/** Px of at least `level` that touch, by corners too: runs of a row joined with those of the row above (Rosenfeld & Pfaltz 1966). */
export function findBlobs(map: Float32Array, width: number, level: number): Blob[] {
  const blobs: { left: number; top: number; right: number; bottom: number; area: number }[] = [];
  const parent: number[] = [];
  const root = (i: number): number => {
    while (parent[i] !== i) i = parent[i] = parent[parent[i]];
    return i;
  };
  let above: Run[] = [];
  for (let y = 0, o = 0; o < map.length; y++, o += width) {
    const row: Run[] = [];
    let k = 0;
    for (let x = 0; x < width; x++) {
      if (map[o + x] < level) continue;
      const from = x;
      while (x < width && map[o + x] >= level) x++;
      let own = -1;
      while (k < above.length && above[k].to < from) k++;
      for (let j = k; j < above.length && above[j].from <= x; j++) {
        const other = root(above[j].blob);
        if (own < 0) own = other;
        else if (other !== own) {
          parent[other] = own;
          grow(blobs[own], blobs[other]);
        }
      }
      const run = { left: from, top: y, right: x, bottom: y + 1, area: x - from };
      if (own < 0) {
        own = blobs.length;
        parent.push(own);
        blobs.push(run);
      } else grow(blobs[own], run);
      row.push({ from, to: x, blob: own });
    }
    above = row;
  }
  return blobs.filter((_, i) => parent[i] === i);
}

interface Run {
  readonly from: number;
  readonly to: number;
  readonly blob: number;
}

function grow(blob: { -readonly [K in keyof Blob]: Blob[K] }, other: Blob): void {
  blob.left = Math.min(blob.left, other.left);
  blob.top = Math.min(blob.top, other.top);
  blob.right = Math.max(blob.right, other.right);
  blob.bottom = Math.max(blob.bottom, other.bottom);
  blob.area += other.area;
}
