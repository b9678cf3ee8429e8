import type { Crease, Pattern } from '../types.ts';
import { hasBit } from './bits.ts';
import type { FoldedSheet } from './verdict.ts';

/** Kind of a fold as the layers lie: a valley has the next face on the front side of the one before it. */
export function foldKind({ problem, orders }: Pick<FoldedSheet, 'problem' | 'orders'>, crease: number): 'M' | 'V' {
  const { pieces } = problem;
  const side = pieces.crease.findIndex((c, s) => c === crease && pieces.mate[s] >= 0);
  const [own, beyond] = [pieces.piece[side], pieces.piece[pieces.mate[side]]];
  return hasBit(orders.above, own, beyond) === (pieces.flipped[own] === 0) ? 'V' : 'M';
}

/** The pattern with its undecided creases given the kinds of a folded state. */
export function withSolvedKinds(pattern: Pattern, folded: Pick<FoldedSheet, 'problem' | 'orders'>): Pattern {
  const creases = pattern.creases.map((crease, c): Crease => {
    return crease.kind === 'U' ? { ...crease, kind: foldKind(folded, c) } : crease;
  });
  return { ...pattern, creases };
}
