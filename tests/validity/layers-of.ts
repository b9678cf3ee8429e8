import { findFaces } from '../../pipeline/graph/faces.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { type Layers, solveLayers } from '../../pipeline/validity/layers.ts';
import { foldPositions } from '../../pipeline/validity/position.ts';
import { prepareLayers } from '../../pipeline/validity/prepare.ts';

/** Layer orders alone: no law at any vertex is asked first. */
export function layersOf(pattern: Pattern): Layers {
  const faces = findFaces(pattern);
  const position = foldPositions(pattern, faces, 1e-9);
  const problem = prepareLayers(pattern, faces, position, 1e-9);
  if (problem === null) throw new Error('too large for a test');
  return solveLayers(problem, pattern, { decideForMs: 10_000, countForMs: 0, prefer: new Map() });
}
