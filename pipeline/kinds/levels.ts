import { type Feature, LEAST_SHARE } from './features.ts';
import { liesInPatches } from './patches.ts';

/** One level of strength, natural log, and its share of the length. */
export interface Level {
  readonly middle: number;
  readonly spread: number;
  readonly share: number;
}

/** How clearly two neighbouring levels must be apart: by this factor, and by this many pooled spreads. */
export interface Clearness {
  readonly ratio: number;
  readonly gain: number;
}
/** A uniform spread cut in its middle parts by 3.5 spreads: real levels must do clearly better. */
export const CLEAR: Clearness = { ratio: 1.5, gain: 4.6 };
/** Good enough where the folding laws agree. */
export const VAGUE: Clearness = { ratio: 1.2, gain: 2.8 };

const LEAST_SPREAD = 0.06;
/** Cuts are tried at so many places at most. */
const MOST_CUTS = 120;
const MOST_LEVELS = 3;

/** Levels of strength, weakest first: as many (up to `most`) as are all clearly apart, at least one. */
export function strengthLevels(own: readonly Feature[], clear: Clearness, most = MOST_LEVELS): Level[] {
  const rows = withoutStrays(
    own.map((f) => ({ v: Math.log(Math.max(1e-3, f.strength)), w: f.weight })).sort((a, b) => a.v - b.v),
  );
  const n = rows.length;
  const [weights, values, squares] = [0, 1, 2].map((power) => {
    const sum = new Float64Array(n + 1);
    rows.forEach(({ v, w }, i) => {
      sum[i + 1] = sum[i] + w * v ** power;
    });
    return sum;
  });
  const levelOf = (from: number, to: number): Level => {
    const w = weights[to] - weights[from];
    const s = values[to] - values[from];
    const q = squares[to] - squares[from];
    const middle = s / Math.max(w, 1e-9);
    const spread = Math.sqrt(Math.max(0, q / Math.max(w, 1e-9) - middle ** 2));
    return { middle, spread: Math.max(spread, LEAST_SPREAD), share: w / Math.max(weights[n], 1e-9) };
  };
  const isSlight = (from: number, to: number): boolean =>
    (weights[to] - weights[from]) / Math.max(weights[n], 1e-9) < 2 * LEAST_SHARE;
  const step = Math.max(1, Math.ceil(n / MOST_CUTS));
  let best: readonly Level[] = [levelOf(0, n)];
  for (let count = 2; count <= most; count++) {
    let bestGain = clear.gain;
    let found: readonly Level[] | null = null;
    const cut = (from: number, cuts: readonly number[]): void => {
      if (cuts.length < count - 1) {
        for (let c = from + 1; c < n; c += step) if (!isSlight(from, c)) cut(c, [...cuts, c]);
        return;
      }
      if (isSlight(from, n)) return;
      const ends = [0, ...cuts, n];
      const levels = ends.slice(1).map((end, k) => levelOf(ends[k], end));
      const gain = Math.min(...levels.slice(1).map((high, k) => gainOf(levels[k], high, clear.ratio)));
      if (gain <= bestGain) return;
      bestGain = gain;
      found = levels;
    };
    cut(0, []);
    if (found && !isPatchy(own, found)) best = found;
  }
  return [...best];
}

/** A step this wide (natural log) with fewer than LEAST_SHARE twice beyond it parts strays from the inks: ghosts, blots. */
const STRAY_STEP = 0.3;

/** Sorted strengths less the few at either end that stand apart. */
function withoutStrays(rows: readonly { v: number; w: number }[]): readonly { v: number; w: number }[] {
  const most = 2 * LEAST_SHARE * rows.reduce((s, { w }) => s + w, 0);
  const isStep = (i: number) => rows[i].v - rows[i - 1].v > STRAY_STEP;
  let [from, to] = [0, rows.length];
  for (let i = 1, w = rows[0].w; i < rows.length && w < most; w += rows[i++].w) if (isStep(i)) from = i;
  for (let i = rows.length - 1, w = rows[i].w; i > from && w < most; w += rows[--i].w) if (isStep(i)) to = i;
  return rows.slice(from, to);
}

/** Distance of two levels in pooled spreads (Fisher 1936); 0 where they are nearer than the ratio. */
function gainOf(low: Level, high: Level, ratio: number): number {
  if (high.middle - low.middle < Math.log(ratio)) return 0;
  const within = (low.share * low.spread ** 2 + high.share * high.spread ** 2) / (low.share + high.share);
  return (high.middle - low.middle) / Math.sqrt(within);
}

function isPatchy(own: readonly Feature[], levels: readonly Level[]): boolean {
  return levels.slice(1).some((high, k) => {
    const cut = (levels[k].middle + high.middle) / 2;
    return liesInPatches(
      own,
      own.map((f) => Math.log(Math.max(1e-3, f.strength)) > cut),
    );
  });
}

export function mergeLevels(levels: readonly Level[]): Level {
  const middle = levels.reduce((s, l) => s + l.share * l.middle, 0);
  return { middle, spread: 1, share: 1 };
}
