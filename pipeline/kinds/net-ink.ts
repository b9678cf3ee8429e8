import { weightedQuantile } from '../geometry/weighted-median.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import type { PieceInk } from './measure.ts';

/** The paler strokes of a drawing: so much of its length has no more ink. */
const USUAL = 0.25;
/** Share of their ink at which a piece is as likely noise as a stroke, and how fast that turns. */
const EVEN = 0.55;
const SLOPE = 20;
/** Where more of the length is as pale, that is a pale ink or rhythm, ... */
const FEW = 0.15;
/** ... and so is a line with more of it than this, pattern units, ... */
const LONG = 0.3;
/** ... unless less of such pieces' length was seen: noise has holes where a pale line has none. A drawing has more strokes than noise. */
const PATCHY = 0.88;
const MOST = 0.5;

/**
 * Of every piece the chance that no stroke is there, but grain or moire that happens to lie in a row: in the mean over its length it
 * has far less ink of its own than the drawing's strokes, and there are few such pieces. 0 where the paper's ink was not taken off.
 */
export function chanceOfNoise(graph: StrokeGraph, measured: readonly PieceInk[]): Float64Array {
  const known = graph.pieces.flatMap(({ border, carrier, coverage, t0, t1 }, i) => {
    const net = measured[i].net;
    return border || net === null ? [] : [{ i, net, carrier, coverage, length: t1 - t0 }];
  });
  const chances = new Float64Array(graph.pieces.length);
  const all = lengthOf(known);
  const usual = weightedQuantile(
    known.map(({ net, length }) => ({ value: net, weight: length })),
    USUAL,
  );
  if (usual === 0) return chances;
  const pale = known.filter(({ net }) => net < EVEN * usual);
  const onLine = new Float64Array(graph.carriers.length);
  for (const { carrier, length } of pale) onLine[carrier] += length;
  const isPatchy = pale.reduce((sum, { length, coverage }) => sum + length * coverage, 0) < PATCHY * lengthOf(pale);
  const isLine = ({ carrier }: { carrier: number }): boolean => !isPatchy && onLine[carrier] > LONG;
  if (lengthOf(pale.filter((piece) => !isLine(piece))) > (isPatchy ? MOST : FEW) * all) return chances;
  for (const piece of known)
    if (!isLine(piece)) chances[piece.i] = 1 / (1 + Math.exp((piece.net / usual - EVEN) * SLOPE));
  return chances;
}

function lengthOf(pieces: readonly { readonly length: number }[]): number {
  return pieces.reduce((sum, { length }) => sum + length, 0);
}
