import type { Ridges } from './ridges.ts';

/** Straight pieces of centre line, paper px, y down. */
export interface Segment {
  /** Middle of the piece. */
  readonly x: number;
  readonly y: number;
  /** Direction, radians in [0, pi). */
  readonly angle: number;
  readonly length: number;
  /** Root mean square distance of its points to the line, px. */
  readonly spread: number;
  /** Mean ridge strength. */
  readonly strength: number;
  /** Ridge point indices, in order along the piece. */
  readonly points: Int32Array;
}

export interface LinkOptions {
  /** Longest hole a piece may jump, px: about a stroke width, for crossings. */
  readonly jumpPx: number;
  /** How far a point may lie off the running line, px. */
  readonly strayPx: number;
  readonly leastLengthPx: number;
}

/** Cosine of the largest turn between neighbouring points' directions, and between a point and the running line. */
const MAX_TURN = Math.cos((20 * Math.PI) / 180);

/**
 * Links ridge points into straight segments by growing from strong points along their direction (after the line
 * support regions of Burns, Hanson & Riseman 1986, on centre lines instead of gradients).
 */
export function linkSegments(ridges: Ridges, options: LinkOptions): Segment[] {
  const order = strongestFirst(ridges.strength);
  const field = withDirections(ridges);
  const used = new Uint8Array(ridges.count);
  const segments: Segment[] = [];
  const forth: number[] = [];
  const back: number[] = [];
  for (const seed of order) {
    if (used[seed]) continue;
    forth.length = 0;
    back.length = 0;
    used[seed] = 1;
    const fit = startFit(ridges.x[seed], ridges.y[seed], ridges.angle[seed]);
    // Both ways in turns of growing length, so that the running line rests on both sides.
    grow(field, used, seed, 1, fit, forth, options);
    grow(field, used, seed, -1, fit, back, options);
    const points = Int32Array.from([...back.reverse(), seed, ...forth]);
    const segment = fitSegment(ridges, points);
    if (segment.length >= options.leastLengthPx) segments.push(segment);
    else if (points.length < 3) for (const p of points) used[p] = p === seed ? 1 : 0;
  }
  return segments;
}

interface DirectedRidges extends Ridges {
  /** Cosine and sine of each point's angle. */
  readonly cos: Float64Array;
  readonly sin: Float64Array;
}

function withDirections(ridges: Ridges): DirectedRidges {
  const cos = new Float64Array(ridges.count);
  const sin = new Float64Array(ridges.count);
  for (let p = 0; p < ridges.count; p++) {
    cos[p] = Math.cos(ridges.angle[p]);
    sin[p] = Math.sin(ridges.angle[p]);
  }
  return { ...ridges, cos, sin };
}

/** Running sums for an orthogonal line fit, and the direction that follows from them, in the order of the names below. */
type Fit = Float64Array;
const [N, X, Y, XX, XY, YY, DIR_X, DIR_Y] = [0, 1, 2, 3, 4, 5, 6, 7];

function startFit(x: number, y: number, angle: number): Fit {
  return Float64Array.of(1, x, y, x * x, x * y, y * y, Math.cos(angle), Math.sin(angle));
}

function addPoint(fit: Fit, x: number, y: number): void {
  fit[N]++;
  fit[X] += x;
  fit[Y] += y;
  fit[XX] += x * x;
  fit[XY] += x * y;
  fit[YY] += y * y;
  if (fit[N] < MIN_FOR_DIRECTION) return;
  const cxx = fit[XX] - (fit[X] * fit[X]) / fit[N];
  const cxy = fit[XY] - (fit[X] * fit[Y]) / fit[N];
  const cyy = fit[YY] - (fit[Y] * fit[Y]) / fit[N];
  const angle = 0.5 * Math.atan2(2 * cxy, cxx - cyy);
  const dx = Math.cos(angle);
  const dy = Math.sin(angle);
  const flip = dx * fit[DIR_X] + dy * fit[DIR_Y] < 0 ? -1 : 1;
  fit[DIR_X] = flip * dx;
  fit[DIR_Y] = flip * dy;
}

/** Fewer points than this say less about the direction than one ridge's own angle. */
const MIN_FOR_DIRECTION = 6;

function grow(
  ridges: DirectedRidges,
  used: Uint8Array,
  seed: number,
  sense: 1 | -1,
  fit: Fit,
  out: number[],
  options: LinkOptions,
): void {
  let cx = ridges.x[seed];
  let cy = ridges.y[seed];
  for (;;) {
    const dx = fit[DIR_X] * sense;
    const dy = fit[DIR_Y] * sense;
    let found = -1;
    let foundCost = Infinity;
    for (let step = 1; step <= options.jumpPx && found < 0; step += 1) {
      const px = cx + dx * step;
      const py = cy + dy * step;
      const ix = Math.floor(px);
      const iy = Math.floor(py);
      for (let oy = -1; oy <= 1; oy++) {
        for (let ox = -1; ox <= 1; ox++) {
          const x = ix + ox;
          const y = iy + oy;
          if (x < 0 || y < 0 || x >= ridges.width || y >= ridges.height) continue;
          const p = ridges.at[y * ridges.width + x];
          if (p < 0 || used[p]) continue;
          const rx = ridges.x[p] - cx;
          const ry = ridges.y[p] - cy;
          if (rx * dx + ry * dy < 0.3) continue;
          const off = Math.abs(
            (ridges.x[p] - fit[X] / fit[N]) * fit[DIR_Y] - (ridges.y[p] - fit[Y] / fit[N]) * fit[DIR_X],
          );
          if (off > options.strayPx) continue;
          if (alike(ridges, p, fit) < MAX_TURN) continue;
          const cost = off + 0.5 * Math.abs(rx * dx + ry * dy - 1);
          if (cost < foundCost) {
            foundCost = cost;
            found = p;
          }
        }
      }
    }
    if (found < 0) return;
    used[found] = 1;
    out.push(found);
    claimTwins(ridges, used, found, fit);
    cx = ridges.x[found];
    cy = ridges.y[found];
    addPoint(fit, cx, cy);
  }
}

/** A stroke that falls between two pixel rows shows in both: the neighbours beside a taken point are the same stroke. */
function claimTwins(ridges: DirectedRidges, used: Uint8Array, point: number, fit: Fit): void {
  for (const side of [1, -1]) {
    const x = Math.floor(ridges.x[point] - side * fit[DIR_Y]);
    const y = Math.floor(ridges.y[point] + side * fit[DIR_X]);
    if (x < 0 || y < 0 || x >= ridges.width || y >= ridges.height) continue;
    const twin = ridges.at[y * ridges.width + x];
    if (twin < 0 || used[twin]) continue;
    const off = (ridges.x[twin] - ridges.x[point]) * fit[DIR_Y] - (ridges.y[twin] - ridges.y[point]) * fit[DIR_X];
    if (Math.abs(off) < TWIN_PX && alike(ridges, twin, fit) > MAX_TURN) used[twin] = 1;
  }
}

/** Two strokes are never this close. */
const TWIN_PX = 1.2;

/** Cosine of the angle between a point's direction and the running line, 0..1. */
function alike({ cos, sin }: DirectedRidges, point: number, fit: Fit): number {
  return Math.abs(cos[point] * fit[DIR_X] + sin[point] * fit[DIR_Y]);
}

/** Orthogonal least squares through the points. */
export function fitSegment(ridges: Pick<Ridges, 'x' | 'y' | 'angle' | 'strength'>, points: Int32Array): Segment {
  const { x, y, angle: angles, strength: strengths } = ridges;
  const n = points.length;
  let sx = 0;
  let sy = 0;
  let strength = 0;
  for (let i = 0; i < n; i++) {
    const p = points[i];
    sx += x[p];
    sy += y[p];
    strength += strengths[p];
  }
  const mx = sx / n;
  const my = sy / n;
  let cxx = 0;
  let cxy = 0;
  let cyy = 0;
  for (let i = 0; i < n; i++) {
    const dx = x[points[i]] - mx;
    const dy = y[points[i]] - my;
    cxx += dx * dx;
    cxy += dx * dy;
    cyy += dy * dy;
  }
  let angle = n >= 3 ? 0.5 * Math.atan2(2 * cxy, cxx - cyy) : angles[points[0]];
  if (angle < 0) angle += Math.PI;
  if (angle >= Math.PI) angle -= Math.PI;
  const ux = Math.cos(angle);
  const uy = Math.sin(angle);
  let low = Infinity;
  let high = -Infinity;
  let off = 0;
  for (let i = 0; i < n; i++) {
    const dx = x[points[i]] - mx;
    const dy = y[points[i]] - my;
    const t = dx * ux + dy * uy;
    const d = -dx * uy + dy * ux;
    if (t < low) low = t;
    if (t > high) high = t;
    off += d * d;
  }
  const mid = (low + high) / 2;
  return {
    x: mx + mid * ux,
    y: my + mid * uy,
    angle,
    length: high - low + 1,
    spread: Math.sqrt(off / n),
    strength: strength / n,
    points,
  };
}

/** Indices by falling strength, equal ones in their order; strengths are 0 or more. */
function strongestFirst(strength: Float32Array): Int32Array {
  // The bits of such numbers rise with them: in front of the index they make one number to sort by, without a call for each comparison.
  const bits = new Uint32Array(strength.buffer, strength.byteOffset, strength.length);
  const keys = new Float64Array(bits.length);
  for (let i = 0; i < keys.length; i++) keys[i] = i - bits[i] * INDEX_ROOM;
  keys.sort();
  const order = new Int32Array(keys.length);
  for (let i = 0; i < order.length; i++) order[i] = keys[i] - Math.floor(keys[i] / INDEX_ROOM) * INDEX_ROOM;
  return order;
}

/** More points than a sheet holds; 31 bits of a strength beside it stay whole in a number. */
const INDEX_ROOM = 2 ** 22;

/** 1 for each of `count` ridge points that belongs to one of the segments. */
export function pointsOf(segments: Iterable<Segment>, count: number): Uint8Array {
  const mask = new Uint8Array(count);
  for (const { points } of segments) for (const p of points) mask[p] = 1;
  return mask;
}
