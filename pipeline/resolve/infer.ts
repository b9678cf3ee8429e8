import type { KindReading } from '../kinds/kinds.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import type { Lattice, Sheet } from '../types.ts';
import { type KindChange, splitChanges } from './changes.ts';
import type { Draft } from './draft.ts';
import { type ExactFit, fitExact } from './exact.ts';
import { addExtensions } from './extend.ts';
import { atAdjustedPlaces, joinMet } from './free-places.ts';
import { type KindBeliefs, kindsByLaw } from './kinds-by-law.ts';
import { settleVertices } from './settle.ts';
import { joinSplit } from './split-vertices.ts';
import { mendStructure, placeSpreadOf, type StructureChange } from './structure.ts';
import { joinStubs } from './stubs.ts';
import { joinOnSides, joinTwins } from './twins.ts';

export interface Inference {
  readonly lattice: Lattice;
  readonly changes: readonly StructureChange[];
  readonly crowded: readonly number[];
  /** Null where the picture has one ink and kinds stay open. */
  readonly kinds: KindBeliefs | null;
  readonly kindChanges: readonly KindChange[];
  /** Whether two inks that were told apart turned out to be one: kinds are open. */
  readonly isMisread: boolean;
}

/** Two inks whose kinds agree with the laws no better than this are one ink, where chance is likelier by this much, natural log. */
const NO_AGREEMENT = 0.2;
const SURELY_STREWN = 2;

/** Exact places, then the lines and kinds that ink and folding laws together make most probable. Changes the draft. */
export function infer(draft: Draft, reading: KindReading, lattice: LatticeFit, sheet: Sheet): Inference {
  joinOnSides(draft);
  joinTwins(draft, null);
  let fit = place(draft, lattice, sheet);
  if (joinTwins(draft, fit.derived)) fit = place(draft, lattice, sheet);
  if (joinMet(draft, fit.lattice, sheet)) fit = place(draft, lattice, sheet);
  if (joinSplit(draft)) fit = place(draft, lattice, sheet);
  const kindChanges = splitChanges(draft, reading);
  addExtensions(draft);
  let changes: readonly StructureChange[] = mendStructure(draft, placeSpreadOf(draft, fit.lattice.residual));
  if (changes.length > 0) {
    const before = [...draft.parts];
    settleVertices(draft, new Set(changes.flatMap(({ part }) => [draft.parts[part].from, draft.parts[part].to])));
    fit = place(draft, lattice, sheet);
    if (joinMet(draft, fit.lattice, sheet)) fit = place(draft, lattice, sheet);
    // Stray lines that are gone no longer hide what is odd.
    if (joinSplit(draft)) fit = place(draft, lattice, sheet);
    changes = changes.flatMap((change) => {
      const part = draft.parts.indexOf(before[change.part]);
      return part < 0 ? [] : [{ ...change, part }];
    });
  }
  joinStubs(draft);
  const isTold = draft.parts.some(({ kind }) => kind === 'M' || kind === 'V');
  // Colours that are told apart are what was drawn; rhythm and strength are read wrongly more easily.
  const trustInk = reading.sorting.by === 'colour';
  const kinds = isTold
    ? kindsByLaw(atAdjustedPlaces(draft, fit.lattice, sheet), placeSpreadOf(draft, fit.lattice.residual), trustInk)
    : null;
  const isMisread = kinds !== null && !trustInk && kinds.agreement < NO_AGREEMENT && kinds.strewn > SURELY_STREWN;
  if (isMisread) leaveOpen(draft);
  return { lattice: fit.lattice, changes, crowded: fit.crowded, kinds, kindChanges, isMisread };
}

/** Moves the draft's vertices to their exact places. */
function place(draft: Draft, lattice: LatticeFit, sheet: Sheet): ExactFit {
  const { measured, carriers, parts, meet } = draft;
  const fit = fitExact({ vertices: measured, carriers, pieces: parts.filter((p) => p.present), meet }, lattice, sheet);
  draft.vertices = [...fit.vertices];
  draft.exact = [...fit.exact];
  return fit;
}

function leaveOpen(draft: Draft): void {
  for (const part of draft.parts) {
    if (part.kind !== 'M' && part.kind !== 'V') continue;
    part.kind = 'U';
    const half = (part.belief.mountain + part.belief.valley) / 2;
    part.belief = { ...part.belief, mountain: half, valley: half };
  }
}
