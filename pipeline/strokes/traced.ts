import { weightedMedian } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { findRidges, keepRidges, type Ridges } from './ridges.ts';
import { linkSegments, type Segment } from './segments.ts';

export interface Strokes {
  readonly ridges: Ridges;
  readonly segments: readonly Segment[];
  readonly strokeWidthPx: number;
}

/** Least second derivative that counts as a stroke, in multiples of what noise alone makes. */
const NOISE_FACTOR = 5;

/** The centre lines that the field's lines show. */
export function tracedRidges(ink: InkField): Ridges {
  const { widthPx, crest, noise, palest } = ink.ridge;
  const sigmaPx = Math.max(0.9, widthPx / Math.sqrt(12) + 0.3);
  // A box of this width and height blurred by sigma bends by about this much at its crest.
  const full =
    ((Math.min(1, crest) * widthPx) / (Math.sqrt(2 * Math.PI) * sigmaPx ** 3)) *
    Math.exp((-widthPx * widthPx) / (8 * sigmaPx * sigmaPx));
  // Spread of the second derivative of white noise under a Gaussian of this scale.
  const fromNoise = (noise * Math.sqrt(3 / (16 * Math.PI))) / sigmaPx ** 3;
  const ridges = findRidges(ink, {
    sigmaPx,
    strokeWidthPx: widthPx,
    least: Math.max(palest * full, NOISE_FACTOR * fromNoise),
  });
  const all = linkStrokes(ridges, ink);
  const usual = usualStrength(all.segments, ink.strokeWidthPx);
  const limit = WEAKEST * usual;
  return keepRidges(ridges, (p) => ridges.strength[p] >= limit);
}

/** Ridges weaker than this share of the usual are compression, paper grain and ghosts. */
const WEAKEST = 0.15;
/** Segments at least this many stroke widths long are strokes. */
const SURE_WIDTHS = 8;

/** Strength of the picture's own strokes: the median over its long segments, by length. */
export function usualStrength(segments: readonly Segment[], w: number): number {
  const long = segments.filter((s) => s.length >= SURE_WIDTHS * w);
  return weightedMedian(long.map((s) => ({ value: s.strength, weight: s.length })));
}

/** Segments from centre-line points of this ink. */
export function linkStrokes(ridges: Ridges, ink: Pick<InkField, 'strokeWidthPx' | 'ridge'>): Strokes {
  const w = ink.strokeWidthPx;
  const segments = linkSegments(ridges, {
    jumpPx: Math.ceil(w + 2),
    strayPx: Math.max(0.9, 0.35 * ink.ridge.widthPx),
    leastLengthPx: Math.max(3, 1.2 * w),
  });
  return { ridges, segments, strokeWidthPx: w };
}
