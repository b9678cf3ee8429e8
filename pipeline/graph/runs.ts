/** Stretches [from, to) of bins. */
export interface Run {
  readonly from: number;
  readonly to: number;
}

/** Runs of ones, holes of at most `closeBins` filled, runs shorter than `leastBins` dropped. */
export function findRuns(seen: Uint8Array, closeBins: number, leastBins: number): Run[] {
  const runs: { from: number; to: number }[] = [];
  for (let i = 0; i < seen.length; ) {
    if (!seen[i]) {
      i++;
      continue;
    }
    let j = i;
    while (j < seen.length && seen[j]) j++;
    const last = runs[runs.length - 1];
    if (last && i - last.to <= closeBins) last.to = j;
    else runs.push({ from: i, to: j });
    i = j;
  }
  return runs.filter((r) => r.to - r.from >= leastBins);
}

/** Ones in [from, to) as a share of its length; 0 for an empty stretch. */
export function shareSeen(seen: Uint8Array, from: number, to: number): number {
  const a = Math.max(0, Math.round(from));
  const b = Math.min(seen.length, Math.round(to));
  if (b <= a) return 0;
  let n = 0;
  for (let i = a; i < b; i++) n += seen[i];
  return n / (b - a);
}

/**
 * The longest hole that dashes make in this picture, bins: the usual length of the short holes if pieces are often
 * interrupted, else `usual` (what crossings make).
 */
export function dashHole(all: readonly Uint8Array[], usual: number, longest: number): number {
  const counts = new Int32Array(Math.ceil(longest) + 1);
  let holes = 0;
  let ink = 0;
  for (const seen of all) {
    for (const v of seen) ink += v;
    const runs = findRuns(seen, 0, 1);
    for (let i = 1; i < runs.length; i++) {
      const hole = runs[i].from - runs[i - 1].to;
      if (hole > usual && hole <= longest) {
        counts[hole]++;
        holes++;
      }
    }
  }
  // A solid drawing has hardly any hole of middling length for its ink.
  if (holes * longest * SOLID_FACTOR < ink) return usual;
  let seen = 0;
  for (let h = 0; h < counts.length; h++) {
    seen += counts[h];
    if (seen >= DASH_QUANTILE * holes) return Math.min(longest, h + 1);
  }
  return usual;
}

/** Holes rarer than one in this many `longest` lengths of ink are accidents. */
const SOLID_FACTOR = 4;
const DASH_QUANTILE = 0.9;
