/** Seeded randomness for the data sets (mulberry32 by T. Ettinger, public domain algorithm, written anew). */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform in [from, to). */
  range(from: number, to: number): number;
  /** Uniform whole number in [from, to], both included. */
  int(from: number, to: number): number;
  pick<T>(items: readonly T[]): T;
  chance(probability: number): boolean;
  shuffle<T>(items: readonly T[]): T[];
}

export function makeRandom(seed: number): Random {
  let state = (seed ^ 0x9e3779b9) >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const int = (from: number, to: number): number => from + Math.floor(next() * (to - from + 1));
  return {
    next,
    int,
    range: (from, to) => from + next() * (to - from),
    pick: (items) => items[int(0, items.length - 1)],
    chance: (probability) => next() < probability,
    shuffle: (items) => {
      const out = [...items];
      for (let i = out.length - 1; i > 0; i--) {
        const j = int(0, i);
        [out[i], out[j]] = [out[j], out[i]];
      }
      return out;
    },
  };
}
