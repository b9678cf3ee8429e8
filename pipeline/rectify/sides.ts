/** Tracing of one side of the outline as a smooth curve over its chord. */
import { solveLinear } from '../geometry/homography.ts';
import { crossing, type WorkPoint } from './polygon.ts';

/** A plane of evidence: a value a pixel, index frame (centre of pixel (i, j) is (i, j)). */
export interface Plane {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
  /** ink: a line is where values are high. step: a border is where values fall outward. */
  readonly reads: 'ink' | 'step';
}

/**
 * A side from `from` to `to`: the point at share t of the chord, moved outward (left of the direction of travel on a clockwise
 * screen polygon) by the polynomial `bow` in t, px.
 */
export interface Side {
  readonly from: WorkPoint;
  readonly to: WorkPoint;
  /** Coefficients c0 + c1 t + c2 t^2 + c3 t^3 of the outward offset, px. */
  readonly bow: readonly number[];
  /** Share of the side's length backed by continuous evidence. */
  readonly support: number;
  /** Root mean square distance of the evidence to the curve, px. */
  readonly residual: number;
  /** Typical evidence along the side (median of the supported stations). */
  readonly strength: number;
}

export interface TraceOptions {
  /** Search to this distance on each side of the chord, px. */
  readonly reach: number;
  /** Evidence that counts as present. */
  readonly threshold: number;
  /** Degree of the curve: 1 straight, 3 for bent pages. */
  readonly degree: number;
  /** Share of the reward that the outermost position gets over the innermost. */
  readonly outward: number;
}

/** Stations along a side, px apart. */
const STATION_PX = 3;
const MOST_STATIONS = 220;
/** Offsets are tried at this distance, px. */
const OFFSET_PX = 0.75;
/** The path may move by this many offsets a station: bends up to about 10 degrees. */
const MOVE = 1;
/** Price of a move by one offset, as a share of a full reward: keeps the path from hopping between parallel lines. */
const MOVE_PRICE = 0.35;
/** A side is bent only if the curve leaves the straight line by this, px, and brings the evidence nearer by this factor. */
const LEAST_BOW_PX = 0.8;
const CURVE_GAIN = 0.75;
/** Rounds of reweighting, the biweight's constant (95 % efficiency for normal errors), and the least spread taken for real, px. */
const ROUNDS = 6;
const TUKEY = 4.685;
const LEAST_SCALE_PX = 0.25;
/** Departures beyond this count no more, px: other lines. */
const CLIP_PX = 4;
/** A step of light is measured between points this far on each side of it, px. */
const STEP_HALF_PX = 2;
/** Corners belong to two sides, so that share of each end is left out of the fit. */
const END_SHARE = 0.015;

export function sidePoint(side: Side, t: number): WorkPoint {
  const dx = side.to[0] - side.from[0];
  const dy = side.to[1] - side.from[1];
  const length = Math.hypot(dx, dy) || 1;
  const off = evaluate(side.bow, t);
  return [side.from[0] + dx * t + (dy / length) * off, side.from[1] + dy * t - (dx / length) * off];
}

/** A straight side without evidence. */
export function bareSide(from: WorkPoint, to: WorkPoint): Side {
  return { from, to, bow: [0], support: 0, residual: 0, strength: 0 };
}

/** Where the end of side `a` meets the start of side `b`: their tangents are crossed until the point stays. Null where they are parallel. */
export function cornerOf(a: Side, b: Side): WorkPoint | null {
  let p: WorkPoint | null = b.from;
  for (let round = 0; round < 4 && p; round++) {
    const ta = offsetFromSide(a, p[0], p[1]).t;
    const tb = offsetFromSide(b, p[0], p[1]).t;
    const h = 0.01;
    p = crossing(sidePoint(a, ta - h), sidePoint(a, ta + h), sidePoint(b, tb - h), sidePoint(b, tb + h));
  }
  return p;
}

/** The same curve over the chord between two points near its ends, which it then passes through. */
export function rebase(side: Side, from: WorkPoint, to: WorkPoint): Side {
  const moved: Side = { ...side, from, to, bow: [0] };
  // Least squares on t (1 - t) (c0 + c1 t), the cubics that vanish at both ends.
  const a = new Float64Array(4);
  const b = new Float64Array(2);
  const steps = 24;
  const start = offsetFromSide({ ...side, bow: [0] }, from[0], from[1]).t;
  const end = offsetFromSide({ ...side, bow: [0] }, to[0], to[1]).t;
  for (let i = 1; i < steps; i++) {
    const [x, y] = sidePoint(side, start + ((end - start) * i) / steps);
    const { t, off } = offsetFromSide(moved, x, y);
    const f0 = t * (1 - t);
    const f1 = f0 * t;
    a[0] += f0 * f0;
    a[1] += f0 * f1;
    a[3] += f1 * f1;
    b[0] += f0 * off;
    b[1] += f1 * off;
  }
  a[2] = a[1];
  const c = solveLinear(a, b);
  return c ? { ...moved, bow: [0, c[0], c[1] - c[0], -c[1]] } : moved;
}

/** Share along the chord, and distance outward from the side's curve, px. */
export function offsetFromSide(side: Side, x: number, y: number): { t: number; off: number } {
  const dx = side.to[0] - side.from[0];
  const dy = side.to[1] - side.from[1];
  const square = dx * dx + dy * dy;
  const px = x - side.from[0];
  const py = y - side.from[1];
  const t = (px * dx + py * dy) / square;
  const off = (px * dy - py * dx) / Math.sqrt(square);
  return { t, off: off - evaluate(side.bow, t < 0 ? 0 : Math.min(t, 1)) };
}

function evaluate(bow: readonly number[], t: number): number {
  let v = 0;
  for (let i = bow.length - 1; i >= 0; i--) v = v * t + bow[i];
  return v;
}

/** Bilinear value, 0 outside. */
function sample(plane: Plane, x: number, y: number): number {
  const { width, height, data } = plane;
  if (!(x >= -0.5 && y >= -0.5 && x <= width - 0.5 && y <= height - 0.5)) return 0;
  const cx = x < 0 ? 0 : Math.min(x, width - 1.001);
  const cy = y < 0 ? 0 : Math.min(y, height - 1.001);
  const ix = cx | 0;
  const iy = cy | 0;
  const fx = cx - ix;
  const fy = cy - iy;
  const i = iy * width + ix;
  const top = data[i] + (data[i + 1] - data[i]) * fx;
  const bottom = data[i + width] + (data[i + width + 1] - data[i + width]) * fx;
  return top + (bottom - top) * fy;
}

/** Averaged along the side, so that crossing lines weigh less than lines that run with it. */
function alongMean(plane: Plane, x: number, y: number, ux: number, uy: number): number {
  return (sample(plane, x - 2 * ux, y - 2 * uy) + sample(plane, x, y) * 2 + sample(plane, x + 2 * ux, y + 2 * uy)) / 4;
}

function outwardFall(plane: Plane, x: number, y: number, nx: number, ny: number, ux: number, uy: number): number {
  const inner = alongMean(plane, x - STEP_HALF_PX * nx, y - STEP_HALF_PX * ny, ux, uy);
  return Math.max(0, inner - alongMean(plane, x + STEP_HALF_PX * nx, y + STEP_HALF_PX * ny, ux, uy));
}

/**
 * Follows the strongest smooth line near the side `base` (dynamic programming over offsets, then a robust polynomial fit of the line's centre).
 * Travel is clockwise on the screen, so outward is to the left of the travel.
 */
export function traceSide(plane: Plane, base: Side, options: TraceOptions): Side {
  const { from, to } = base;
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const length = Math.hypot(dx, dy);
  const ux = dx / length;
  const uy = dy / length;
  // Outward normal for a polygon that runs clockwise on the screen (y down).
  const nx = uy;
  const ny = -ux;
  const stations = Math.min(MOST_STATIONS, Math.max(12, Math.round(length / STATION_PX)));
  const half = Math.max(2, Math.round(options.reach / OFFSET_PX));
  const states = 2 * half + 1;
  const values = new Float32Array(stations * states);
  const peaks = new Float32Array(stations);
  for (let s = 0; s < stations; s++) {
    const t = (s + 0.5) / stations;
    const bow = evaluate(base.bow, t);
    for (let k = 0; k < states; k++) {
      const off = bow + (k - half) * OFFSET_PX;
      const x = from[0] + dx * t + nx * off;
      const y = from[1] + dy * t + ny * off;
      const v = plane.reads === 'ink' ? alongMean(plane, x, y, ux, uy) : outwardFall(plane, x, y, nx, ny, ux, uy);
      values[s * states + k] = v;
      if (v > peaks[s]) peaks[s] = v;
    }
  }
  const cap = Math.max(options.threshold * 1.5, Float32Array.from(peaks).sort()[stations >> 1]);
  const path = bestPath(values, stations, states, half, cap, options.outward);
  const ts: number[] = [];
  const offs: number[] = [];
  const weights: number[] = [];
  const span = Math.max(2, Math.round(3 / OFFSET_PX));
  for (let s = 0; s < stations; s++) {
    const t = (s + 0.5) / stations;
    const row = s * states;
    const v = values[row + path[s]];
    if (v < options.threshold || t < END_SHARE || t > 1 - END_SHARE) continue;
    // Centre of the stroke: ink-weighted mean out to where the ink stops or rises again.
    let sum = v;
    let moment = v * path[s];
    for (const step of [-1, 1]) {
      let last = v;
      for (let k = path[s] + step; k >= 0 && k < states; k += step) {
        const w = values[row + k];
        if (w < options.threshold * 0.5 || (w > last + 2 && Math.abs(k - path[s]) > span)) break;
        sum += w;
        moment += w * k;
        last = w;
      }
    }
    ts.push(t);
    offs.push(evaluate(base.bow, t) + (moment / sum - half) * OFFSET_PX);
    weights.push(Math.min(1, v / cap));
  }
  const fit = fitCurve(ts, offs, weights, options.degree);
  const seen = measure(values, stations, states, half, base.bow, fit.bow, options.threshold);
  return { from, to, ...seen, bow: fit.bow, residual: fit.residual };
}

/** A straight side, unless a curve fits clearly better: wobble and noise shall not bend the page. */
function fitCurve(
  ts: readonly number[],
  offs: readonly number[],
  weights: readonly number[],
  degree: number,
): { bow: number[]; residual: number } {
  const straight = robustPolynomial(ts, offs, weights, 1);
  if (degree < 2) return straight;
  const curve = robustPolynomial(ts, offs, weights, degree);
  let most = 0;
  for (let t = 0; t <= 1; t += 0.125)
    most = Math.max(most, Math.abs(evaluate(curve.bow, t) - evaluate(straight.bow, t)));
  // Clipped, not robust: a bend that sets in near one end must be heard.
  const spread = (bow: readonly number[]): number => {
    let sum = 0;
    for (let i = 0; i < ts.length; i++) sum += Math.min(CLIP_PX, Math.abs(offs[i] - evaluate(bow, ts[i])));
    return sum / ts.length;
  };
  return most > LEAST_BOW_PX && spread(curve.bow) < CURVE_GAIN * spread(straight.bow) ? curve : straight;
}

/** Offsets (state indices) of the best smooth path. */
function bestPath(
  values: Float32Array,
  stations: number,
  states: number,
  half: number,
  cap: number,
  outward: number,
): Int32Array {
  const score = new Float32Array(states);
  const next = new Float32Array(states);
  const back = new Int8Array(stations * states);
  for (let s = 0; s < stations; s++) {
    for (let k = 0; k < states; k++) {
      let best = score[k];
      let move = 0;
      for (let m = 1; m <= MOVE; m++) {
        if (k - m >= 0 && score[k - m] - MOVE_PRICE * m > best) {
          best = score[k - m] - MOVE_PRICE * m;
          move = -m;
        }
        if (k + m < states && score[k + m] - MOVE_PRICE * m > best) {
          best = score[k + m] - MOVE_PRICE * m;
          move = m;
        }
      }
      const v = Math.min(1, values[s * states + k] / cap);
      next[k] = best + v * (1 + (outward * (k - half)) / (2 * half));
      back[s * states + k] = move;
    }
    score.set(next);
  }
  let k = 0;
  for (let j = 1; j < states; j++) if (score[j] > score[k]) k = j;
  const path = new Int32Array(stations);
  for (let s = stations - 1; s >= 0; s--) {
    path[s] = k;
    k += back[s * states + k];
  }
  return path;
}

/** Share of stations whose evidence lies within a stroke's blur of the curve, and their median evidence. */
function measure(
  values: Float32Array,
  stations: number,
  states: number,
  half: number,
  base: readonly number[],
  bow: readonly number[],
  threshold: number,
): { support: number; strength: number } {
  const seen: number[] = [];
  let inside = 0;
  const near = Math.round(2 / OFFSET_PX);
  for (let s = 0; s < stations; s++) {
    const t = (s + 0.5) / stations;
    const k = Math.round((evaluate(bow, t) - evaluate(base, t)) / OFFSET_PX) + half;
    inside++;
    let v = 0;
    for (let j = Math.max(0, k - near); j <= Math.min(states - 1, k + near); j++)
      v = Math.max(v, values[s * states + j]);
    if (v >= threshold) seen.push(v);
  }
  seen.sort((a, b) => a - b);
  return { support: inside ? seen.length / inside : 0, strength: seen.length ? seen[seen.length >> 1] : 0 };
}

/** Polynomial by iteratively reweighted least squares (Tukey's biweight). */
export function robustPolynomial(
  ts: readonly number[],
  values: readonly number[],
  weights: readonly number[],
  degree: number,
): { bow: number[]; residual: number } {
  const n = ts.length;
  if (n < degree + 3) return { bow: [0], residual: Number.POSITIVE_INFINITY };
  const m = degree + 1;
  const w = Float64Array.from(weights);
  const errors = new Float64Array(n);
  const sums = new Float64Array(2 * m - 1);
  const a = new Float64Array(m * m);
  const b = new Float64Array(m);
  let bow: number[] = [0];
  let residual = 0;
  for (let round = 0; round < ROUNDS; round++) {
    sums.fill(0);
    b.fill(0);
    for (let i = 0; i < n; i++) {
      let p = w[i];
      for (let k = 0; k < 2 * m - 1; k++) {
        sums[k] += p;
        if (k < m) b[k] += p * values[i];
        p *= ts[i];
      }
    }
    for (let r = 0; r < m; r++) for (let c = 0; c < m; c++) a[r * m + c] = sums[r + c];
    const solved = solveLinear(a, b);
    if (!solved) return { bow: [0], residual: Number.POSITIVE_INFINITY };
    bow = [...solved];
    for (let i = 0; i < n; i++) errors[i] = Math.abs(values[i] - evaluate(bow, ts[i]));
    const scale = Math.max(LEAST_SCALE_PX, 1.4826 * Float64Array.from(errors).sort()[n >> 1]);
    let sum = 0;
    let total = 0;
    for (let i = 0; i < n; i++) {
      const r = errors[i] / (TUKEY * scale);
      const k = r < 1 ? (1 - r * r) ** 2 : 0;
      w[i] = weights[i] * k;
      sum += w[i] * errors[i] * errors[i];
      total += w[i];
    }
    residual = total > 0 ? Math.sqrt(sum / total) : Number.POSITIVE_INFINITY;
  }
  return { bow, residual };
}
