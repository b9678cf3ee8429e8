import { dot } from '../geometry/vector.ts';
import type { PatternPoint } from '../types.ts';
import { FADES_TO, INK_SHARE, inkAlong } from './local-ink.ts';
import type { Profile } from './profile.ts';
import { quantile } from './quantile.ts';
import { readBeat } from './rhythm.ts';

/** What was measured along one piece. */
export interface PieceInk {
  /** Ink across the stroke per px of length: paper minus ink, three channels, summed over the width; does not change with blur. */
  readonly colour: readonly [number, number, number];
  /** Standard error of the direction of `colour`, as an angle in radians. */
  readonly colourError: number;
  /** Upper quartile of the ink across the stroke (density times px): darkness times width. */
  readonly strength: number;
  /** Ink across the stroke in the mean over the whole length, holes and all, density px; null where the paper's own could not be taken off. */
  readonly net: number | null;
  /** Mean height of the network's ridge, 0..1; null where the lines are not the network's. */
  readonly ridge: number | null;
  /** Upper quartile of the crest's density, 0..1. */
  readonly crest: number;
  /** 1 where ink was met, one entry a paper px along the piece without its ends. */
  readonly beat: Uint8Array;
  /** Ink on the stroke's own width along the piece, density px, same entries. */
  readonly core: Float32Array;
  /** Px left out at either end. */
  readonly ends: number;
  /** Middle of the piece, pattern units. */
  readonly middle: PatternPoint;
  /** Samples behind all this; 0 where the piece was too short to look at. */
  readonly samples: number;
  /** Where its colour seems to change; null where it does not. */
  readonly change: ColourChange | null;
}

/** A change of colour along a piece. */
export interface ColourChange {
  /** Share of the piece's length before it. */
  readonly at: number;
  /** Angle between the two colours, radians. */
  readonly angle: number;
  /** Ink before and after, three channels. */
  readonly before: Colour;
  readonly after: Colour;
}

type Colour = readonly [number, number, number];

/** What the profiles of all pieces say of their ink; `width` is the stroke width in px. */
export function measurePieces(profiles: readonly Profile[], width: number): PieceInk[] {
  const asBroken = profiles.map((p) => measure(p, width, false));
  return isUnbroken(asBroken, width) ? profiles.map((p) => measure(p, width, true)) : asBroken;
}

/** Pieces of so many stroke widths would show a hole if they were dashed; whole ones are filled so far. */
const SHOWS_WIDTHS = 18;
const WHOLE_FILL = 0.95;
/** Share of their length that is whole in a drawing without dashes: neighbours' ink makes some look broken. */
const WHOLE_SHARE = 0.88;

/** True where the strokes of the drawing run through: then a dip along a short piece is no hole, but the stroke between its neighbours' ink. */
function isUnbroken(measured: readonly PieceInk[], width: number): boolean {
  let [all, unbroken] = [0, 0];
  for (const { beat } of measured) {
    if (beat.length < SHOWS_WIDTHS * width) continue;
    const { filled, length } = readBeat(beat, width);
    all += length;
    if (filled > WHOLE_FILL) unbroken += length;
  }
  return unbroken > WHOLE_SHARE * all && all > 0;
}

/** Neighbours' ink only adds: below the middle of the samples is the stroke's own; more than this factor above it is not. */
const OWN_QUANTILE = 0.4;
const MOST_OWN = 1.35;

function measure(
  { rows, amount, crest, core, ridge, net, middle, ends, length }: Profile,
  width: number,
  unbroken: boolean,
): PieceInk {
  const n = amount.length;
  const usual = quantile(amount, 0.75);
  // Where the stroke stops short or leaves its line there is none to be asked.
  const seen = amount.filter((v) => v >= FADES_TO * usual);
  const strength = unbroken ? quantile(seen, OWN_QUANTILE) : usual;
  const beat = unbroken
    ? Uint8Array.from(amount, (v) => (v < INK_SHARE * strength ? 0 : 1))
    : inkAlong(amount, strength, width);
  const own = new Uint8Array(n);
  const colour: [number, number, number] = [0, 0, 0];
  let inked = 0;
  for (let s = 0; s < n; s++) {
    if (!beat[s]) continue;
    if (unbroken && amount[s] > MOST_OWN * strength) continue;
    own[s] = 1;
    inked++;
    for (let k = 0; k < 3; k++) colour[k] += rows[s * 3 + k];
  }
  for (let k = 0; k < 3; k++) colour[k] /= Math.max(1, inked);
  if (!unbroken) markDots(beat, amount, DOT_RISE * strength);
  const change = findChange(rows, own, width);
  return {
    colour,
    colourError: directionError(rows, own, colour, inked),
    strength,
    net: net ? meanInk(rows) : null,
    ridge,
    crest: quantile(crest, 0.75),
    beat,
    core: Float32Array.from(core),
    ends,
    middle,
    samples: inked,
    // Samples leave out the ends; the place of a change is a share of the whole piece.
    change: change && { ...change, at: (ends + change.at * n) / length },
  };
}

/** Root mean square over the channels of the mean of all samples: what only wavers is as often lighter as darker and adds nothing. */
function meanInk(rows: Float64Array): number {
  const sum = [0, 0, 0];
  for (let i = 0; i < rows.length; i++) sum[i % 3] += rows[i];
  return (Math.hypot(sum[0], sum[1], sum[2]) * Math.sqrt(3)) / rows.length;
}

/** A dot between dashes is half a stroke width long in ISO 128-2: blur leaves this share of its ink, standing clear in the hole. */
const DOT_RISE = 0.1;

/** Marks ink that rises by `rise` from both sides within a hole, as far as half its height. */
function markDots(beat: Uint8Array, amount: Float64Array, rise: number): void {
  const n = beat.length;
  for (let from = 0; from < n; ) {
    if (beat[from]) {
      from++;
      continue;
    }
    let to = from;
    while (to < n && !beat[to]) to++;
    if (from > 0 && to < n) markWithin(beat, amount, from, to, rise);
    from = to;
  }
}

function markWithin(beat: Uint8Array, amount: Float64Array, from: number, to: number, rise: number): void {
  // Down into a valley, up to a top, down again by enough: the top was a dot.
  let valley = amount[from];
  let top = -1;
  for (let s = from + 1; s < to; s++) {
    if (top < 0) {
      valley = Math.min(valley, amount[s]);
      if (amount[s] > valley + rise) top = s;
    } else if (amount[s] > amount[top]) top = s;
    else if (amount[s] < amount[top] - rise) {
      const level = (amount[top] + Math.max(valley, amount[s])) / 2;
      for (let k = top; k > from && amount[k] >= level; k--) beat[k] = 1;
      for (let k = top; k < to && amount[k] >= level; k++) beat[k] = 1;
      valley = amount[s];
      top = -1;
    }
  }
}

/** Spread of the samples' colour about the mean's direction, over the root of the independent samples. */
function directionError(rows: Float64Array, own: Uint8Array, mean: readonly number[], inked: number): number {
  const size = Math.hypot(mean[0], mean[1], mean[2]);
  if (size < 1e-9 || inked === 0) return Math.PI;
  const u = mean.map((v) => v / size);
  let off = 0;
  for (let s = 0; s < own.length; s++) {
    if (!own[s]) continue;
    const along = rows[s * 3] * u[0] + rows[s * 3 + 1] * u[1] + rows[s * 3 + 2] * u[2];
    for (let k = 0; k < 3; k++) off += (rows[s * 3 + k] - along * u[k]) ** 2;
  }
  // Neighbouring samples share blur and compression blocks: about one in four is news.
  const independent = Math.max(1, inked / 4);
  return Math.sqrt(off / inked / independent) / size + 0.25 / (independent * 8);
}

/** Least angle between two inks' colours that can be told, radians. */
const CHANGE_ANGLE = 0.35;

/** The cut that parts the samples into two colours best, if both parts are long and clearly apart. */
function findChange(rows: Float64Array, own: Uint8Array, width: number): PieceInk['change'] {
  const n = own.length;
  const least = Math.max(8, Math.round(4 * width));
  if (n < 2 * least) return null;
  const sums = new Float64Array((n + 1) * 3);
  for (let s = 0; s < n; s++)
    for (let k = 0; k < 3; k++) sums[(s + 1) * 3 + k] = sums[s * 3 + k] + (own[s] ? rows[s * 3 + k] : 0);
  let best: Omit<ColourChange, 'at'> & { s: number } = { s: 0, angle: 0, before: [0, 0, 0], after: [0, 0, 0] };
  for (let s = least; s <= n - least; s++) {
    const at = (k: number) => sums[s * 3 + k];
    const rest = (k: number) => sums[n * 3 + k] - sums[s * 3 + k];
    const a: Colour = [at(0), at(1), at(2)];
    const b: Colour = [rest(0), rest(1), rest(2)];
    const cos = dot(a, b) / Math.max(1e-9, Math.sqrt(dot(a, a) * dot(b, b)));
    const angle = Math.acos(Math.max(-1, Math.min(1, cos)));
    if (angle > best.angle) best = { s, angle, before: a, after: b };
  }
  const { s, ...change } = best;
  return change.angle > CHANGE_ANGLE ? { at: s / n, ...change } : null;
}
