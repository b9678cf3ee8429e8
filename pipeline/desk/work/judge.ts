/** Whether the whole pattern folds flat, as data that a page can be sent. */
import { checkPlanarGraph } from '../../graph/check.ts';
import { findFaces } from '../../graph/faces.ts';
import { creasesAround } from '../../laws/around.ts';
import { positionToleranceOf } from '../../laws/vertex.ts';
import type { BrokenLaw, Pattern } from '../../types.ts';
import { cutPieces, type Pieces } from '../../validity/pieces.ts';
import { foldPositions } from '../../validity/position.ts';
import { checkFoldability, type Repair, type Verdict } from '../../validity/validity.ts';
import type { FoldedDrawing } from './fold-raster.ts';

export interface Judgement {
  readonly verdict: Verdict['verdict'];
  readonly broken: readonly BrokenLaw[];
  readonly repairs: readonly Repair[];
  /** Number of layer orders in digits; null where none was found or counted. */
  readonly states: { readonly count: string; readonly atLeast: boolean } | null;
  readonly undecided: NonNullable<Verdict['undecided']>['why'] | null;
  /** The folded sheet; without an order of layers where none was found; null where the creases bound no faces. */
  readonly drawing: FoldedDrawing | null;
}

/** A person waits for it while mending: patterns that take longer are left undecided here. */
const TIME_LIMIT_MS = 8000;

export function judge(pattern: Pattern): Judgement {
  const { verdict, broken, repairs, states, undecided, folded } = checkFoldability(pattern, {
    timeLimitMs: TIME_LIMIT_MS,
  });
  return {
    verdict,
    broken,
    repairs,
    states: states && { count: String(states.count), atLeast: states.atLeast },
    undecided: undecided?.why ?? null,
    drawing: folded ? { ...tablesOf(folded.problem.pieces), above: folded.orders.above } : unordered(pattern),
  };
}

/** Where the faces come to lie, as far as the folds agree. */
function unordered(pattern: Pattern): FoldedDrawing | null {
  if (checkPlanarGraph(pattern).length > 0) return null;
  const faces = findFaces(pattern);
  if (faces.count === 0) return null;
  const tolerance = positionToleranceOf(pattern, creasesAround(pattern));
  const position = foldPositions(pattern, faces, tolerance);
  return { ...tablesOf(cutPieces(pattern, faces, position, tolerance)), above: null };
}

function tablesOf({ start, x, y, flipped, face }: Pieces): Omit<FoldedDrawing, 'above'> {
  return { start, x, y, flipped, face };
}
