import type { InkField } from '../ink/ink.ts';
import { findRidges, keepRidges, type Ridges } from './ridges.ts';
import { linkSegments, type Segment } from './segments.ts';

export interface Strokes {
  readonly ridges: Ridges;
  readonly segments: readonly Segment[];
  readonly strokeWidthPx: number;
}

/** Least second derivative that counts as a stroke, as a share of that of a full-ink stroke of the same width, and of this picture's own strokes where those are faint. */
const PALEST = 0.06;
const PALEST_OF_CREST = 0.3;
/** ... and in multiples of what noise alone makes. */
const NOISE_FACTOR = 5;

/** Straight centre-line segments with sub-pixel positions from the ink of the straightened sheet. */
export function findStrokes(ink: InkField): Strokes {
  const w = ink.strokeWidthPx;
  const sigmaPx = Math.max(0.9, w / Math.sqrt(12) + 0.3);
  // A box of width w blurred by sigma bends by about this much at its crest.
  const full =
    ((Math.min(1, ink.crest) * w) / (Math.sqrt(2 * Math.PI) * sigmaPx ** 3)) *
    Math.exp((-w * w) / (8 * sigmaPx * sigmaPx));
  // Spread of the second derivative of white noise under a Gaussian of this scale.
  const fromNoise = (ink.noise * Math.sqrt(3 / (16 * Math.PI))) / sigmaPx ** 3;
  const ridges = findRidges(ink, {
    sigmaPx,
    strokeWidthPx: w,
    least: Math.max(Math.min(PALEST, PALEST_OF_CREST * ink.crest) * full, NOISE_FACTOR * fromNoise),
  });
  const all = linkStrokes(ridges, w);
  const usual = usualStrength(all.segments, w);
  const limit = WEAKEST * usual;
  return linkStrokes(
    keepRidges(ridges, (p) => ridges.strength[p] >= limit),
    w,
  );
}

/** Ridges weaker than this share of the usual are compression, paper grain and ghosts. */
const WEAKEST = 0.15;
/** Segments at least this many stroke widths long are strokes. */
const SURE_WIDTHS = 8;

/** Strength of the picture's own strokes: the median over its long segments, by length. */
function usualStrength(segments: readonly Segment[], w: number): number {
  const long = segments.filter((s) => s.length >= SURE_WIDTHS * w).sort((a, b) => a.strength - b.strength);
  const half = long.reduce((sum, s) => sum + s.length, 0) / 2;
  let seen = 0;
  for (const s of long) {
    seen += s.length;
    if (seen >= half) return s.strength;
  }
  return 0;
}

/** Segments from centre-line points; `w` is the stroke width in px. */
export function linkStrokes(ridges: Ridges, w: number): Strokes {
  const segments = linkSegments(ridges, {
    jumpPx: Math.ceil(w + 2),
    strayPx: Math.max(0.9, 0.35 * w),
    leastLengthPx: Math.max(3, 1.2 * w),
  });
  return { ridges, segments, strokeWidthPx: w };
}
