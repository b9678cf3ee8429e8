import type { PatternPoint } from '../types.ts';
import { fullNear } from './local-ink.ts';
import type { PieceInk } from './measure.ts';
import { quantile } from './quantile.ts';
import { type Beat, type Hole, holesIn, readBeat } from './rhythm.ts';

/** What of a piece tells inks apart: hue on the colour plane and its error, strength, length and beat. */
export interface Feature {
  readonly a: number;
  readonly b: number;
  readonly error: number;
  readonly strength: number;
  /** Ink on the stroke's own width alone, where grain and neighbours add less; under moire the strength. */
  readonly core: number;
  readonly weight: number;
  readonly beat: Beat;
  readonly holes: readonly Hole[];
  /** Ink along it as a share of the stroke's, one entry a px. */
  readonly ink: Float32Array;
  /** Px before the first entry and after the last. */
  readonly ends: number;
  readonly middle: PatternPoint;
}

/** Inks with less than this share of the length are accidents. */
export const LEAST_SHARE = 0.025;

/** Pieces of so many stroke widths show how strong their stroke is. */
const SHOWS_WIDTHS = 18;
/** A stroke is no stronger than this times the stronger ones of the drawing: the rest is its neighbours' ink. */
const STRONGER = 1.15;

/** The features of all pieces; `width` is the stroke width in px. */
export function featuresOf(pieces: readonly PieceInk[], width: number): Feature[] {
  const cores = pieces.map(({ core }) => quantile(core, 0.75));
  const shown = cores.filter((_, i) => pieces[i].core.length >= SHOWS_WIDTHS * width);
  const most = STRONGER * quantile(shown.length > 0 ? shown : cores, 0.75);
  return pieces.map((p, i) => featureOf(p, width, cores[i], Math.max(1e-9, Math.min(cores[i], most))));
}

function featureOf(p: PieceInk, width: number, core: number, full: number): Feature {
  const [a, b] = hueOf(p.colour);
  const near = fullNear(p.core, full, width);
  return {
    a,
    b,
    error: p.colourError,
    // Moire adds to every sample: the mean is the stroke's own.
    strength: p.net ?? p.strength,
    core: p.net ?? core,
    weight: p.samples,
    beat: readBeat(p.beat, width),
    holes: holesIn(p.beat),
    ink: p.core.map((c, s) => Math.min(1, c / near[s])),
    ends: p.ends,
    middle: p.middle,
  };
}

/** Colour plane: unit ink vectors seen along the grey axis; black and grey at the middle. */
export function hueOf(c: readonly [number, number, number]): [number, number] {
  const size = Math.hypot(c[0], c[1], c[2]) || 1;
  return [(c[0] - c[1]) / size / Math.SQRT2, (c[0] + c[1] - 2 * c[2]) / size / Math.sqrt(6)];
}
