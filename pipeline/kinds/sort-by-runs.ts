/** Broken strokes sorted and named by the lengths of their dashes, gaps and dots, as uneven as a hand draws them. */
import type { Feature } from './features.ts';
import { firstLengths, firstRhythm, inkSums, type LearnedRhythms, learnRhythms, mixed } from './hand-rhythms.ts';
import type { Rhythm } from './rhythm.ts';
import { type HandRhythm, runReader } from './run-lengths.ts';

interface Named {
  readonly names: readonly Rhythm[];
  /** Probability that they are right. */
  readonly sure: number;
}

/** Pieces sorted by rhythms that have names. */
export interface NamedSorting extends Named {
  /** Probability of each rhythm, for every piece. */
  readonly odds: readonly Float64Array[];
  /** Whether periods or runs were found; else holes and dots were counted only. */
  readonly fitted: boolean;
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
const MOST_TAUGHT = 40;

type Dots = HandRhythm['dots'];
/** Rhythms that a drawing may be in: solid, dashed, or with one or two dots. */
const ONE: readonly Dots[][] = [[null], [0], [1], [2]];
const TWO: readonly Dots[][] = [
  [null, 0],
  [null, 1],
  [0, 1],
  [0, 2],
];

/** The strokes of a drawing as they are read. */
export interface RunReader {
  /** Pieces that teach. */
  readonly teachers: readonly number[];
  readonly learn: (dots: readonly Dots[], fixed?: readonly Float64Array[]) => LearnedRhythms;
  /** Natural log of the likelihood of every piece in each of the rhythms. */
  readonly logsOf: (rhythms: readonly HandRhythm[]) => number[][];
}

/** Taught by the longest of the pieces `own`; null where they have too few gaps. `width` is the stroke width in px. */
export function runReaderOf(features: readonly Feature[], own: readonly number[], width: number): RunReader | null {
  const teachers = [...own].sort((a, b) => features[b].ink.length - features[a].ink.length).slice(0, MOST_TAUGHT);
  const lengths = firstLengths(
    teachers.map((i) => features[i].ink),
    width,
  );
  if (!lengths) return null;
  const step = Math.max(1, lengths.gap / STEPS_A_GAP);
  const strokes = features.map(({ ink }) => inkSums(ink, step, width));
  const taught = teachers.map((i) => strokes[i]);
  return {
    teachers,
    learn: (dots, fixed) => {
      const first = dots.map((count) => firstRhythm(lengths, count, width));
      return learnRhythms(first, taught, step, fixed);
    },
    logsOf: (rhythms) => {
      const longest = Math.max(...strokes.map((sums) => sums.length));
      const readers = rhythms.map((rhythm) => runReader(rhythm, step, longest));
      return strokes.map((sums) => readers.map((reader) => reader(sums).log));
    },
  };
}

/** Sorts all pieces by the two rhythms in which the drawing is likeliest; null where one explains it about as well. */
export function sortByRuns(reader: RunReader): NamedSorting | null {
  const one = Math.max(...ONE.map((dots) => reader.learn(dots).log));
  const { rhythms, shares, log } = TWO.map((dots) => reader.learn(dots)).reduce((a, b) => (b.log > a.log ? b : a));
  if (log - one < LEAST_GAIN) return null;
  const odds = reader.logsOf(rhythms).map((logs) => {
    const found = mixed(logs, shares, TRUST).odds;
    return found.map((p) => (1 - ODD_PIECE) * p + ODD_PIECE / found.length);
  });
  const isSolid = rhythms.map(({ dots }) => dots === null);
  return { odds, fitted: true, ...nameByRuns(reader, odds, isSolid) };
}

/**
 * What two rhythms are called into which `odds` parts the pieces, given which of them is solid. Of two broken lines one has dots; of one it is the question.
 */
function nameByRuns({ teachers, learn }: RunReader, odds: readonly Float64Array[], isSolid: readonly boolean[]): Named {
  const fixed = teachers.map((i) => odds[i]);
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

/** Names of printed rhythms are as sure as this by their periods, and each has so much of the drawing. */
const SURE_BY_PERIOD = 0.95;
const PLAIN_SHARE = 0.15;

/** True where the periods of two rhythms leave nothing open. */
export function isPlain(
  { names, sure, odds, fitted }: NamedSorting,
  own: readonly number[],
  features: readonly Feature[],
): boolean {
  if (names.length !== 2 || !fitted) return false;
  if (!names.includes('solid')) return sure > SURE_BY_PERIOD;
  const total = own.reduce((sum, i) => sum + features[i].weight, 0);
  const shares = names.map((_, k) => own.reduce((sum, i) => sum + odds[i][k] * features[i].weight, 0) / total);
  return names.includes('dashed') && Math.min(...shares) > PLAIN_SHARE;
}

/** A broken line beside a solid one is called what runs surer than this say. */
const SURELY_NAMED = 0.9;

/** The names that periods and runs tell together, each on its own. */
export function renamed(sorting: NamedSorting, reader: RunReader): NamedSorting {
  if (sorting.names.length !== 2) return sorting;
  const isSolid = sorting.names.map((name) => name === 'solid');
  if (isSolid.every((solid) => solid)) return sorting;
  const runs = nameByRuns(reader, sorting.odds, isSolid);
  if (isSolid.includes(true)) return runs.sure > SURELY_NAMED ? { ...sorting, names: runs.names } : sorting;
  if (!sorting.fitted) return { ...sorting, ...runs };
  const agree = sorting.names[0] === runs.names[0];
  const [one, other] = [sorting, runs].map(({ sure }) => sure / (1 - Math.min(sure, MOST_SURE)));
  const together = agree ? one * other : Math.max(one, other) / Math.min(one, other);
  return {
    ...sorting,
    names: agree || one > other ? sorting.names : runs.names,
    sure: Math.min(MOST_SURE, together / (1 + together)),
  };
}
