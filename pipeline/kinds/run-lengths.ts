/**
 * Rhythms as a hand draws them: dashes, gaps and dots follow each other in order, but each is longer or shorter than the one before. Read as a hidden semi-Markov
 * model (Rabiner 1989): a chain of parts whose lengths are drawn from a distribution each.
 */

/** Usual length of a part, px, and spread of its natural log. */
export interface Part {
  readonly length: number;
  readonly spread: number;
}

export type PartName = 'dash' | 'gap' | 'dot';

/** A rhythm drawn by hand. */
export interface HandRhythm {
  readonly dash: Part;
  readonly gap: Part;
  readonly dot: Part;
  /** Dots after each dash; null for a line that runs through, with a skip now and then. */
  readonly dots: 0 | 1 | 2 | null;
}

/** A part met along a line, px; `whole` where neither end of the line cuts it. */
export interface MetPart {
  readonly name: PartName;
  readonly length: number;
  readonly whole: boolean;
}

/** How much likelier a line is in a rhythm than as bare paper, natural log, and the parts it is made of. */
export interface RunReading {
  readonly log: number;
  readonly parts: readonly MetPart[];
}

/** Now and then a part is of any length: a gap is filled, a dash is set anew. */
const ODD_PART = 0.03;
const ODD_SPREAD = 0.9;
/** Lengths are tried as far as this factor of the usual one, or so many of its spreads. */
const LEAST_REACH = 2.86;
const REACH_SPREADS = 3;
const IMPOSSIBLE = 1e-12;

/** Share of each length from the least on, in steps, and natural log of the chance of so many or more. */
interface Lengths {
  readonly least: number;
  readonly share: Float64Array;
  readonly more: Float64Array;
  /** Natural log of by how much parts are longer than that, on average. */
  readonly beyond: Float64Array;
  readonly mean: number;
}

function lengthsOf({ length, spread }: Part, step: number, longest: number): Lengths {
  const usual = length / step;
  const reach = Math.max(LEAST_REACH, Math.exp(REACH_SPREADS * spread));
  const least = Math.max(1, Math.floor(usual / reach));
  const most = Math.max(least + 1, Math.ceil(usual * reach));
  const share = Float64Array.from({ length: most - least + 1 }, (_, k) => {
    const z = Math.log((least + k) / usual);
    const own = Math.exp(-((z / spread) ** 2) / 2) / spread;
    const odd = Math.exp(-((z / ODD_SPREAD) ** 2) / 2) / ODD_SPREAD;
    return ((1 - ODD_PART) * own + ODD_PART * odd) / (least + k);
  });
  const all = share.reduce((sum, v) => sum + v, 0);
  const more = new Float64Array(Math.max(longest, most) + 2);
  let [left, mean] = [1, 0];
  for (let d = 0; d < more.length; d++) {
    more[d] = Math.log(Math.max(left, IMPOSSIBLE));
    const k = d - least;
    if (k < 0 || k >= share.length) continue;
    share[k] /= all;
    left -= share[k];
    mean += d * share[k];
  }
  const beyond = new Float64Array(more.length);
  for (let d = more.length - 1, sum = IMPOSSIBLE; d >= 0; d--) {
    sum += Math.exp(more[d]);
    beyond[d] = Math.log(sum);
  }
  return { least, share, more, beyond, mean };
}

const ORDER: readonly (readonly PartName[])[] = [
  ['dash', 'gap'],
  ['dash', 'gap', 'dot', 'gap'],
  ['dash', 'gap', 'dot', 'gap', 'dot', 'gap'],
];

/** So many steps are summed up before their scale is set anew: in between, sums stay far within what a number holds. */
const SCALED_STEPS = 32;

/** A rhythm in steps, by the parts of one period in their order. */
interface Chain {
  readonly order: readonly PartName[];
  readonly lengths: readonly Lengths[];
  /** Natural log of the mean period: a line begins anywhere in it. */
  readonly period: number;
}

/** For each part of the period and each step: natural log of all ways in which it ends there, and where in the likeliest of them it begins. */
interface Ways {
  readonly ends: readonly Float64Array[];
  readonly from: readonly Int32Array[];
}

/** Reads lines of up to `longest` steps of so many px each as this rhythm. */
export function runReader(rhythm: HandRhythm, step: number, longest: number): (sums: Float64Array) => RunReading {
  const order = ORDER[rhythm.dots ?? 0];
  const known = {
    dash: lengthsOf(rhythm.dash, step, longest),
    gap: lengthsOf(rhythm.gap, step, longest),
    dot: lengthsOf(rhythm.dot, step, longest),
  };
  const lengths = order.map((name) => known[name]);
  const period = Math.log(lengths.reduce((sum, { mean }) => sum + mean, 0));
  const chain = { order, lengths, period };
  return (sums) => {
    // A gap says nothing for ink.
    const nothing = new Float64Array(sums.length);
    const said = order.map((name) => (name === 'gap' ? nothing : sums));
    return lastParts(chain, said, waysOf(chain, said), step);
  };
}

/** The forward algorithm. */
function waysOf({ lengths, period }: Chain, said: readonly Float64Array[]): Ways {
  const n = said[0].length - 1;
  const count = lengths.length;
  const ends = lengths.map(() => new Float64Array(n + 1).fill(-Infinity));
  const from = lengths.map(() => new Int32Array(n + 1));
  // Ways up to where a part begins, less what is said up to there: as natural logs, and scaled.
  const before = lengths.map(() => new Float64Array(n + 1).fill(-Infinity));
  const scaled = lengths.map(() => new Float64Array(n + 1));
  const scale = new Float64Array(count);
  for (let t = 1; t <= n; t++) {
    for (let j = 0; j < count; j++) {
      const { least, share, more } = lengths[j];
      if (t % SCALED_STEPS === 1) scale[j] = rescale(before[j], scaled[j], t - least - share.length, t);
      const begun = scaled[j];
      let [sum, most, at] = [0, 0, 0];
      const tried = Math.min(share.length, t - least);
      for (let k = 0, s = t - least; k < tried; k++, s--) {
        const way = begun[s] * share[k];
        sum += way;
        if (way > most) {
          most = way;
          at = s;
        }
      }
      // Begun before the line does.
      const cut = more[t] - period;
      const whole = Math.log(sum) + scale[j];
      const high = Math.max(cut, whole);
      ends[j][t] = said[j][t] + high + Math.log(Math.exp(cut - high) + Math.exp(whole - high));
      from[j][t] = cut > Math.log(most) + scale[j] ? 0 : at;
    }
    for (let j = 0; j < count; j++) {
      before[j][t] = ends[(j + count - 1) % count][t] - said[j][t];
      scaled[j][t] = Math.exp(before[j][t] - scale[j]);
    }
  }
  return { ends, from };
}

/** Scales what a window holds by its greatest; returns the natural log of the scale. */
function rescale(logs: Float64Array, scaled: Float64Array, begin: number, end: number): number {
  const first = Math.max(1, begin);
  let most = -Infinity;
  for (let s = first; s < end; s++) most = Math.max(most, logs[s]);
  if (most === -Infinity) return 0;
  for (let s = first; s < end; s++) scaled[s] = Math.exp(logs[s] - most);
  return most;
}

/** Sums up all ways by the part that the line ends in, and follows the likeliest back. */
function lastParts(
  { order, lengths, period }: Chain,
  said: readonly Float64Array[],
  { ends, from }: Ways,
  step: number,
): RunReading {
  const n = said[0].length - 1;
  const count = order.length;
  let best = { log: -Infinity, j: 0, t: 0 };
  const logs: number[] = [];
  const add = (log: number, j: number, t: number) => {
    logs.push(log);
    if (log > best.log) best = { log, j, t };
  };
  for (let j = 0; j < count; j++) {
    const { more, beyond } = lengths[j];
    // The whole line within one part.
    add(beyond[n] - period + said[j][n], j, 0);
    const begun = ends[(j + count - 1) % count];
    for (let t = 1; t < n; t++) add(begun[t] + more[n - t] + said[j][n] - said[j][t], j, t);
  }
  const sum = logs.reduce((s, log) => s + Math.exp(log - best.log), 0);
  const parts: MetPart[] = [];
  for (let { j, t } = best, to = n; ; ) {
    parts.push({ name: order[j], length: (to - t) * step, whole: t > 0 && to < n });
    if (t <= 0) break;
    j = (j + count - 1) % count;
    to = t;
    t = from[j][to];
  }
  return { log: best.log + Math.log(sum), parts };
}
