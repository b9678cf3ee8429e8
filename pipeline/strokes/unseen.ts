import { endsOf } from '../geometry/segment-ends.ts';
import { hasLearnedLines, type InkField, withOwnLines } from '../ink/ink.ts';
import { keepRidges, type Ridges } from './ridges.ts';
import type { Segment } from './segments.ts';
import { linkStrokes, type Strokes, tracedRidges, usualStrength } from './traced.ts';

/** Ink is another stroke's up to this far from its centre line, stroke widths and px. */
const OWN_WIDTHS = 1.5;
const OWN_PX = 3;
/** What is unseen is a stroke from this length on, stroke widths and px: letters and arrows' heads are shorter. */
const LEAST_WIDTHS = 10;
const LEAST_PX = 20;

/**
 * The strokes and those that the network overlooked on paper without grain, where no ink is an accident: straight ones whose both ends come near to strokes that it
 * saw. Arrows and what else is drawn beside the creases hardly ever begin and end at them.
 */
export function withUnseen(seen: Strokes, ink: InkField): Strokes {
  if (!ink.plain || !hasLearnedLines(ink)) return seen;
  const own = withOwnLines(ink);
  const ridges = tracedRidges(own);
  const reach = Math.ceil(OWN_WIDTHS * ink.strokeWidthPx + OWN_PX);
  const unseen = keepRidges(ridges, (p) => !isNear(seen.ridges, ridges.x[p], ridges.y[p], reach));
  if (unseen.count === 0) return seen;
  const least = Math.max(LEAST_WIDTHS * ink.strokeWidthPx, LEAST_PX);
  const overlooked = linkStrokes(unseen, own).segments.filter(
    (s) => s.length >= least && endsOf(s).every(([x, y]) => isNear(seen.ridges, x, y, 2 * reach)),
  );
  if (overlooked.length === 0) return seen;
  const strength = usualStrength(seen.segments, ink.strokeWidthPx);
  return linkStrokes(joined(seen.ridges, unseen, overlooked, strength), ink);
}

/** Whether a ridge point lies within so many px, each way. */
function isNear({ at, width, height }: Ridges, x: number, y: number, reach: number): boolean {
  const [cx, cy] = [Math.floor(x), Math.floor(y)];
  const right = Math.min(width - 1, cx + reach);
  for (let v = Math.max(0, cy - reach); v <= Math.min(height - 1, cy + reach); v++)
    for (let u = Math.max(0, cx - reach); u <= right; u++) if (at[v * width + u] >= 0) return true;
  return false;
}

/** The ridges and the points of further segments, whose strength is measured otherwise: they are given that which is usual. */
function joined(ridges: Ridges, others: Ridges, segments: readonly Segment[], strength: number): Ridges {
  const added = segments.flatMap(({ points }) => [...points]);
  const number = new Int32Array(others.count).fill(-1);
  added.forEach((p, k) => {
    number[p] = ridges.count + k;
  });
  const at = ridges.at.map((own, i) => (others.at[i] >= 0 && number[others.at[i]] >= 0 ? number[others.at[i]] : own));
  const both = (of: 'x' | 'y' | 'angle'): Float32Array =>
    Float32Array.from([...ridges[of], ...added.map((p) => others[of][p])]);
  return {
    ...ridges,
    count: ridges.count + added.length,
    x: both('x'),
    y: both('y'),
    angle: both('angle'),
    strength: Float32Array.from([...ridges.strength, ...added.map(() => strength)]),
    at,
  };
}
