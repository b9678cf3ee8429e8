import type { Doubt, DoubtCode } from '../types.ts';

/** Doubts that are one question about the sheet, however many creases they name. */
export const ONE_QUESTION: ReadonlySet<DoubtCode> = new Set([
  'place-unsure',
  'outline-assumed',
  'mountain-valley-swap',
  'convention-unknown',
] as const);

/** Findings that a person reads as one: the creases around a vertex that breaks a law, all whose place is unsure, all whose kind is a guess. */
export type GatheredDoubt<D extends Doubt = Doubt> = Omit<D, 'crease'> & { readonly creases: readonly number[] };

/**
 * Doubts as a person reads them, in the order of the first of each group; `doubts` names every crease by itself. A group
 * is as doubtful as its most doubtful member.
 */
export function gatherDoubts<D extends Doubt>(doubts: readonly D[]): GatheredDoubt<D>[] {
  const groups = new Map<string, D[]>();
  doubts.forEach((doubt, i) => {
    const key = keyOf(doubt) ?? String(i);
    const known = groups.get(key);
    if (known) known.push(doubt);
    else groups.set(key, [doubt]);
  });
  return [...groups.values()].map((group) => {
    const { crease: _, ...first } = group[0];
    return {
      ...first,
      probability: Math.min(...group.map(({ probability }) => probability)),
      creases: group.flatMap(({ crease }) => (crease === undefined ? [] : [crease])),
    };
  });
}

function keyOf({ what, vertex }: Doubt): string | null {
  if (what === 'law-broken' && vertex !== undefined) return `${what} ${vertex}`;
  return ONE_QUESTION.has(what) ? what : null;
}
