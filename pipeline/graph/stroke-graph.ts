import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';

/** A straight piece between neighbouring vertices on one carrier; its kind is not known yet. */
export interface Piece {
  readonly from: number;
  readonly to: number;
  readonly carrier: number;
  /** Positions along the carrier, pattern units, t of `from` first; from < to. */
  readonly t0: number;
  readonly t1: number;
  /** Share of its length, ends left out, where centre line was seen. */
  readonly coverage: number;
  readonly border: boolean;
}

/** Strokes as a planar straight-line graph, before kinds. Collinear pieces are still apart. */
export interface StrokeGraph {
  readonly carriers: readonly Carrier[];
  readonly vertices: readonly PatternPoint[];
  readonly pieces: readonly Piece[];
  /** Pieces that were looked at and left out, though some centre line was seen on them. */
  readonly rejected: readonly Piece[];
  /** Vertices where a stroke ends inside the paper and nothing meets it. */
  readonly dangling: readonly number[];
  /** Holes up to this long along a carrier count as the drawing's own dashes, pattern units. */
  readonly dashHole: number;
  /** Lines that cross within this of each other were joined in one vertex, pattern units: little in print, more by hand. */
  readonly meet: number;
}
