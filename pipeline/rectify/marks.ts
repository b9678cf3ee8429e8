/**
 * Straight marks of ink on the working copy: centre pixels of strokes with their direction, grown into short straight pieces, chained across the
 * gaps of dashes and crossings. A chain may bend slowly, so a curled page keeps its long lines.
 */
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
  /** Its pieces, in order from a to b. */
  readonly pieces: readonly number[];
}

export interface Marks {
  readonly pieces: Pieces;
  readonly chains: readonly Chain[];
}

/** Directions within a piece agree to this, radians. */
const PIECE_ANGLE = 0.35;
/** Centre pixels of a piece lie this close to its line, px. */
const PIECE_WIDTH = 1.6;
/** A piece has at least this many centre pixels: shorter ones have no direction. */
const LEAST_PIECE = 4;
/** Share of the stroke's height by which a centre must stand out at the fine scale; plateaus of thick strokes go to the coarse one. */
const FINE_RIDGE = 0.07;
/** Second curvature over first, above which a centre pixel is a blob or a crossing rather than a line. */
const LINE_RATIO = 0.55;
/** Gaps are chained up to this share of the longest side ... */
const GAP_SHARE = 0.02;
/** ... and up to this many times the longer neighbour, so that words do not chain. */
const GAP_PER_LENGTH = 2.5;
/** Pieces chain when their directions agree to this, radians. */
const CHAIN_ANGLE = 0.16;
/** Side step allowed between chained pieces, px, beside the angle. */
const CHAIN_STEP = 1.8;

export function findMarks(map: InkMap, threshold: number): Marks {
  const centres = findCentres(map, threshold);
  const pieces = growPieces(map, centres);
  return { pieces, chains: chainPieces(map, pieces) };
}

interface Centres {
  readonly count: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Direction of the stroke, cosine and sine of twice the angle (so that opposite directions agree). */
  readonly cos2: Float32Array;
  readonly sin2: Float32Array;
  readonly height: Float32Array;
  /** Index of the centre in each pixel, -1 where none. */
  readonly at: Int32Array;
}

/** Ridge centres: maxima across the direction of least curvature of the smoothed ink (Hessian, after Steger 1998), at a fine and a coarse scale. */
function findCentres(map: InkMap, threshold: number): Centres {
  const { width, height, ink } = map;
  const fine = smooth(ink, width, height, 1);
  let coarse: Float32Array | null = null;
  const x: number[] = [];
  const y: number[] = [];
  const cos2: number[] = [];
  const sin2: number[] = [];
  const tall: number[] = [];
  const at = new Int32Array(ink.length).fill(-1);
  const test = (plane: Float32Array, i: number, px: number, py: number, least: number): boolean => {
    const v = plane[i];
    const xx = plane[i + 1] - 2 * v + plane[i - 1];
    const yy = plane[i + width] - 2 * v + plane[i - width];
    const xy = (plane[i + width + 1] - plane[i + width - 1] - plane[i - width + 1] + plane[i - width - 1]) / 4;
    const half = (xx + yy) / 2;
    const root = Math.hypot((xx - yy) / 2, xy);
    const across = half - root;
    const along = half + root;
    if (-across < least * v) return false;
    if (Math.abs(along) > LINE_RATIO * -across) return true;
    // Normal: eigenvector of `across`; its double angle follows from the matrix itself.
    const c2 = -(xx - yy) / 2 / (root || 1);
    const s2 = -xy / (root || 1);
    const nx = Math.sqrt(Math.max(0, (1 + c2) / 2));
    const ny = (s2 < 0 ? -1 : 1) * Math.sqrt(Math.max(0, (1 - c2) / 2));
    const gx = (plane[i + 1] - plane[i - 1]) / 2;
    const gy = (plane[i + width] - plane[i - width]) / 2;
    const step = -(gx * nx + gy * ny) / across;
    if (Math.abs(step) > 0.75) return true;
    at[i] = x.length;
    x.push(px + step * nx);
    y.push(py + step * ny);
    cos2.push(-c2);
    sin2.push(-s2);
    tall.push(ink[i]);
    return true;
  };
  for (let py = 2; py < height - 2; py++) {
    for (let px = 2; px < width - 2; px++) {
      const i = py * width + px;
      if (ink[i] <= threshold) continue;
      if (test(fine, i, px, py, FINE_RIDGE)) continue;
      coarse ??= smooth(fine, width, height, 8);
      test(coarse, i, px, py, FINE_RIDGE / 6);
    }
  }
  return {
    count: x.length,
    x: Float32Array.from(x),
    y: Float32Array.from(y),
    cos2: Float32Array.from(cos2),
    sin2: Float32Array.from(sin2),
    height: Float32Array.from(tall),
    at,
  };
}

/** `rounds` passes of the 5-tap binomial along rows and columns: variance 1 px^2 a pass. */
function smooth(plane: ArrayLike<number>, width: number, height: number, rounds: number): Float32Array {
  let now = Float32Array.from(plane);
  let next = new Float32Array(now.length);
  for (let round = 0; round < rounds; round++) {
    for (const [n, lines, step, stride] of [
      [width, height, 1, width],
      [height, width, width, 1],
    ]) {
      for (let k = 0; k < lines; k++) {
        const base = k * stride;
        const last = base + (n - 1) * step;
        for (let i = 0, p = base; i < n; i++, p += step) {
          const a = i > 1 ? now[p - 2 * step] : now[base];
          const b = i > 0 ? now[p - step] : now[base];
          const d = i < n - 1 ? now[p + step] : now[last];
          const e = i < n - 2 ? now[p + 2 * step] : now[last];
          next[p] = (a + e + 4 * (b + d) + 6 * now[p]) * 0.0625;
        }
      }
      const keep = now;
      now = next;
      next = keep;
    }
  }
  return now;
}

/** Grows pieces from the strongest centres through neighbours of like direction near one line. */
function growPieces(map: InkMap, centres: Centres): Pieces {
  const { width, height } = map;
  const { count, x, y, cos2, sin2, at } = centres;
  const used = new Uint8Array(count);
  const ends: number[] = [];
  const contrast: number[] = [];
  const members = new Int32Array(count);
  const angleDot = Math.cos(2 * PIECE_ANGLE);
  for (const seed of strongestFirst(centres.height)) {
    if (used[seed]) continue;
    let n = 0;
    members[n++] = seed;
    used[seed] = 1;
    let c = cos2[seed];
    let s = sin2[seed];
    let mx = x[seed];
    let my = y[seed];
    let level = centres.height[seed];
    for (let head = 0; head < n; head++) {
      const m = members[head];
      const px = Math.round(x[m]);
      const py = Math.round(y[m]);
      for (let qy = Math.max(0, py - 2); qy <= Math.min(height - 1, py + 2); qy++) {
        for (let qx = Math.max(0, px - 2); qx <= Math.min(width - 1, px + 2); qx++) {
          const q = at[qy * width + qx];
          if (q < 0 || used[q]) continue;
          const norm = Math.hypot(c, s);
          if ((c * cos2[q] + s * sin2[q]) / norm < angleDot) continue;
          // Unit direction of the mean double angle.
          const ux = Math.sqrt(Math.max(0, (1 + c / norm) / 2));
          const uy = (s < 0 ? -1 : 1) * Math.sqrt(Math.max(0, (1 - c / norm) / 2));
          const dx = x[q] - mx / n;
          const dy = y[q] - my / n;
          if (Math.abs(dx * uy - dy * ux) > PIECE_WIDTH) continue;
          used[q] = 1;
          members[n++] = q;
          c += cos2[q];
          s += sin2[q];
          mx += x[q];
          my += y[q];
          level += centres.height[q];
        }
      }
    }
    if (n < LEAST_PIECE) continue;
    const line = principalLine(x, y, members, n);
    const length = Math.hypot(line[2] - line[0], line[3] - line[1]);
    if (length < LEAST_PIECE - 1) continue;
    ends.push(...line);
    contrast.push(level / n);
  }
  const total = contrast.length;
  const pieces = {
    count: total,
    ax: new Float32Array(total),
    ay: new Float32Array(total),
    bx: new Float32Array(total),
    by: new Float32Array(total),
    length: new Float32Array(total),
    contrast: Float32Array.from(contrast),
    chain: new Int32Array(total).fill(-1),
  };
  for (let i = 0; i < total; i++) {
    pieces.ax[i] = ends[4 * i];
    pieces.ay[i] = ends[4 * i + 1];
    pieces.bx[i] = ends[4 * i + 2];
    pieces.by[i] = ends[4 * i + 3];
    pieces.length[i] = Math.hypot(pieces.bx[i] - pieces.ax[i], pieces.by[i] - pieces.ay[i]);
  }
  return pieces;
}

/** Indices by falling value (counting sort over 0..255). */
function strongestFirst(values: Float32Array): Int32Array {
  const starts = new Int32Array(257);
  for (const v of values) starts[256 - Math.min(255, v | 0)]++;
  for (let k = 1; k <= 256; k++) starts[k] += starts[k - 1];
  const order = new Int32Array(values.length);
  for (let i = 0; i < values.length; i++) order[starts[255 - Math.min(255, values[i] | 0)]++] = i;
  return order;
}

/** Ends of the points' extent along their principal axis. */
function principalLine(
  x: Float32Array,
  y: Float32Array,
  members: Int32Array,
  n: number,
): [number, number, number, number] {
  let mx = 0;
  let my = 0;
  for (let k = 0; k < n; k++) {
    mx += x[members[k]] / n;
    my += y[members[k]] / n;
  }
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let k = 0; k < n; k++) {
    const dx = x[members[k]] - mx;
    const dy = y[members[k]] - my;
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
  }
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
  const ux = Math.cos(angle);
  const uy = Math.sin(angle);
  let low = 0;
  let high = 0;
  for (let k = 0; k < n; k++) {
    const t = (x[members[k]] - mx) * ux + (y[members[k]] - my) * uy;
    if (t < low) low = t;
    if (t > high) high = t;
  }
  return [mx + low * ux, my + low * uy, mx + high * ux, my + high * uy];
}

/** Links each end of a piece to the best opposite end ahead of it, where the choice is mutual. */
function chainPieces(map: InkMap, pieces: Pieces): Chain[] {
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
      pieces: order,
    });
  }
  return chains;
}
