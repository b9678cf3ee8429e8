/**
 * Straight marks of ink on the working copy: centre pixels of strokes with their direction, grown into short straight pieces, chained across the
 * gaps of dashes and crossings. A chain may bend slowly, so a curled page keeps its long lines.
 */
import { type Centres, dashCentres, strokeCentres } from './centres.ts';
import { type Chain, chainPieces, type Pieces } from './chains.ts';
import type { InkMap } from './inkmap.ts';
import { covers, type Region } from './regions.ts';

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
/** The same for rows of dashes, whose smoothing alone is longer than that. */
const LEAST_ROW = 14;
/** Pieces are cut at a sheet's border in steps of this, px. */
const CUT_STEP_PX = 2;
/** Ink this near to a piece is explained by it, px. */
const EXPLAINED_PX = 4;
/** Share of ink that must be left unexplained to look for rows of dashes. */
const UNEXPLAINED_SHARE = 0.01;

/** All marks whose contrast is above `threshold`. */
export function findMarks(map: InkMap, threshold: number): Marks {
  const { width, height, ink } = map;
  const strokes = growPieces(map, strokeCentres(ink, width, height, threshold), LEAST_PIECE);
  const rest = unexplained(map, strokes, threshold);
  const rows = rest ? growPieces(map, dashCentres(rest, width, height, threshold), LEAST_ROW) : [];
  const pieces = packed([...strokes, ...rows]);
  return { pieces, chains: chainPieces(map, pieces) };
}

/** The marks inside a sheet: pieces are cut at its border, then chained anew, so that creases do not go on along lines of the desk. */
export function marksWithin(map: InkMap, marks: Marks, region: Region): Marks {
  const { pieces } = marks;
  const list: Piece[] = [];
  for (let i = 0; i < pieces.count; i++) {
    const dx = pieces.bx[i] - pieces.ax[i];
    const dy = pieces.by[i] - pieces.ay[i];
    const steps = Math.max(1, Math.round(pieces.length[i] / CUT_STEP_PX));
    let first = -1;
    let last = -1;
    let bestFirst = 0;
    let bestLast = -1;
    for (let k = 0; k <= steps; k++) {
      if (!covers(region, pieces.ax[i] + (dx * k) / steps, pieces.ay[i] + (dy * k) / steps)) {
        first = -1;
        continue;
      }
      if (first < 0) first = k;
      last = k;
      if (last - first > bestLast - bestFirst) [bestFirst, bestLast] = [first, last];
    }
    if ((bestLast - bestFirst) * CUT_STEP_PX < LEAST_PIECE - 1 && bestLast - bestFirst < steps) continue;
    const at = (k: number): [number, number] => [pieces.ax[i] + (dx * k) / steps, pieces.ay[i] + (dy * k) / steps];
    list.push({ ends: [...at(bestFirst), ...at(bestLast)], contrast: pieces.contrast[i] });
  }
  const kept = packed(list);
  return { pieces: kept, chains: chainPieces(map, kept) };
}

interface Piece {
  readonly ends: readonly [number, number, number, number];
  readonly contrast: number;
}

/** The ink that lies on no piece; null where there is next to none. */
function unexplained(map: InkMap, pieces: readonly Piece[], threshold: number): Uint8Array | null {
  const { width, height, ink } = map;
  const rest = Uint8Array.from(ink);
  let all = 0;
  for (let i = 0; i < rest.length; i++) {
    if (rest[i] <= threshold) rest[i] = 0;
    all += rest[i];
  }
  for (const { ends } of pieces) {
    const [ax, ay, bx, by] = ends;
    const steps = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / 2));
    for (let k = 0; k <= steps; k++) {
      const x = Math.round(ax + ((bx - ax) * k) / steps);
      const y = Math.round(ay + ((by - ay) * k) / steps);
      const left = Math.max(0, x - EXPLAINED_PX);
      const right = Math.min(width, x + EXPLAINED_PX + 1);
      for (let row = Math.max(0, y - EXPLAINED_PX); row <= Math.min(height - 1, y + EXPLAINED_PX); row++) {
        rest.fill(0, row * width + left, row * width + right);
      }
    }
  }
  let left = 0;
  for (let i = 0; i < rest.length; i++) left += rest[i];
  return left > UNEXPLAINED_SHARE * all ? rest : null;
}

/** Grows pieces from the strongest centres through neighbours of like direction near one line. */
function growPieces(map: InkMap, centres: Centres, least: number): Piece[] {
  const { width, height } = map;
  const { count, x, y, cos2, sin2, at } = centres;
  const used = new Uint8Array(count);
  const out: Piece[] = [];
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
    let inked = level > 0 ? 1 : 0;
    let norm = 0;
    let ux = 0;
    let uy = 0;
    // Unit direction of the mean double angle.
    const turn = (): void => {
      norm = Math.hypot(c, s);
      ux = Math.sqrt(Math.max(0, (1 + c / norm) / 2));
      uy = (s < 0 ? -1 : 1) * Math.sqrt(Math.max(0, (1 - c / norm) / 2));
    };
    turn();
    for (let head = 0; head < n; head++) {
      const m = members[head];
      const px = Math.round(x[m]);
      const py = Math.round(y[m]);
      for (let qy = Math.max(0, py - 2); qy <= Math.min(height - 1, py + 2); qy++) {
        for (let qx = Math.max(0, px - 2); qx <= Math.min(width - 1, px + 2); qx++) {
          const q = at[qy * width + qx];
          if (q < 0 || used[q]) continue;
          if ((c * cos2[q] + s * sin2[q]) / norm < angleDot) continue;
          const dx = x[q] - mx / n;
          const dy = y[q] - my / n;
          if (Math.abs(dx * uy - dy * ux) > PIECE_WIDTH) continue;
          used[q] = 1;
          members[n++] = q;
          c += cos2[q];
          s += sin2[q];
          turn();
          mx += x[q];
          my += y[q];
          // Gaps in a row of dashes have no ink and no say in its contrast.
          if (centres.height[q] > 0) {
            level += centres.height[q];
            inked++;
          }
        }
      }
    }
    if (n < least) continue;
    const ends = principalLine(x, y, members, n);
    if (Math.hypot(ends[2] - ends[0], ends[3] - ends[1]) < least - 1) continue;
    out.push({ ends, contrast: level / Math.max(1, inked) });
  }
  return out;
}

function packed(list: readonly Piece[]): Pieces {
  const pieces = {
    count: list.length,
    ax: Float32Array.from(list.map((p) => p.ends[0])),
    ay: Float32Array.from(list.map((p) => p.ends[1])),
    bx: Float32Array.from(list.map((p) => p.ends[2])),
    by: Float32Array.from(list.map((p) => p.ends[3])),
    length: new Float32Array(list.length),
    contrast: Float32Array.from(list.map((p) => p.contrast)),
    chain: new Int32Array(list.length).fill(-1),
  };
  for (let i = 0; i < list.length; i++) {
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
