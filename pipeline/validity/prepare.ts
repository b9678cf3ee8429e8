import type { Faces } from '../graph/faces.ts';
import type { Pattern } from '../types.ts';
import { findFootprints } from './footprints.ts';
import { BECAUSE_GIVEN, note, type Orders } from './orders.ts';
import { findOverlaps } from './overlap.ts';
import { countPairs, findPairs } from './pairs.ts';
import { cutPieces } from './pieces.ts';
import type { FoldedPosition } from './position.ts';
import { type LayerProblem, layerProblem } from './problem.ts';

/** Overlaps thinner than this many times the distance at which points are one are slivers. */
const SLIVER = 8;

/** About 60 bytes go with each pair of overlapping pieces: more pairs than this would not fit into 1 GB. */
const MOST_PAIRS = 14_000_000;

/**
 * Sets up the question which folded piece lies above which; null where there are too many overlapping pieces to hold.
 *
 * @param same folded points nearer than this are one point, pattern units
 */
export function prepareLayers(
  pattern: Pattern,
  faces: Faces,
  folded: FoldedPosition,
  same: number,
): LayerProblem | null {
  const pieces = cutPieces(pattern, faces, folded, 2 * same);
  const prints = findFootprints(pieces, same, SLIVER * same);
  const overlaps = findOverlaps(prints, SLIVER * same);
  if (countPairs(prints, overlaps) > MOST_PAIRS) return null;
  return layerProblem(pieces, prints, overlaps, findPairs(prints, overlaps), SLIVER * same);
}

/** Notes the order at every mountain and valley; the undecided ones stay open. False where two of them contradict. */
export function noteKinds(problem: LayerProblem, pattern: Pattern, orders: Orders): boolean {
  const { pieces } = problem;
  for (let s = 0; s < pieces.mate.length; s++) {
    if (pieces.mate[s] < s || pieces.crease[s] < 0) continue;
    const { kind } = pattern.creases[pieces.crease[s]];
    if (kind !== 'M' && kind !== 'V') continue;
    const [lower, upper] = orderOfKind(problem, s, kind);
    if (!note(problem, orders, lower, upper, BECAUSE_GIVEN, pieces.crease[s], 0)) return false;
  }
  return true;
}

/** The two pieces at a fold, lower one first, as its kind has them. */
export function orderOfKind({ pieces }: LayerProblem, side: number, kind: 'M' | 'V'): [lower: number, upper: number] {
  const [own, beyond] = [pieces.piece[side], pieces.piece[pieces.mate[side]]];
  // A valley brings the fronts together: the next face lies on top of one that shows its front.
  const onTop = (kind === 'V') === (pieces.flipped[own] === 0);
  return onTop ? [own, beyond] : [beyond, own];
}
