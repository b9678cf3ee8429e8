import { type Feature, LEAST_SHARE } from './features.ts';
import { liesInPatches } from './patches.ts';

/** One level of strength, natural log, and its share of the length. */
export interface Level {
  readonly middle: number;
  readonly spread: number;
  readonly share: number;
}

/** Strengths must differ by this factor to be two inks, and their spreads must leave a gap. */
const STRENGTH_RATIO = 1.5;
/** A uniform spread cut in its middle parts by 3.5 spreads: two real levels must do clearly better. */
const TWO_LEVELS_GAIN = 4.6;

/** One level of strength, or two where the logarithms fall into two groups with a gap. */
export function strengthLevels(own: readonly Feature[]): Level[] {
  const rows = own.map((f) => ({ v: Math.log(Math.max(1e-3, f.strength)), w: f.weight })).sort((a, b) => a.v - b.v);
  const total = rows.reduce((s, r) => s + r.w, 0);
  const levelOf = (part: { v: number; w: number }[]): Level => {
    const w = part.reduce((s, r) => s + r.w, 0);
    const middle = part.reduce((s, r) => s + r.v * r.w, 0) / Math.max(w, 1e-9);
    const spread = Math.sqrt(part.reduce((s, r) => s + r.w * (r.v - middle) ** 2, 0) / Math.max(w, 1e-9));
    return { middle, spread: Math.max(spread, 0.06), share: w / Math.max(total, 1e-9) };
  };
  const one = levelOf(rows);
  let best: [Level, Level] | null = null;
  let bestGain = TWO_LEVELS_GAIN;
  for (let cut = 1; cut < rows.length; cut++) {
    const low = levelOf(rows.slice(0, cut));
    const high = levelOf(rows.slice(cut));
    if (Math.min(low.share, high.share) < 2 * LEAST_SHARE) continue;
    if (high.middle - low.middle < Math.log(STRENGTH_RATIO)) continue;
    // Between-group distance in pooled spreads (Fisher 1936).
    const within = Math.sqrt(low.share * low.spread ** 2 + high.share * high.spread ** 2);
    const gain = (high.middle - low.middle) / within;
    if (gain > bestGain) {
      bestGain = gain;
      best = [low, high];
    }
    if (rows.length > 400) cut += 3;
  }
  const cut = best ? (best[0].middle + best[1].middle) / 2 : 0;
  return best &&
    !liesInPatches(
      own,
      own.map((f) => Math.log(Math.max(1e-3, f.strength)) > cut),
    )
    ? best
    : [one];
}

export function mergeLevels(levels: readonly Level[]): Level {
  const middle = levels.reduce((s, l) => s + l.share * l.middle, 0);
  return { middle, spread: 1, share: 1 };
}
