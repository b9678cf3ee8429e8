import type { LatticeFit } from '../lattice/lattice.ts';
import type { Lattice, Sheet } from '../types.ts';
import type { Draft } from './draft.ts';
import { type ExactFit, fitExact } from './exact.ts';
import { addExtensions } from './extend.ts';
import { type KindBeliefs, kindsByLaw } from './kinds-by-law.ts';
import { settleVertices } from './settle.ts';
import { mendStructure, placeSpreadOf, type StructureChange } from './structure.ts';
import { joinTwins } from './twins.ts';

export interface Inference {
  readonly lattice: Lattice;
  readonly changes: readonly StructureChange[];
  readonly crowded: readonly number[];
  /** Null where the picture has one ink and kinds stay open. */
  readonly kinds: KindBeliefs | null;
}

/** Exact places, then the lines and kinds that ink and folding laws together make most probable. Changes the draft. */
export function infer(draft: Draft, lattice: LatticeFit, sheet: Sheet): Inference {
  joinTwins(draft, null);
  let fit = place(draft, lattice, sheet);
  if (joinTwins(draft, fit.derived)) fit = place(draft, lattice, sheet);
  addExtensions(draft);
  const changes = mendStructure(draft, placeSpreadOf(draft, fit.lattice.residual));
  if (changes.length > 0) {
    settleVertices(draft, new Set(changes.flatMap(({ part }) => [draft.parts[part].from, draft.parts[part].to])));
    fit = place(draft, lattice, sheet);
  }
  const isTold = draft.parts.some(({ kind }) => kind === 'M' || kind === 'V');
  const kinds = isTold ? kindsByLaw(draft, placeSpreadOf(draft, fit.lattice.residual)) : null;
  return { lattice: fit.lattice, changes, crowded: fit.crowded, kinds };
}

/** Moves the draft's vertices to their exact places. */
function place(draft: Draft, lattice: LatticeFit, sheet: Sheet): ExactFit {
  const { measured, carriers, parts } = draft;
  const fit = fitExact({ vertices: measured, carriers, pieces: parts.filter((p) => p.present) }, lattice, sheet);
  draft.vertices = [...fit.vertices];
  draft.exact = [...fit.exact];
  return fit;
}
