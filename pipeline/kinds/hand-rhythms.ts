/** What lengths the dashes, gaps and dots of a drawing have, learned from all its strokes together: a hand keeps to about one period. */
import { quantile } from './quantile.ts';
import { type HandRhythm, type MetPart, type Part, type PartName, runReader } from './run-lengths.ts';

/** Usual lengths of dashes, gaps and dots, px. */
export type Lengths = Readonly<Record<PartName, number>>;

/** Ink is seen above this share of the stroke's; runs and gaps shorter than so many stroke widths, or px, are grain. */
const SEEN_INK = 0.4;
const GRAIN_WIDTHS = 0.6;
const GRAIN_PX = 1.5;
/** So many gaps and runs between gaps at least make a rhythm. */
const LEAST_GAPS = 4;
const LEAST_RUNS = 3;
/** Rounds in which runs are parted into long and short ones. */
const PARTING_ROUNDS = 12;
/** A dot is no longer than this share of a dash; the first guess is shorter. */
const LONGEST_DOT = 0.5;
const FIRST_DOT = 0.4;

/** A first look at long runs, gaps and short runs; null where there are too few. */
export function firstLengths(inks: readonly Float32Array[], width: number): Lengths | null {
  const runs: number[] = [];
  const gaps: number[] = [];
  for (const ink of inks) {
    for (const { isInk, length } of spansOf(ink, width).slice(1, -1)) (isInk ? runs : gaps).push(length);
  }
  if (gaps.length < LEAST_GAPS || runs.length < LEAST_RUNS) return null;
  const logs = runs.map(Math.log);
  let [low, high] = [Math.min(...logs), Math.max(...logs)];
  for (let round = 0; round < PARTING_ROUNDS && low < high; round++) {
    const cut = (low + high) / 2;
    low = mean(logs.filter((v) => v <= cut));
    high = mean(logs.filter((v) => v > cut));
  }
  const dash = Math.exp(high);
  return { dash, gap: quantile(gaps, 0.5), dot: Math.min(Math.exp(low), FIRST_DOT * dash) };
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}

interface Span {
  readonly isInk: boolean;
  readonly length: number;
}

/** Runs and gaps by turns, the shortest taken for grain first. */
function spansOf(ink: Float32Array, width: number): Span[] {
  const spans: Span[] = [];
  for (let from = 0, to = 0; from < ink.length; from = to) {
    const isInk = ink[from] > SEEN_INK;
    while (to < ink.length && ink[to] > SEEN_INK === isInk) to++;
    spans.push({ isInk, length: to - from });
  }
  const grain = Math.max(GRAIN_PX, GRAIN_WIDTHS * width);
  for (;;) {
    let at = 0;
    for (let i = 1; i < spans.length - 1; i++) if (spans[i].length < (at > 0 ? spans[at].length : grain)) at = i;
    if (at === 0) return spans;
    const [before, , after] = spans.slice(at - 1, at + 2);
    spans.splice(at - 1, 3, { ...before, length: before.length + spans[at].length + after.length });
  }
}

/** A sample speaks for ink by so much for each share of ink above this one, natural log of odds, but no more than that. */
const EVEN_INK = 0.38;
const TELLING = 7;
const MOST_TOLD = 2.5;
/** Grain and blur make neighbours alike: one sample in so many stroke widths, or px, is news. */
const NEWS_WIDTHS = 0.6;
const NEWS_PX = 2;

/** What speaks for ink along a line, natural logs of odds, summed up to each step of so many px. */
export function inkSums(ink: Float32Array, step: number, width: number): Float64Array {
  const news = Math.max(NEWS_PX, NEWS_WIDTHS * width);
  const fine = new Float64Array(ink.length + 1);
  ink.forEach((share, s) => {
    const told = Math.max(-MOST_TOLD, Math.min(MOST_TOLD, TELLING * (share - EVEN_INK)));
    fine[s + 1] = fine[s] + told / news;
  });
  const steps = Math.max(1, Math.floor(ink.length / step));
  return Float64Array.from({ length: steps + 1 }, (_, k) => fine[Math.min(ink.length, Math.round(k * step))]);
}

/** Strokes in rhythms: how likely each is in which, and what is said for that. */
export interface LearnedRhythms {
  readonly rhythms: readonly HandRhythm[];
  /** Share of the length of all strokes that is in each. */
  readonly shares: readonly number[];
  /** Natural log of the likelihood of all strokes. */
  readonly log: number;
}

/** How far lengths stray as a rule, spread of their natural logs, and how many parts that counts for beside those that are met. */
const USUAL_SPREAD: Readonly<Record<PartName, number>> = { dash: 0.28, gap: 0.35, dot: 0.4 };
const USUAL_COUNT = 6;
const SPREADS = { least: 0.08, most: 0.6 };
/** A part further off than so many spreads is an odd one. */
const ODD_SPREADS = 3;
const ROUNDS = 5;
/** ... but no more than these once a round makes the strokes hardly likelier, natural log. */
const LEAST_ROUNDS = 3;
const SETTLED = 0.5;

/** Solid strokes skip once in so many stroke widths, over so many, more or less. */
const SOLID_RUN = { widths: 60, spread: 0.9 };
const SKIP = { widths: 1.2, spread: 0.6 };

/** A rhythm to begin with. */
export function firstRhythm(lengths: Lengths, dots: HandRhythm['dots'], width: number): HandRhythm {
  const part = (name: PartName): Part => ({ length: lengths[name], spread: USUAL_SPREAD[name] });
  const broken = { dash: part('dash'), gap: part('gap'), dot: part('dot'), dots };
  if (dots !== null) return broken;
  return {
    ...broken,
    dash: { length: SOLID_RUN.widths * width, spread: SOLID_RUN.spread },
    gap: { length: SKIP.widths * width, spread: SKIP.spread },
  };
}

/**
 * Learns the lengths of rhythms from strokes, by expectation and maximisation (Dempster, Laird and Rubin 1977). `fixed` tells how likely each stroke is in which
 * rhythm where that is known; else it is learned too.
 */
export function learnRhythms(
  first: readonly HandRhythm[],
  strokes: readonly Float64Array[],
  step: number,
  fixed?: readonly Float64Array[],
): LearnedRhythms {
  const size = strokes.map((sums) => sums.length);
  const longest = Math.max(...size);
  const total = size.reduce((sum, s) => sum + s, 0);
  let rhythms = first;
  let shares = first.map(() => 1 / first.length);
  let before = -Infinity;
  for (let round = 1; ; round++) {
    const readers = rhythms.map((rhythm) => runReader(rhythm, step, longest));
    const read = strokes.map((stroke, i) => {
      const readings = readers.map((reader) => reader(stroke));
      const { odds, log } = mixed(
        readings.map((r) => r.log),
        shares,
      );
      return fixed
        ? { odds: fixed[i], parts: readings.map((r) => r.parts), log: logOf(readings, fixed[i]) }
        : { odds, parts: readings.map((r) => r.parts), log };
    });
    const log = read.reduce((sum, r) => sum + r.log, 0);
    if (round === ROUNDS || (round >= LEAST_ROUNDS && log - before < SETTLED)) return { rhythms, shares, log };
    before = log;
    shares = first.map((_, k) => read.reduce((sum, { odds }, i) => sum + odds[k] * size[i], 0) / total);
    rhythms = taught(rhythms, read);
  }
}

function logOf(readings: readonly { readonly log: number }[], odds: Float64Array): number {
  return readings.reduce((sum, { log }, k) => sum + odds[k] * log, 0);
}

/** No rhythm is rarer beforehand than this. */
const LEAST_SHARE = 1e-3;

/** Probability of each rhythm of a stroke, and the natural log of its likelihood. */
export function mixed(
  logs: readonly number[],
  shares: readonly number[],
  trust = 1,
): { readonly odds: Float64Array; readonly log: number } {
  const all = logs.map((log, k) => trust * log + Math.log(shares[k] + LEAST_SHARE));
  const most = Math.max(...all);
  const sum = all.reduce((s, log) => s + Math.exp(log - most), 0);
  return { odds: Float64Array.from(all, (log) => Math.exp(log - most) / sum), log: most + Math.log(sum) };
}

interface ReadStroke {
  readonly odds: Float64Array;
  /** Parts met, in each rhythm. */
  readonly parts: readonly (readonly MetPart[])[];
}

/** The rhythms with lengths as they were met. One hand drew them: all dashes stray alike, and so do all gaps and all dots. */
function taught(rhythms: readonly HandRhythm[], strokes: readonly ReadStroke[]): HandRhythm[] {
  const learned = (name: PartName): Part[] => {
    let [count, square] = [USUAL_COUNT, USUAL_COUNT * USUAL_SPREAD[name] ** 2];
    const lengths = rhythms.map((rhythm, k) => {
      if (rhythm.dots === null) return rhythm[name].length;
      const { length, spread } = rhythm[name];
      let [weight, sum, squares] = [0, 0, 0];
      for (const { odds, parts } of strokes) {
        for (const part of parts[k]) {
          const off = Math.log(part.length / length);
          if (part.name !== name || !part.whole || Math.abs(off) > ODD_SPREADS * spread) continue;
          weight += odds[k];
          sum += odds[k] * off;
          squares += odds[k] * off * off;
        }
      }
      const shift = sum / (weight + 1);
      count += weight;
      square += Math.max(0, squares - 2 * shift * sum + weight * shift * shift);
      return length * Math.exp(shift);
    });
    const spread = Math.max(SPREADS.least, Math.min(SPREADS.most, Math.sqrt(square / count)));
    return lengths.map((length) => ({ length, spread }));
  };
  const [dashes, gaps, dots] = [learned('dash'), learned('gap'), learned('dot')];
  return rhythms.map((rhythm, k) => {
    if (rhythm.dots === null) return rhythm;
    const dot = { ...dots[k], length: Math.min(dots[k].length, LONGEST_DOT * dashes[k].length) };
    return { dash: dashes[k], gap: gaps[k], dot, dots: rhythm.dots };
  });
}
