/** Chains of marks that touch, or nearly touch, each other: a pattern is one such network, words and frames are others. */
import type { Marks } from './marks.ts';
import { convexHull, type WorkPoint } from './polygon.ts';

/** A network sampled at points along its marks, every few px; parallel arrays. */
export interface Network {
  readonly chains: readonly number[];
  readonly count: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Unit direction of the mark at the point. */
  readonly ux: Float32Array;
  readonly uy: Float32Array;
  /** Ink length that the point stands for, px. */
  readonly weight: Float32Array;
  /** Contrast of the chain, 0..255. */
  readonly contrast: Float32Array;
  readonly chain: Int32Array;
  /** Sum of weights: ink length, px. */
  readonly length: number;
  /** Ink length times contrast squared: a few strong lines outweigh a page of pale squares. */
  readonly mass: number;
  readonly hull: readonly WorkPoint[];
  /** Longer side of the bounding box, px. */
  readonly extent: number;
}

export interface NetworkOptions {
  /** Marks nearer than this are joined, px. */
  readonly reach: number;
  /** Chains that take part. */
  readonly takes: (chain: number) => boolean;
  /** Networks whose bounding box is smaller than this are left out, px. */
  readonly leastExtent: number;
}

/** Distance of the sample points along a mark, px. */
const SAMPLE_PX = 4;

/** Networks of the chains that take part, most mass first. */
export function findNetworks(marks: Marks, width: number, height: number, options: NetworkOptions): Network[] {
  const { pieces, chains } = marks;
  const cell = Math.max(2, options.reach);
  const columns = Math.ceil(width / cell) + 2;
  const rows = Math.ceil(height / cell) + 2;
  const owner = new Int32Array(columns * rows).fill(-1);
  const parent = Int32Array.from(chains.keys());
  const root = (c: number): number => {
    let r = c;
    while (parent[r] !== r) {
      parent[r] = parent[parent[r]];
      r = parent[r];
    }
    return r;
  };
  const join = (a: number, b: number): void => {
    const p = root(a);
    const q = root(b);
    if (p !== q) parent[Math.max(p, q)] = Math.min(p, q);
  };
  const step = Math.min(SAMPLE_PX, cell);
  const visit = (c: number, at: (x: number, y: number, piece: number, weight: number) => void): void => {
    for (const i of chains[c].pieces) {
      const n = Math.max(1, Math.round(pieces.length[i] / step));
      for (let k = 0; k <= n; k++) {
        const t = k / n;
        const part = k === 0 || k === n ? 0.5 : 1;
        at(
          pieces.ax[i] + (pieces.bx[i] - pieces.ax[i]) * t,
          pieces.ay[i] + (pieces.by[i] - pieces.ay[i]) * t,
          i,
          (part * pieces.length[i]) / n,
        );
      }
    }
  };
  const taken: number[] = [];
  for (let c = 0; c < chains.length; c++) {
    if (!options.takes(c)) continue;
    taken.push(c);
    visit(c, (x, y) => {
      const cx = Math.floor(x / cell) + 1;
      const cy = Math.floor(y / cell) + 1;
      for (let r = cy - 1; r <= cy + 1; r++) {
        for (let q = cx - 1; q <= cx + 1; q++) {
          const other = owner[r * columns + q];
          if (other >= 0) join(c, other);
        }
      }
      owner[cy * columns + cx] = c;
    });
  }
  const groups = new Map<number, number[]>();
  for (const c of taken) {
    const r = root(c);
    const group = groups.get(r);
    if (group) group.push(c);
    else groups.set(r, [c]);
  }
  const out: Network[] = [];
  for (const group of groups.values()) {
    const network = describe(marks, group, visit);
    if (network.extent >= options.leastExtent) out.push(network);
  }
  return out.sort((p, q) => q.mass - p.mass);
}

function describe(
  marks: Marks,
  group: readonly number[],
  visit: (c: number, at: (x: number, y: number, piece: number, weight: number) => void) => void,
): Network {
  const { pieces, chains } = marks;
  const x: number[] = [];
  const y: number[] = [];
  const ux: number[] = [];
  const uy: number[] = [];
  const weight: number[] = [];
  const chain: number[] = [];
  let length = 0;
  let mass = 0;
  let left = Number.POSITIVE_INFINITY;
  let right = Number.NEGATIVE_INFINITY;
  let top = Number.POSITIVE_INFINITY;
  let bottom = Number.NEGATIVE_INFINITY;
  const ends: WorkPoint[] = [];
  for (const c of group) {
    visit(c, (px, py, i, w) => {
      x.push(px);
      y.push(py);
      ux.push((pieces.bx[i] - pieces.ax[i]) / pieces.length[i]);
      uy.push((pieces.by[i] - pieces.ay[i]) / pieces.length[i]);
      weight.push(w);
      chain.push(c);
      left = Math.min(left, px);
      right = Math.max(right, px);
      top = Math.min(top, py);
      bottom = Math.max(bottom, py);
    });
    for (const i of chains[c].pieces) ends.push([pieces.ax[i], pieces.ay[i]], [pieces.bx[i], pieces.by[i]]);
    length += chains[c].inkLength;
    mass += chains[c].inkLength * chains[c].contrast ** 2;
  }
  return {
    chains: group,
    count: x.length,
    x: Float32Array.from(x),
    y: Float32Array.from(y),
    ux: Float32Array.from(ux),
    uy: Float32Array.from(uy),
    weight: Float32Array.from(weight),
    contrast: Float32Array.from(chain.map((c) => chains[c].contrast)),
    chain: Int32Array.from(chain),
    length,
    mass,
    hull: convexHull(ends),
    extent: Math.max(right - left, bottom - top),
  };
}
