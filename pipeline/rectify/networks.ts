/** Connected networks of ink, with gaps bridged, and the polygons that hug them. */
import { type InkMap, slide } from './inkmap.ts';

/** Index frame of the working copy: the centre of pixel (i, j) is (i, j). */
export type WorkPoint = readonly [x: number, y: number];

export interface Network {
  /** Ink pixels (not counting bridges). */
  readonly area: number;
  /** Convex hull of its ink, clockwise on the screen (y down). */
  readonly hull: readonly WorkPoint[];
  /** Mean contrast of its ink, 0..255. */
  readonly contrast: number;
  /** Longer side of its bounding box, px. */
  readonly extent: number;
  readonly label: number;
}

export interface Networks {
  /** Largest extent first. */
  readonly list: readonly Network[];
  /** Label of each pixel's network, 0 where none; bridges are labelled too. */
  readonly labels: Int32Array;
}

/** Networks smaller than this share of the picture's longest side are words and specks. */
const LEAST_EXTENT_SHARE = 0.12;

/** Networks of pixels with contrast above `threshold`; gaps up to about 2 * bridge px are closed. */
export function findNetworks(map: InkMap, threshold: number, bridge: number): Networks {
  const { width, height, ink } = map;
  const mask = new Uint8Array(ink.length);
  for (let i = 0; i < ink.length; i++) mask[i] = ink[i] > threshold ? 1 : 0;
  let joined: Uint8Array = mask;
  if (bridge > 0) {
    const side = 2 * bridge + 1;
    joined = slide(slide(mask, width, height, side, true, true), width, height, side, false, true);
  }
  const labels = label(joined, width, height);
  let count = 0;
  for (let i = 0; i < labels.length; i++) if (labels[i] > count) count = labels[i];
  const area = new Uint32Array(count + 1);
  const total = new Float64Array(count + 1);
  const left = new Int32Array(count + 1).fill(width);
  const right = new Int32Array(count + 1).fill(-1);
  const top = new Int32Array(count + 1).fill(height);
  const bottom = new Int32Array(count + 1).fill(-1);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      const l = labels[i];
      if (l === 0 || mask[i] === 0) continue;
      area[l]++;
      total[l] += ink[i];
      if (x < left[l]) left[l] = x;
      if (x > right[l]) right[l] = x;
      if (y < top[l]) top[l] = y;
      bottom[l] = y;
    }
  }
  const least = LEAST_EXTENT_SHARE * Math.max(width, height);
  const list: Network[] = [];
  for (let l = 1; l <= count; l++) {
    const extent = Math.max(right[l] - left[l], bottom[l] - top[l]);
    if (extent < least) continue;
    const rim: WorkPoint[] = [];
    for (let y = top[l]; y <= bottom[l]; y++) {
      const base = y * width;
      let a = left[l];
      while (a <= right[l] && !(labels[base + a] === l && mask[base + a])) a++;
      if (a > right[l]) continue;
      let b = right[l];
      while (!(labels[base + b] === l && mask[base + b])) b--;
      rim.push([a, y]);
      if (b !== a) rim.push([b, y]);
    }
    list.push({ area: area[l], hull: convexHull(rim), contrast: total[l] / area[l], extent, label: l });
  }
  list.sort((p, q) => q.extent - p.extent);
  return { list, labels };
}

/** Labels 1.. of 8-connected regions, by two passes with union-find. */
function label(mask: Uint8Array, width: number, height: number): Int32Array {
  const labels = new Int32Array(mask.length);
  const parent: number[] = [0];
  const root = (l: number): number => {
    let r = l;
    while (parent[r] !== r) {
      parent[r] = parent[parent[r]];
      r = parent[r];
    }
    return r;
  };
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      if (mask[i] === 0) continue;
      let l = x > 0 ? labels[i - 1] : 0;
      if (y > 0) {
        const from = x > 0 ? i - width - 1 : i - width;
        const to = x < width - 1 ? i - width + 1 : i - width;
        for (let j = from; j <= to; j++) {
          const m = labels[j];
          if (m === 0 || m === l) continue;
          if (l === 0) l = m;
          else {
            const a = root(l);
            const b = root(m);
            if (a !== b) parent[Math.max(a, b)] = Math.min(a, b);
          }
        }
      }
      if (l === 0) {
        l = parent.length;
        parent.push(l);
      }
      labels[i] = l;
    }
  }
  const compact = new Int32Array(parent.length);
  let next = 0;
  for (let l = 1; l < parent.length; l++) if (root(l) === l) compact[l] = ++next;
  for (let i = 0; i < labels.length; i++) if (labels[i]) labels[i] = compact[root(labels[i])];
  return labels;
}

/** Convex hull, clockwise on the screen (Andrew's monotone chain, 1979). */
export function convexHull(points: readonly WorkPoint[]): WorkPoint[] {
  const sorted = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  if (sorted.length < 3) return sorted;
  const half = (list: readonly WorkPoint[]): WorkPoint[] => {
    const chain: WorkPoint[] = [];
    for (const p of list) {
      while (chain.length >= 2 && turn(chain[chain.length - 2], chain[chain.length - 1], p) <= 0) chain.pop();
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

/** Twice the signed area of the triangle: above 0 for a right turn on the screen (y down). */
export function turn(a: WorkPoint, b: WorkPoint, c: WorkPoint): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

export function polygonArea(polygon: readonly WorkPoint[]): number {
  let sum = 0;
  for (let i = 0; i < polygon.length; i++) {
    const [ax, ay] = polygon[i];
    const [bx, by] = polygon[(i + 1) % polygon.length];
    sum += ax * by - ay * bx;
  }
  return sum / 2;
}

/** Where the lines a-b and c-d cross; null when (nearly) parallel. */
export function crossing(a: WorkPoint, b: WorkPoint, c: WorkPoint, d: WorkPoint): WorkPoint | null {
  const ux = b[0] - a[0];
  const uy = b[1] - a[1];
  const vx = d[0] - c[0];
  const vy = d[1] - c[1];
  const det = ux * vy - uy * vx;
  if (Math.abs(det) < 1e-9 * Math.hypot(ux, uy) * Math.hypot(vx, vy) + 1e-12) return null;
  const t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / det;
  return [a[0] + t * ux, a[1] + t * uy];
}

/**
 * The smallest-growth polygon with `sides` sides around a convex hull: again and again the hull edge goes whose neighbours, prolonged until
 * they meet, add the least area (Dori & Ben-Bassat 1983). Null where it cannot be done.
 */
export function hugPolygon(hull: readonly WorkPoint[], sides: number): WorkPoint[] | null {
  const polygon = [...hull];
  while (polygon.length > sides) {
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    let tip: WorkPoint | null = null;
    const n = polygon.length;
    for (let i = 0; i < n; i++) {
      const before = polygon[(i + n - 1) % n];
      const a = polygon[i];
      const b = polygon[(i + 1) % n];
      const after = polygon[(i + 2) % n];
      const p = crossing(before, a, b, after);
      if (!p || turn(a, p, b) < 0) continue;
      // The neighbours meet beyond the edge, not behind it.
      if ((p[0] - a[0]) * (a[0] - before[0]) + (p[1] - a[1]) * (a[1] - before[1]) < 0) continue;
      const added = Math.abs(turn(a, p, b));
      if (added < least) {
        least = added;
        best = i;
        tip = p;
      }
    }
    if (best < 0 || !tip) return null;
    polygon[best] = tip;
    polygon.splice((best + 1) % n, 1);
  }
  return polygon.length === sides ? polygon : null;
}
