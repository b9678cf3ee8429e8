/** Broken strokes sorted and named by the lengths of their dashes, gaps and dots, as uneven as a hand draws them. */
import type { Feature } from './features.ts';
import { firstLengths, firstRhythm, inkSums, type LearnedRhythms, learnRhythms, mixed } from './hand-rhythms.ts';
import type { Rhythm } from './rhythm.ts';
import { type HandRhythm, type InkSums, readRuns } from './run-lengths.ts';

interface Named {
  readonly names: readonly Rhythm[];
  /** Probability that they are right. */
  readonly sure: number;
}

export interface RunSorting extends Named {
  /** Probability of each rhythm, for every piece. */
  readonly odds: readonly Float64Array[];
}

/** Two rhythms are drawn if they make the strokes so much likelier than one, natural log. */
const LEAST_GAIN = 12;
/** Neighbouring samples are not as independent as they are taken for. */
const TRUST = 0.6;
/** What a piece looks like may be another stroke altogether. */
const ODD_PIECE = 0.015;
/** Natural log of odds that the same strokes have these names, of each of how much likelier they make them; names are never surer than the second number. */
const NAME_TRUST = 0.3;
const MOST_SURE = 0.98;

/** Steps in which gaps are read, and longest pieces from which is learned. */
const STEPS_A_GAP = 4;
const MOST_TAUGHT = 60;

type Dots = HandRhythm['dots'];
/** Rhythms that a drawing may be in: solid, dashed, or with one or two dots. */
const ONE: readonly Dots[][] = [[null], [0], [1], [2]];
const TWO: readonly Dots[][] = [
  [null, 0],
  [null, 1],
  [0, 1],
  [0, 2],
];

/** How the strokes of a drawing are read. */
interface Reader {
  readonly strokes: readonly InkSums[];
  readonly learn: (dots: readonly Dots[], fixed?: readonly Float64Array[]) => LearnedRhythms;
  readonly sumsOf: (ink: Float32Array) => InkSums;
}

function readerOf(inks: readonly Float32Array[], width: number): Reader | null {
  const lengths = firstLengths(inks, width);
  if (!lengths) return null;
  const sumsOf = (ink: Float32Array) => inkSums(ink, Math.max(1, lengths.gap / STEPS_A_GAP), width);
  const strokes = inks.map(sumsOf);
  return {
    strokes,
    learn: (dots, fixed) =>
      learnRhythms(
        dots.map((d) => firstRhythm(lengths, d, width)),
        strokes,
        fixed,
      ),
    sumsOf,
  };
}

/** The longest pieces of some. */
function teachersOf(features: readonly Feature[], own: readonly number[]): readonly number[] {
  return [...own].sort((a, b) => features[b].ink.length - features[a].ink.length).slice(0, MOST_TAUGHT);
}

/** Sorts all pieces by the two rhythms in which the drawing is likeliest; null where one explains it about as well. `width` is the stroke width in px. */
export function sortByRuns(features: readonly Feature[], own: readonly number[], width: number): RunSorting | null {
  const teachers = teachersOf(features, own);
  const reader = readerOf(
    teachers.map((i) => features[i].ink),
    width,
  );
  if (!reader) return null;
  const one = Math.max(...ONE.map((dots) => reader.learn(dots).log));
  const { rhythms, shares, log } = TWO.map((dots) => reader.learn(dots)).reduce((a, b) => (b.log > a.log ? b : a));
  if (log - one < LEAST_GAIN) return null;
  const logsOf = (sums: InkSums) => rhythms.map((rhythm) => readRuns(sums, rhythm).log);
  const odds = features.map(({ ink }) => {
    const found = mixed(logsOf(reader.sumsOf(ink)), shares, TRUST).odds;
    return found.map((p) => (1 - ODD_PIECE) * p + ODD_PIECE / found.length);
  });
  const isSolid = rhythms.map(({ dots }) => dots === null);
  return {
    odds,
    ...namesOf(
      reader,
      teachers.map((i) => odds[i]),
      isSolid,
    ),
  };
}

/** What two rhythms are called into which `odds` parts the pieces, given which of them is solid, and how sure that is; null where too little is seen. */
export function nameByRuns(
  features: readonly Feature[],
  own: readonly number[],
  odds: readonly Float64Array[],
  isSolid: readonly boolean[],
  width: number,
): Named | null {
  const teachers = teachersOf(features, own);
  const reader = readerOf(
    teachers.map((i) => features[i].ink),
    width,
  );
  if (!reader) return null;
  const fixed = teachers.map((i) => odds[i]);
  return namesOf(reader, fixed, isSolid);
}

/** Which of the two has dots: of two broken lines one, of one it is the question. */
function namesOf({ learn }: Reader, fixed: readonly Float64Array[], isSolid: readonly boolean[]): Named {
  const best = (ways: readonly (readonly Dots[])[]) => Math.max(...ways.map((dots) => learn(dots, fixed).log));
  const name = (dotted: number): Rhythm[] =>
    isSolid.map((solid, k) => (solid ? 'solid' : k === dotted ? 'dashdot' : 'dashed'));
  const ways = (dotted: number): Dots[][] =>
    DOTTED.map((count) => isSolid.map((solid, k) => (solid ? null : k === dotted ? count : 0)));
  const broken = isSolid.indexOf(false);
  const other = isSolid.lastIndexOf(false);
  const lead = best(ways(broken)) - best(broken === other ? ways(-1) : ways(other));
  return {
    names: name(lead > 0 ? broken : broken === other ? -1 : other),
    sure: Math.min(MOST_SURE, 1 / (1 + Math.exp(-NAME_TRUST * Math.abs(lead)))),
  };
}

const DOTTED = [1, 2] as const;
