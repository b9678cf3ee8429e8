import type { PrintedLegend, PrintedSample } from '../legend/legend.ts';
import type { SampleInk } from '../legend/measure-sample.ts';
import { hueOf } from './features.ts';
import type { Ink } from './ink-groups.ts';
import type { InkSorting } from './inks.ts';
import { nameRhythm, readBeat } from './rhythm.ts';

/** An ink that the printed legend names. */
export interface NamedInk {
  readonly kind: 'M' | 'V' | 'F';
  readonly why: string;
  readonly probability: number;
}

/** The difference between two samples is that of two inks where it is off by no more than this share of it. */
const MOST_OFF = 0.6;
/** No other two inks may come nearer than by this share of the difference. */
const LEAST_AHEAD = 0.5;
/** Samples themselves may be paler or bolder than the pattern's strokes: how much that weighs against their difference. */
const OWN_WEIGHT = 0.35;
/** Two rhythms whose filled shares differ by less are told apart by name. */
const LIKE_FILL = 0.08;

/**
 * The inks of this sorting that the printed legend names, by index; null where its samples do not differ as two of the inks do.
 */
export function namedInks(sorting: InkSorting, legend: PrintedLegend): ReadonlyMap<number, NamedInk> | null {
  const { inks, pale } = sorting;
  const mountain = legend.samples.find(({ kind }) => kind === 'mountain');
  const valley = legend.samples.find(({ kind }) => kind === 'valley');
  const pair = mountain && valley && likePair(sorting, mountain.ink, valley.ink, legend.strokePx);
  if (!pair) return null;
  const { first: m, second: v } = pair;
  const probability = legend.probability * pair.sure;
  const named = new Map<number, NamedInk>([
    [m, { kind: 'M', why: whyOf(mountain), probability }],
    [v, { kind: 'V', why: whyOf(valley), probability }],
  ]);
  const rest = [...inks.keys()].filter((i) => i !== m && i !== v && i !== pale);
  const guide = legend.samples.find(({ kind }) => kind === 'guide');
  if (guide && rest.length === 1) named.set(rest[0], { kind: 'F', why: whyOf(guide), probability });
  return named;
}

function whyOf({ word }: PrintedSample): string {
  return word === null
    ? 'read in the legend beside the pattern, where the other sample is named'
    : `read in the legend beside the pattern: "${word}"`;
}

/** Whether two of the samples differ as two inks of the sorting do: others are no legend of it. */
export function isOfInks(sorting: InkSorting, samples: readonly SampleInk[], strokePx: number): boolean {
  return samples.some((a, i) => samples.slice(i + 1).some((b) => likePair(sorting, a, b, strokePx) !== null));
}

interface LikePair {
  /** Indices of the inks of the first sample and the second. */
  readonly first: number;
  readonly second: number;
  /** Probability that they are not the other way round. */
  readonly sure: number;
}

/**
 * The two inks that differ as two samples do; null where there are none. Inks are told apart by what the sorting went by: their colour, the
 * natural log of their strength, or how much of their length is filled, and else the name of their rhythm.
 *
 * @param strokePx width of the pattern's strokes in px of the samples
 */
function likePair(
  { inks, by, pale }: InkSorting,
  first: SampleInk,
  second: SampleInk,
  strokePx: number,
): LikePair | null {
  if (by === 'nothing') return null;
  const open = [...inks.keys()].filter((i) => i !== pale);
  return by === 'rhythm' && Math.abs(filledOf(first) - filledOf(second)) < LIKE_FILL
    ? byName(inks, open, [first, second], strokePx)
    : nearestPair(inks, open, by, first, second);
}

/** The inks that differ from each other as the two samples do. */
function nearestPair(
  inks: readonly Ink[],
  open: readonly number[],
  by: 'colour' | 'rhythm' | 'strength',
  first: SampleInk,
  second: SampleInk,
): LikePair | null {
  const [m, v] = [first, second].map((sample) => sampleAt(sample, by));
  const places = inks.map((ink) => inkAt(ink, by));
  const pairs = open
    .flatMap((i) => open.filter((k) => k !== i).map((k) => [i, k] as const))
    .map(([i, k]) => {
      const own = OWN_WEIGHT * (distance(m, places[i]) + distance(v, places[k]));
      const difference = distance(minus(m, v), minus(places[i], places[k]));
      return { pair: [i, k] as const, off: difference + own, apart: distance(places[i], places[k]) };
    })
    .sort((a, b) => a.off - b.off);
  if (pairs.length === 0) return null;
  const [{ pair, off, apart }, next] = pairs;
  if (off > MOST_OFF * apart || next.off - off < LEAST_AHEAD * apart) return null;
  return { first: pair[0], second: pair[1], sure: 1 };
}

/** The inks whose rhythms have the names of the samples'. */
function byName(
  inks: readonly Ink[],
  open: readonly number[],
  samples: readonly SampleInk[],
  strokePx: number,
): LikePair | null {
  const names = samples.map(({ beat }) => nameRhythm(readBeat(beat, strokePx)));
  const [m, v] = names.map((name) => open.filter((i) => inks[i].rhythm === name));
  if (names[0] === names[1] || m.length !== 1 || v.length !== 1) return null;
  return { first: m[0], second: v[0], sure: Math.min(inks[m[0]].named ?? 1, inks[v[0]].named ?? 1) };
}

function sampleAt(sample: SampleInk, by: 'colour' | 'rhythm' | 'strength'): readonly number[] {
  if (by === 'colour') return hueOf(sample.colour);
  return by === 'strength' ? [Math.log(Math.max(1e-3, sample.strength))] : [filledOf(sample)];
}

function inkAt(ink: Ink, by: 'colour' | 'rhythm' | 'strength'): readonly number[] {
  if (by === 'colour') return hueOf(ink.direction);
  return by === 'strength' ? [Math.log(Math.max(1e-3, ink.strength))] : [ink.filled];
}

function filledOf({ beat }: SampleInk): number {
  return beat.reduce((sum, b) => sum + b, 0) / beat.length;
}

function minus(a: readonly number[], b: readonly number[]): number[] {
  return a.map((v, i) => v - b[i]);
}

function distance(a: readonly number[], b: readonly number[]): number {
  return Math.hypot(...minus(a, b));
}
