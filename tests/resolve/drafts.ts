/** Drafts of true patterns with evidence as it might come from a picture. */
import { makeRandom } from '../../datasets/patterns/random.ts';
import type { Draft, Part } from '../../pipeline/resolve/draft.ts';
import type { Kind, Odds, Pattern } from '../../pipeline/types.ts';
import { drawn } from './drawn.ts';

/** How sure the ink is of sharply seen creases, log odds. */
const SHARP = 6;

export function oddsOf(kind: Kind, mountainLogOdds: number, absent = 0.001): Odds {
  const none: Odds = { mountain: 0, valley: 0, edge: 0, guide: 0, absent: 0 };
  if (kind === 'B') return { ...none, edge: 1 };
  if (kind === 'F') return { ...none, guide: 1 - absent, absent };
  const m = 1 / (1 + Math.exp(-mountainLogOdds));
  return { ...none, mountain: m * (1 - absent), valley: (1 - m) * (1 - absent), absent };
}

/** A part as the ink shows it. */
export function partOf(base: Pick<Part, 'from' | 'to' | 'carrier' | 't0' | 't1'>, kind: Kind, odds: Odds): Part {
  return {
    ...base,
    border: kind === 'B',
    coverage: 1 - odds.absent,
    odds,
    belief: odds,
    kind,
    present: true,
    origin: 'seen',
    change: null,
  };
}

export interface Blurred {
  readonly draft: Draft;
  /** True kind of each part. */
  readonly truth: readonly Kind[];
  /** Parts whose ink is doubtful. */
  readonly weak: readonly number[];
}

/**
 * The pattern with a share of its folds unclear: their log odds are drawn about the truth so that they mean what they say
 * (signal at ±1 with a spread of 1.5).
 */
export function blurred(pattern: Pattern, share: number, seed: number): Blurred {
  const random = makeRandom(seed);
  const spread = 1.5;
  const normal = () => Math.sqrt(-2 * Math.log(1 - random.next())) * Math.cos(2 * Math.PI * random.next());
  const { graph, creaseOf } = drawn(pattern, 0.3, seed);
  const weak: number[] = [];
  const truth = creaseOf.map((c) => pattern.creases[c].kind);
  const parts = graph.pieces.map((piece, i) => {
    const kind = truth[i];
    const side = kind === 'M' ? 1 : -1;
    const isWeak = (kind === 'M' || kind === 'V') && random.chance(share);
    if (isWeak) weak.push(i);
    const logOdds = isWeak ? (2 / spread ** 2) * (side + spread * normal()) : side * SHARP;
    const seen = kind === 'M' || kind === 'V' ? (logOdds > 0 ? 'M' : 'V') : kind;
    return partOf(piece, seen, oddsOf(kind, logOdds));
  });
  const places = pattern.vertices.map((p, v) => (pattern.exact[v] ? p : graph.vertices[v]));
  return {
    draft: {
      measured: [...graph.vertices],
      vertices: places,
      exact: [...pattern.exact],
      parts,
      carriers: graph.carriers,
      px: 0.001,
      strokeWidth: 0.003,
      meet: 0,
      split: new Map(),
    },
    truth,
    weak,
  };
}
