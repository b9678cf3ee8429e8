/** Pieces linked into chains across the gaps of dashes and crossings. */
import type { InkMap } from './inkmap.ts';

/** Pieces as parallel arrays; index frame of the working copy (centre of pixel (i, j) is (i, j)). */
export interface Pieces {
  readonly count: number;
  readonly ax: Float32Array;
  readonly ay: Float32Array;
  readonly bx: Float32Array;
  readonly by: Float32Array;
  /** Length from end to end, px. */
  readonly length: Float32Array;
  /** Mean contrast along the piece, 0..255. */
  readonly contrast: Float32Array;
  /** Chain that the piece belongs to. */
  readonly chain: Int32Array;
}

/** Pieces in a row along one (nearly) straight line, gaps included. */
export interface Chain {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  /** Ink along it, px; at most the distance of its ends. */
  readonly inkLength: number;
  readonly contrast: number;
  /** Greatest distance of its pieces' ends from its chord, px. */
  readonly bend: number;
  /** Its pieces, in order from a to b. */
  readonly pieces: readonly number[];
}

/** Gaps are chained up to this share of the longest side ... */
const GAP_SHARE = 0.025;
/** ... and up to this many times the longer neighbour, so that words do not chain. */
const GAP_PER_LENGTH = 2.5;
/** Pieces chain when their directions agree to this, radians. */
const CHAIN_ANGLE = 0.16;
/** Contrasts of chained pieces differ by less than this factor. */
const CHAIN_CONTRAST = 2.2;
/** Side step allowed between chained pieces, px, beside the angle. */
const CHAIN_STEP = 1.8;

/** Pale and strong lines do not chain: a border on top of a printed square's line is no part of it. */
function alike(a: number, b: number): boolean {
  return a < CHAIN_CONTRAST * b && b < CHAIN_CONTRAST * a;
}

/** Links each end of a piece to the best opposite end ahead of it, where the choice is mutual. */
export function chainPieces(map: InkMap, pieces: Pieces): Chain[] {
  const { count, ax, ay, bx, by, length } = pieces;
  const reach = GAP_SHARE * Math.max(map.width, map.height);
  const cell = Math.max(4, reach);
  const columns = Math.ceil(map.width / cell) + 1;
  const rows = Math.ceil(map.height / cell) + 1;
  const buckets: number[][] = Array.from({ length: columns * rows }, () => []);
  // End 2i is a, end 2i + 1 is b; the outward direction of b is a to b.
  const endX = (e: number): number => (e & 1 ? bx[e >> 1] : ax[e >> 1]);
  const endY = (e: number): number => (e & 1 ? by[e >> 1] : ay[e >> 1]);
  const bucketOf = (px: number, py: number): number =>
    Math.min(rows - 1, Math.max(0, Math.floor(py / cell))) * columns +
    Math.min(columns - 1, Math.max(0, Math.floor(px / cell)));
  for (let e = 0; e < 2 * count; e++) buckets[bucketOf(endX(e), endY(e))].push(e);
  const best = new Int32Array(2 * count).fill(-1);
  for (let e = 0; e < 2 * count; e++) {
    const i = e >> 1;
    const sign = e & 1 ? 1 : -1;
    const ux = (sign * (bx[i] - ax[i])) / length[i];
    const uy = (sign * (by[i] - ay[i])) / length[i];
    const px = endX(e);
    const py = endY(e);
    let least = Number.POSITIVE_INFINITY;
    const column = Math.floor(px / cell);
    const row = Math.floor(py / cell);
    for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) {
      for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c++) {
        for (const f of buckets[r * columns + c]) {
          const j = f >> 1;
          if (j === i) continue;
          const dx = endX(f) - px;
          const dy = endY(f) - py;
          const ahead = dx * ux + dy * uy;
          const aside = Math.abs(dx * uy - dy * ux);
          if (ahead < -3 || ahead > reach || ahead > GAP_PER_LENGTH * Math.max(length[i], length[j]) + 4) continue;
          if (aside > CHAIN_STEP + ahead * CHAIN_ANGLE) continue;
          const other = f & 1 ? 1 : -1;
          const vx = (other * (bx[j] - ax[j])) / length[j];
          const vy = (other * (by[j] - ay[j])) / length[j];
          if (ux * vx + uy * vy > -Math.cos(CHAIN_ANGLE + 1.5 / Math.min(length[i], length[j]))) continue;
          if (!alike(pieces.contrast[i], pieces.contrast[j])) continue;
          const price = Math.max(0, ahead) + 4 * aside;
          if (price < least) {
            least = price;
            best[e] = f;
          }
        }
      }
    }
  }
  const linked = (e: number): number => (best[e] >= 0 && best[best[e]] === e ? best[e] : -1);
  const chains: Chain[] = [];
  for (let start = 0; start < count; start++) {
    if (pieces.chain[start] >= 0) continue;
    // Walk back to the first piece of the chain, or round a ring.
    let first = 2 * start;
    for (let guard = 0; guard < count; guard++) {
      const f = linked(first);
      if (f < 0 || f >> 1 === start) break;
      first = f ^ 1;
    }
    const order: number[] = [];
    let inkLength = 0;
    let contrast = 0;
    let e = first ^ 1;
    for (;;) {
      const i = e >> 1;
      if (pieces.chain[i] >= 0) break;
      pieces.chain[i] = chains.length;
      order.push(i);
      inkLength += length[i];
      contrast += pieces.contrast[i] * length[i];
      const f = linked(e);
      if (f < 0) break;
      e = f ^ 1;
    }
    const last = order[order.length - 1];
    const exit = e >> 1 === last ? e : 2 * last + 1;
    chains.push({
      ax: endX(first),
      ay: endY(first),
      bx: endX(exit),
      by: endY(exit),
      inkLength,
      contrast: contrast / inkLength,
      bend: bendOf(pieces, order, endX(first), endY(first), endX(exit), endY(exit)),
      pieces: order,
    });
  }
  return chains;
}

/** Greatest distance of the pieces' ends from the chord a-b, px. */
function bendOf(pieces: Pieces, order: readonly number[], ax: number, ay: number, bx: number, by: number): number {
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const off = (x: number, y: number): number => Math.abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / length;
  let most = 0;
  for (const i of order) most = Math.max(most, off(pieces.ax[i], pieces.ay[i]), off(pieces.bx[i], pieces.by[i]));
  return most;
}
