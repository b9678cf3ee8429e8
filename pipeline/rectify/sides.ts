/** Tracing of one side of the outline as a smooth curve near a guess. */
import { type Curve, chordOf, evaluate, robustPolynomial } from './curve.ts';
import { lookAcross, OFFSET_PX, type Plane } from './plane.ts';
import type { WorkPoint } from './polygon.ts';

/** A traced side. */
export interface Side extends Curve {
  /** Share of the side's length backed by continuous evidence. */
  readonly support: number;
  /** Width of the stroke, px; 0 for a step of light. */
  readonly width: number;
}

export interface TraceOptions {
  /** Search to this distance on each side of the chord, px. */
  readonly reach: number;
  /** Evidence that counts as present. */
  readonly threshold: number;
  /** Highest degree of the curve: 1 straight, 3 for bent pages, 5 for sheets that curl up at one end. */
  readonly degree: number;
  /** Share of the reward that the outermost position gets over the innermost. */
  readonly outward: number;
}

/** Stations along a side, px apart. */
const STATION_PX = 3;
const MOST_STATIONS = 220;
/** The path may move by this many offsets a station: bends up to about 10 degrees. */
const MOVE = 1;
/** Price of a move by one offset, as a share of a full reward: keeps the path from hopping between parallel lines. */
const MOVE_PRICE = 0.35;
/** A side is bent only if the curve leaves the straight line by this, px, and brings the evidence nearer by this factor. */
const LEAST_BOW_PX = 0.8;
const CURVE_GAIN = 0.75;
/** The same for the highest degree: curled sheets leave next to nothing, the wobble of a hand is only followed. */
const CURL_GAIN = 0.38;
/** Degrees tried, each where the one before leaves something: bows, bends in two senses, sheets that curl up towards one end. */
const DEGREES = [2, 3, 5];
/** Departures beyond this count no more, px: other lines. */
const CLIP_PX = 4;
/** Corners belong to two sides, so that share of each end is left out of the fit. */
const END_SHARE = 0.015;
/** The profile goes on beyond the search by this, px, so that a thick stroke at its rim is seen whole. */
const SPARE_PX = 9;
/** Evidence this near to the curve supports it, px. */
const SUPPORT_PX = 2;
/** A stroke ends where its ink falls to this share of its top. */
const HALF = 0.5;
/** Stations where the stroke is this many times wider than usual show two strokes. */
const DOUBLE = 1.6;

/**
 * Follows the strongest smooth line near `base` (dynamic programming over offsets, then a robust polynomial fit of the line's middle between
 * its two flanks). Travel is clockwise on the screen, so outward is to the left of the travel.
 */
export function traceSide(plane: Plane, base: Curve, options: TraceOptions): Side {
  const { from, to } = base;
  const { profile, ts, offs, weights, width } = follow(plane, base, options);
  const fit = fitCurve(ts, offs, weights, options.degree);
  const support = supportOf(profile, base.bow, fit, options.threshold);
  return { from, to, bow: fit, support, width };
}

/** The points of that line near `base`, as they were traced. */
export function pointsAlong(plane: Plane, base: Curve, options: Omit<TraceOptions, 'degree'>): WorkPoint[] {
  const { from, to } = base;
  const length = chordOf(base);
  const [ux, uy] = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const { ts, offs } = follow(plane, base, options);
  return ts.map(
    (t, i): WorkPoint => [from[0] + length * t * ux + offs[i] * uy, from[1] + length * t * uy - offs[i] * ux],
  );
}

/** Where the strongest line near `base` is, at each station where there is any: share along the chord, px outward from it, and how clearly. */
function follow(
  plane: Plane,
  base: Curve,
  options: Omit<TraceOptions, 'degree'>,
): { profile: Profile; ts: number[]; offs: number[]; weights: number[]; width: number } {
  const { from, to } = base;
  const length = chordOf(base);
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const ux = dx / length;
  const uy = dy / length;
  const stations = Math.min(MOST_STATIONS, Math.max(12, Math.round(length / STATION_PX)));
  const half = Math.max(2, Math.round(options.reach / OFFSET_PX));
  const spare = Math.round(SPARE_PX / OFFSET_PX);
  const profile: Profile = { stations, half, spare, states: 2 * (half + spare) + 1, values: new Float32Array(0) };
  const values = new Float32Array(stations * profile.states);
  const peaks = new Float32Array(stations);
  for (let s = 0; s < stations; s++) {
    const t = (s + 0.5) / stations;
    const row = values.subarray(s * profile.states, (s + 1) * profile.states);
    lookAcross(plane, from[0] + dx * t, from[1] + dy * t, ux, uy, evaluate(base.bow, t), half + spare, row);
    for (let k = spare; k < profile.states - spare; k++) if (row[k] > peaks[s]) peaks[s] = row[k];
  }
  const cap = Math.max(options.threshold * 1.5, peaks.slice().sort()[stations >> 1]);
  const full = { ...profile, values };
  const path = bestPath(full, cap, options.outward);
  return { profile: full, ...middles(full, path, base, cap, options.threshold) };
}

/** Evidence at each station (rows) and offset (columns, OFFSET_PX apart; `spare` more on each side than are searched). */
interface Profile {
  readonly stations: number;
  readonly half: number;
  readonly spare: number;
  readonly states: number;
  readonly values: Float32Array;
}

/** Middle of the stroke at each station where the path has evidence: half way between the points where it falls to half. */
function middles(
  profile: Profile,
  path: Int32Array,
  base: Curve,
  cap: number,
  threshold: number,
): { ts: number[]; offs: number[]; weights: number[]; width: number } {
  const { stations, half, spare, states, values } = profile;
  const found: { t: number; low: number; high: number; weight: number }[] = [];
  for (let s = 0; s < stations; s++) {
    const t = (s + 0.5) / stations;
    const row = s * states;
    if (values[row + path[s]] < threshold || t < END_SHARE || t > 1 - END_SHARE) continue;
    // The path may lie on the stroke's flank: climb to its top first.
    let k = path[s];
    while (k > 0 && values[row + k - 1] > values[row + k]) k--;
    while (k < states - 1 && values[row + k + 1] > values[row + k]) k++;
    const level = HALF * values[row + k];
    const flank = (step: number): number => {
      let j = k;
      while (j + step >= 0 && j + step < states && values[row + j + step] > level) j += step;
      if (j + step < 0 || j + step >= states) return Number.NaN;
      const inner = values[row + j];
      return j + (step * (inner - level)) / (inner - values[row + j + step] || 1);
    };
    const low = flank(-1);
    const high = flank(1);
    if (high - low > 0) found.push({ t, low, high, weight: Math.min(1, values[row + k] / cap) });
  }
  const widths = found.map((f) => f.high - f.low).sort((p, q) => p - q);
  const usual = widths[widths.length >> 1] ?? 0;
  const single = found.filter((f) => f.high - f.low <= DOUBLE * usual);
  return {
    ts: single.map((f) => f.t),
    offs: single.map((f) => evaluate(base.bow, f.t) + ((f.low + f.high) / 2 - half - spare) * OFFSET_PX),
    weights: single.map((f) => f.weight),
    width: usual * OFFSET_PX,
  };
}

/** A straight side, unless a curve fits clearly better, and a curve of the next degree better still: wobble and noise shall not bend the page. */
function fitCurve(
  ts: readonly number[],
  offs: readonly number[],
  weights: readonly number[],
  degree: number,
): number[] {
  // Clipped, not robust: a bend that sets in near one end must be heard.
  const spread = (bow: readonly number[]): number => {
    let sum = 0;
    for (let i = 0; i < ts.length; i++) sum += Math.min(CLIP_PX, Math.abs(offs[i] - evaluate(bow, ts[i])));
    return sum / ts.length;
  };
  let fit = robustPolynomial(ts, offs, weights, 1);
  for (const next of DEGREES) {
    if (next > degree) break;
    const curve = robustPolynomial(ts, offs, weights, next);
    let most = 0;
    for (let t = 0; t <= 1; t += 0.125) most = Math.max(most, Math.abs(evaluate(curve, t) - evaluate(fit, t)));
    const gain = next > 3 ? CURL_GAIN : CURVE_GAIN;
    if (most > LEAST_BOW_PX && spread(curve) < gain * spread(fit)) fit = curve;
  }
  return fit;
}

/** Offsets (columns of the profile) of the best smooth path within the search. */
function bestPath(profile: Profile, cap: number, outward: number): Int32Array {
  const { stations, half, spare, states, values } = profile;
  const searched = 2 * half + 1;
  const score = new Float32Array(searched);
  const next = new Float32Array(searched);
  const back = new Int8Array(stations * searched);
  for (let s = 0; s < stations; s++) {
    for (let k = 0; k < searched; k++) {
      let best = score[k];
      let move = 0;
      for (let m = 1; m <= MOVE; m++) {
        if (k - m >= 0 && score[k - m] - MOVE_PRICE * m > best) {
          best = score[k - m] - MOVE_PRICE * m;
          move = -m;
        }
        if (k + m < searched && score[k + m] - MOVE_PRICE * m > best) {
          best = score[k + m] - MOVE_PRICE * m;
          move = m;
        }
      }
      const v = Math.min(1, values[s * states + spare + k] / cap);
      next[k] = best + v * (1 + (outward * (k - half)) / (2 * half));
      back[s * searched + k] = move;
    }
    score.set(next);
  }
  let k = 0;
  for (let j = 1; j < searched; j++) if (score[j] > score[k]) k = j;
  const path = new Int32Array(stations);
  for (let s = stations - 1; s >= 0; s--) {
    path[s] = k + spare;
    k += back[s * searched + k];
  }
  return path;
}

/** Share of stations whose evidence lies within a stroke's blur of the curve. */
function supportOf(profile: Profile, base: readonly number[], bow: readonly number[], threshold: number): number {
  const { stations, half, spare, states, values } = profile;
  const near = Math.round(SUPPORT_PX / OFFSET_PX);
  let seen = 0;
  for (let s = 0; s < stations; s++) {
    const t = (s + 0.5) / stations;
    const k = Math.round((evaluate(bow, t) - evaluate(base, t)) / OFFSET_PX) + half + spare;
    let v = 0;
    for (let j = Math.max(0, k - near); j <= Math.min(states - 1, k + near); j++)
      v = Math.max(v, values[s * states + j]);
    if (v >= threshold) seen++;
  }
  return seen / stations;
}
