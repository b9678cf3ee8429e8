import type { PrintedLegend, PrintedSample } from '../legend/legend.ts';
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
 * The inks of this sorting that the printed legend names, by index; null where its samples do not differ as two of the inks do. Inks are
 * told apart by what the sorting went by: their colour, the natural log of their strength, or how much of their length is filled.
 */
export function namedInks({ inks, by, pale }: InkSorting, legend: PrintedLegend): ReadonlyMap<number, NamedInk> | null {
  const { samples, strokePx } = legend;
  const mountain = samples.find(({ kind }) => kind === 'mountain');
  const valley = samples.find(({ kind }) => kind === 'valley');
  if (!mountain || !valley || by === 'nothing') return null;
  const open = [...inks.keys()].filter((i) => i !== pale);
  const isByName = by === 'rhythm' && Math.abs(filledOf(mountain) - filledOf(valley)) < LIKE_FILL;
  const pair = isByName
    ? byName(inks, open, [mountain, valley], strokePx)
    : nearestPair(inks, open, by, mountain, valley);
  if (!pair) return null;
  const [m, v] = pair;
  const probability = legend.probability * (isByName ? Math.min(inks[m].named, inks[v].named) : 1);
  const why = (sample: PrintedSample) =>
    sample.word === null
      ? 'read in the legend beside the pattern, where the other sample is named'
      : `read in the legend beside the pattern: "${sample.word}"`;
  const named = new Map<number, NamedInk>([
    [m, { kind: 'M', why: why(mountain), probability }],
    [v, { kind: 'V', why: why(valley), probability }],
  ]);
  const rest = open.filter((i) => i !== m && i !== v);
  const guide = samples.find(({ kind }) => kind === 'guide');
  if (guide && rest.length === 1) named.set(rest[0], { kind: 'F', why: why(guide), probability });
  return named;
}

/** The inks that differ from each other as the two samples do. */
function nearestPair(
  inks: readonly Ink[],
  open: readonly number[],
  by: 'colour' | 'rhythm' | 'strength',
  mountain: PrintedSample,
  valley: PrintedSample,
): readonly [number, number] | null {
  const [m, v] = [mountain, valley].map((sample) => sampleAt(sample, by));
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
  const [{ pair, off, apart }, second] = pairs;
  return off <= MOST_OFF * apart && second.off - off >= LEAST_AHEAD * apart ? pair : null;
}

/** The inks whose rhythms have the names of the samples'. */
function byName(
  inks: readonly Ink[],
  open: readonly number[],
  samples: readonly PrintedSample[],
  strokePx: number,
): readonly [number, number] | null {
  const names = samples.map(({ ink }) => nameRhythm(readBeat(ink.beat, strokePx)));
  const [m, v] = names.map((name) => open.filter((i) => inks[i].rhythm === name));
  return names[0] !== names[1] && m.length === 1 && v.length === 1 ? [m[0], v[0]] : null;
}

function sampleAt(sample: PrintedSample, by: 'colour' | 'rhythm' | 'strength'): readonly number[] {
  if (by === 'colour') return hueOf(sample.ink.colour);
  return by === 'strength' ? [Math.log(Math.max(1e-3, sample.ink.strength))] : [filledOf(sample)];
}

function inkAt(ink: Ink, by: 'colour' | 'rhythm' | 'strength'): readonly number[] {
  if (by === 'colour') return hueOf(ink.direction);
  return by === 'strength' ? [Math.log(Math.max(1e-3, ink.strength))] : [ink.filled];
}

function filledOf({ ink }: PrintedSample): number {
  return ink.beat.reduce((sum, b) => sum + b, 0) / ink.beat.length;
}

function minus(a: readonly number[], b: readonly number[]): number[] {
  return a.map((v, i) => v - b[i]);
}

function distance(a: readonly number[], b: readonly number[]): number {
  return Math.hypot(...minus(a, b));
}
