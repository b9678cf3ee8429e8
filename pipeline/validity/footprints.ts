import Flatbush from 'flatbush';
import type { Pieces } from './pieces.ts';

/**
 * What folded pieces and sides have in common. In a stack many pieces lie exactly on one another, so geometry is asked once
 * for each footprint (a polygon that one or more pieces cover) and for each segment (that one or more sides lie on).
 */
export interface Footprints {
  /** Footprint of each piece. */
  readonly footprint: Int32Array;
  readonly count: number;
  /** Corners of footprint k, counterclockwise in the folded plane, stand at corner[k] .. corner[k + 1] - 1. */
  readonly corner: Int32Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Segment of each side. */
  readonly segment: Int32Array;
  readonly segments: number;
  /** Ends of each segment, four numbers: x0, y0, x1, y1. */
  readonly ends: Float64Array;
  /** Line of each segment: segments share one if they overlap lengthwise, directly or through others. */
  readonly line: Int32Array;
  readonly lines: number;
  /** Unit direction of each line. */
  readonly ux: Float64Array;
  readonly uy: Float64Array;
  /** Where each segment begins and ends along its line, pattern units. */
  readonly from: Float64Array;
  readonly to: Float64Array;
  /** Side of the line on which the piece of each side lies: 1 left, -1 right. */
  readonly bank: Int8Array;
}

/**
 * @param same points nearer than this are one point, pattern units
 * @param sliver overlaps thinner or shorter than this do not count, pattern units
 */
export function findFootprints(pieces: Pieces, same: number, sliver: number): Footprints {
  const sides = pieces.x.length;
  const point = mergePoints(pieces, same);
  const segment = new Int32Array(sides);
  const ends: number[] = [];
  const segmentOf = new Map<number, number>();
  for (let s = 0; s < sides; s++) {
    const [a, b] = [point[s], point[nextSide(pieces, s)]];
    const key = Math.min(a, b) * sides + Math.max(a, b);
    let found = segmentOf.get(key);
    if (found === undefined) {
      found = segmentOf.size;
      segmentOf.set(key, found);
      const [low, high] = [Math.min(a, b), Math.max(a, b)];
      ends.push(pieces.x[low], pieces.y[low], pieces.x[high], pieces.y[high]);
    }
    segment[s] = found;
  }
  const lines = findLines(Float64Array.from(ends), same, sliver);
  const bank = new Int8Array(sides);
  for (let s = 0; s < sides; s++) {
    const after = nextSide(pieces, s);
    const l = lines.line[segment[s]];
    const along = (pieces.x[after] - pieces.x[s]) * lines.ux[l] + (pieces.y[after] - pieces.y[s]) * lines.uy[l];
    // A piece lies left of its sides, right of them once it is turned over.
    bank[s] = along > 0 === (pieces.flipped[pieces.piece[s]] === 0) ? 1 : -1;
  }
  return {
    ...mergeOutlines(pieces, point),
    segment,
    segments: segmentOf.size,
    ends: Float64Array.from(ends),
    line: lines.line,
    lines: lines.ux.length,
    ux: lines.ux,
    uy: lines.uy,
    from: lines.from,
    to: lines.to,
    bank,
  };
}

/** The side after s around its piece. */
export function nextSide(pieces: Pieces, s: number): number {
  const p = pieces.piece[s];
  return s + 1 === pieces.start[p + 1] ? pieces.start[p] : s + 1;
}

/** For each side the first side whose starting corner is on the same spot. */
function mergePoints({ x, y }: Pieces, same: number): Int32Array {
  const merged = new Int32Array(x.length);
  // Cells no smaller than 1e-6 keep their numbers within safe integers.
  const cell = Math.max(4 * same, 1e-6);
  const WIDE = 2 ** 26;
  const cells = new Map<number, number[]>();
  for (let s = 0; s < x.length; s++) {
    const [cx, cy] = [Math.floor(x[s] / cell), Math.floor(y[s] / cell)];
    let found = -1;
    for (let i = cx - 1; i <= cx + 1 && found < 0; i++)
      for (let j = cy - 1; j <= cy + 1 && found < 0; j++)
        for (const other of cells.get(i * WIDE + j) ?? [])
          if (Math.hypot(x[other] - x[s], y[other] - y[s]) <= same) {
            found = other;
            break;
          }
    if (found < 0) {
      found = s;
      const key = cx * WIDE + cy;
      const list = cells.get(key);
      if (list) list.push(s);
      else cells.set(key, [s]);
    }
    merged[s] = found;
  }
  return merged;
}

function mergeOutlines(
  pieces: Pieces,
  point: Int32Array,
): Pick<Footprints, 'footprint' | 'count' | 'corner' | 'x' | 'y'> {
  const footprint = new Int32Array(pieces.count);
  const seen = new Map<string, number>();
  const corner: number[] = [0];
  const x: number[] = [];
  const y: number[] = [];
  for (let p = 0; p < pieces.count; p++) {
    const ring: number[] = [];
    for (let s = pieces.start[p]; s < pieces.start[p + 1]; s++)
      if (ring[ring.length - 1] !== point[s] && ring[0] !== point[s]) ring.push(point[s]);
    if (pieces.flipped[p]) ring.reverse();
    const first = ring.indexOf(Math.min(...ring));
    const turned = [...ring.slice(first), ...ring.slice(0, first)];
    const key = turned.join(' ');
    let found = seen.get(key);
    if (found === undefined) {
      found = seen.size;
      seen.set(key, found);
      for (const q of turned) {
        x.push(pieces.x[q]);
        y.push(pieces.y[q]);
      }
      corner.push(x.length);
    }
    footprint[p] = found;
  }
  return {
    footprint,
    count: seen.size,
    corner: Int32Array.from(corner),
    x: Float64Array.from(x),
    y: Float64Array.from(y),
  };
}

type Lines = Pick<Footprints, 'line' | 'from' | 'to' | 'ux' | 'uy'>;

function findLines(ends: Float64Array, same: number, sliver: number): Lines {
  const n = ends.length / 4;
  const parent = Int32Array.from({ length: n }, (_, i) => i);
  const rootOf = (i: number): number => {
    let r = i;
    while (parent[r] !== r) r = parent[r] = parent[parent[r]];
    return r;
  };
  if (n > 0) {
    const index = new Flatbush(n);
    const box = (i: number): [number, number, number, number] => {
      const [a, b, c, d] = ends.subarray(4 * i, 4 * i + 4);
      return [Math.min(a, c), Math.min(b, d), Math.max(a, c), Math.max(b, d)];
    };
    for (let i = 0; i < n; i++) index.add(...box(i));
    index.finish();
    for (let i = 0; i < n; i++) {
      const [x0, y0, x1, y1] = box(i);
      index.search(x0 - same, y0 - same, x1 + same, y1 + same, (j) => {
        if (j > i && rootOf(i) !== rootOf(j) && overlapLengthwise(ends, i, j, same, sliver))
          parent[rootOf(j)] = rootOf(i);
        return false;
      });
    }
  }
  const line = new Int32Array(n).fill(-1);
  const ux: number[] = [];
  const uy: number[] = [];
  const lineOfRoot = new Map<number, number>();
  const from = new Float64Array(n);
  const to = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const root = rootOf(i);
    let l = lineOfRoot.get(root);
    const [x0, y0, x1, y1] = ends.subarray(4 * i, 4 * i + 4);
    if (l === undefined) {
      l = ux.length;
      lineOfRoot.set(root, l);
      const length = Math.hypot(x1 - x0, y1 - y0) || 1;
      ux.push((x1 - x0) / length);
      uy.push((y1 - y0) / length);
    }
    line[i] = l;
    const [a, b] = [x0 * ux[l] + y0 * uy[l], x1 * ux[l] + y1 * uy[l]];
    from[i] = Math.min(a, b);
    to[i] = Math.max(a, b);
  }
  return { line, from, to, ux: Float64Array.from(ux), uy: Float64Array.from(uy) };
}

/** Whether the shorter of two segments lies along the longer one and shares more than a sliver of its length. */
function overlapLengthwise(ends: Float64Array, i: number, j: number, same: number, sliver: number): boolean {
  const length = (k: number): number => Math.hypot(ends[4 * k + 2] - ends[4 * k], ends[4 * k + 3] - ends[4 * k + 1]);
  const [long, short] = length(i) >= length(j) ? [i, j] : [j, i];
  const size = length(long);
  const [ox, oy] = [ends[4 * long], ends[4 * long + 1]];
  const [ux, uy] = [(ends[4 * long + 2] - ox) / size, (ends[4 * long + 3] - oy) / size];
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const k of [4 * short, 4 * short + 2]) {
    const [dx, dy] = [ends[k] - ox, ends[k + 1] - oy];
    if (Math.abs(dx * uy - dy * ux) > 2 * same) return false;
    low = Math.min(low, dx * ux + dy * uy);
    high = Math.max(high, dx * ux + dy * uy);
  }
  return Math.min(high, size) - Math.max(low, 0) > sliver;
}
