/** Seeded randomness: the same seed gives the same picture, whatever else is drawn before or after. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform in [low, high). */
  range(low: number, high: number): number;
  /** Log-uniform in [low, high): for sizes that vary by ratio. */
  ratio(low: number, high: number): number;
  /** Whole number, both ends included. */
  int(low: number, high: number): number;
  chance(probability: number): boolean;
  pick<T>(choices: readonly T[]): T;
  /** Pick by weight. */
  weigh<T>(choices: readonly (readonly [T, number])[]): T;
  /** Standard normal. */
  normal(): number;
  /** An independent stream; drawing from it leaves this one as it was. */
  branch(name: string): Random;
}

function mixText(hash: number, text: string): number {
  let h = hash | 0;
  for (let i = 0; i < text.length; i++) {
    h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
    h ^= h >>> 15;
  }
  return h >>> 0;
}

/** Avalanche of one 32-bit word: multiply and fold until every input bit reaches every output bit. */
export function scramble(word: number): number {
  let h = word | 0;
  h = Math.imul(h ^ (h >>> 16), 0x7feb352d);
  h = Math.imul(h ^ (h >>> 15), 0x846ca68b);
  return (h ^ (h >>> 16)) >>> 0;
}

export function seededRandom(seed: number, name = ''): Random {
  const base = scramble(mixText(scramble(seed), name));
  let state = base;
  const next = (): number => {
    state = (state + 0x9e3779b9) | 0;
    return scramble(state) / 4294967296;
  };
  const random: Random = {
    next,
    range: (low, high) => low + (high - low) * next(),
    ratio: (low, high) => low * (high / low) ** next(),
    int: (low, high) => low + Math.floor((high - low + 1) * next()),
    chance: (probability) => next() < probability,
    pick: (choices) => choices[Math.floor(next() * choices.length)],
    weigh: (choices) => {
      let left = next() * choices.reduce((sum, [, weight]) => sum + weight, 0);
      for (const [choice, weight] of choices) {
        left -= weight;
        if (left < 0) return choice;
      }
      return choices[choices.length - 1][0];
    },
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    branch: (branchName) => seededRandom(base, branchName),
  };
  return random;
}
