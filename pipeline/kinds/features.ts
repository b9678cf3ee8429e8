import type { PatternPoint } from '../types.ts';
import type { PieceInk } from './measure.ts';
import { type Beat, readBeat } from './rhythm.ts';

/** What of a piece tells inks apart: hue on the colour plane and its error, strength, length and beat. */
export interface Feature {
  readonly a: number;
  readonly b: number;
  readonly error: number;
  readonly strength: number;
  readonly weight: number;
  readonly beat: Beat;
  readonly middle: PatternPoint;
}

/** Inks with less than this share of the length are accidents. */
export const LEAST_SHARE = 0.025;

/** The features of one piece; `width` is the stroke width in px. */
export function featureOf(p: PieceInk, width: number): Feature {
  const [a, b] = hueOf(p.colour);
  return {
    a,
    b,
    error: p.colourError,
    strength: p.strength,
    weight: p.samples,
    beat: readBeat(p.beat, width),
    middle: p.middle,
  };
}

/** Colour plane: unit ink vectors seen along the grey axis; black and grey at the middle. */
function hueOf(c: readonly [number, number, number]): [number, number] {
  const size = Math.hypot(c[0], c[1], c[2]) || 1;
  return [(c[0] - c[1]) / size / Math.SQRT2, (c[0] + c[1] - 2 * c[2]) / size / Math.sqrt(6)];
}
