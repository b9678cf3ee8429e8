import { weightedQuantile } from '../geometry/weighted-median.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import type { PieceInk } from './measure.ts';

/** Share of the usual ridge at which a piece is as likely noise as a stroke, and how fast that turns: measured on moire and on pencil. */
const EVEN = 0.7;
const SLOPE = 20;
/** Below this share a ridge is weak; where more of the length is, the drawing has a weak ink. */
const WEAK = 0.75;
const FEW = 0.15;

/**
 * Of every piece the chance that no stroke is there, by how sure the network was along it: of one drawing's strokes it is nearly equally sure, and of what moire, grain
 * or a stain put between them much less. 0 where the lines are not the network's.
 */
export function chanceOfWeakRidge(graph: StrokeGraph, measured: readonly PieceInk[]): Float64Array {
  const chances = new Float64Array(graph.pieces.length);
  const known = graph.pieces.flatMap(({ border, t0, t1 }, i) => {
    const { ridge } = measured[i];
    return border || ridge === null ? [] : [{ i, value: ridge, weight: t1 - t0 }];
  });
  const usual = weightedQuantile(known, 0.5);
  const lengthOf = (pieces: typeof known) => pieces.reduce((sum, { weight }) => sum + weight, 0);
  const weak = known.filter(({ value }) => value < WEAK * usual);
  if (usual === 0 || lengthOf(weak) > FEW * lengthOf(known)) return chances;
  for (const { i, value } of known) chances[i] = 1 / (1 + Math.exp((value / usual - EVEN) * SLOPE));
  return chances;
}
