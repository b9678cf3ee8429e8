import type { InkField } from '../ink/ink.ts';
import type { Ridges } from '../strokes/ridges.ts';
import type { Segment } from '../strokes/segments.ts';

/** Ink across a stroke, paper beside it taken off: density px in each channel. */
export type AcrossInk = readonly [number, number, number];

/** Paper beside a stroke is looked at this far from its edge, px. */
const FLANK_FROM = 1;
const FLANK_TO = 4;
/** Ink is sampled in steps of this, px. */
const STEP = 0.5;
/** A segment's ink is the median over so many of its points at most. */
const SAMPLES = 25;

/** Ink across a centre line at one of its points, between pixels: a thin line's ink must not hang on where it falls among them. */
function inkAcross({ x, y }: Ridges, p: number, angle: number, ink: InkField): AcrossInk {
  const half = Math.ceil(ink.strokeWidthPx / 2) + FLANK_FROM;
  const [ux, uy] = [-Math.sin(angle), Math.cos(angle)];
  const sumOf = (from: number, to: number): [number, number, number] => {
    const sum: [number, number, number] = [0, 0, 0];
    for (let k = from + STEP / 2; k < to; k += STEP) addDiff(x[p] + ux * k, y[p] + uy * k, ink, sum);
    return sum;
  };
  const [before, stroke, after] = [
    sumOf(-half - FLANK_TO, -half),
    sumOf(-half - 0.5, half + 0.5),
    sumOf(half, half + FLANK_TO),
  ];
  // A neighbouring line may lie on one flank: the barer one is paper.
  const paper = Math.hypot(...before) < Math.hypot(...after) ? before : after;
  const scale = (2 * half + 1) / FLANK_TO;
  const over = (c: 0 | 1 | 2): number => STEP * (stroke[c] - scale * paper[c]);
  return [over(0), over(1), over(2)];
}

function addDiff(x: number, y: number, { diff, width, height }: InkField, sum: [number, number, number]): void {
  const cx = Math.min(width - 1.001, Math.max(0, x - 0.5));
  const cy = Math.min(height - 1.001, Math.max(0, y - 0.5));
  const [ix, iy] = [Math.floor(cx), Math.floor(cy)];
  const [fx, fy, i] = [cx - ix, cy - iy, 3 * (iy * width + ix)];
  for (let c = 0; c < 3; c++) {
    const upper = diff[i + c] + (diff[i + 3 + c] - diff[i + c]) * fx;
    const lower = diff[i + 3 * width + c] + (diff[i + 3 * width + 3 + c] - diff[i + 3 * width + c]) * fx;
    sum[c] += upper + (lower - upper) * fy;
  }
}

/** The usual ink across each segment. */
export function inkOfSegments(segments: readonly Segment[], ridges: Ridges, ink: InkField): AcrossInk[] {
  return segments.map(({ points, angle }) => {
    const every = Math.max(1, Math.floor(points.length / SAMPLES));
    const seen = Array.from(points)
      .filter((_, i) => i % every === 0)
      .map((p) => inkAcross(ridges, p, angle, ink));
    const median = (c: number): number => seen.map((v) => v[c]).sort((a, b) => a - b)[seen.length >> 1];
    return [median(0), median(1), median(2)];
  });
}

/** Root mean square over the channels. */
export const amountOf = (ink: AcrossInk): number => Math.hypot(...ink) / Math.sqrt(3);

/** How far two inks are apart, as a share of the stronger. */
export function apart(a: AcrossInk, b: AcrossInk): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) / Math.max(Math.hypot(...a), Math.hypot(...b), 1e-6);
}
