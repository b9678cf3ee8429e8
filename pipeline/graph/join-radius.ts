/** Share of the grid step within which unsteady lines meet in one vertex, and the same in units of how far they stray. */
const MEET_STEPS = 0.13;
const MEET_REACHES = 3;
/** Without a grid: how far apart lines cross that were meant to meet, in units of how far they usually stray. */
const MEET_RESIDUALS = 9;

/** Crossings nearer than this are one vertex, pattern units. */
export function joinRadius(step: number, unsteady: number, w: number, px: number): number {
  if (step === 0) return Math.max(1.6 * w * px, 3.5 * px, MEET_RESIDUALS * unsteady);
  const steady = Math.min(Math.max(1.5 * w, 3) * px, 0.35 * step);
  return Math.max(steady, Math.min(MEET_STEPS * step, MEET_REACHES * unsteady));
}

/** Radii are tried in steps of this factor up to so much of a pattern unit. */
const RADIUS_STEP = 1.2;
const MOST_RADIUS = 0.03;
/** A number of vertices has settled if so many more steps change it by at most one vertex or this share. */
const SETTLED_STEPS = 3;
const SETTLED_SHARE = 0.01;

/**
 * The radius from which on joining farther apart leaves the number of vertices as it is. Lines that a hand meant to meet
 * scatter about their vertices, while true vertices lie much farther apart: between the two the number stands still. In
 * print it does so from `least` on. Patterns with details finer than any such gap keep `least`. All in pattern units.
 */
export function settledRadius(least: number, countWithin: (radius: number) => number): number {
  const counts: number[] = [];
  for (let radius = least; radius < MOST_RADIUS; radius *= RADIUS_STEP) {
    counts.push(countWithin(radius));
    const from = counts.length - 1 - SETTLED_STEPS;
    if (from < 0) continue;
    if (counts[from] - counts[counts.length - 1] <= Math.max(1, SETTLED_SHARE * counts[from])) {
      return least * RADIUS_STEP ** from;
    }
  }
  return least;
}
