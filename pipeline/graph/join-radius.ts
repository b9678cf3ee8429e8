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
export const MOST_RADIUS = 0.03;
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

/** A larger radius must leave at most this share of the odd vertices, ... */
const MENDED_SHARE = 0.5;
/** ... and of two radii the smaller is taken unless the larger mends this share more of what can be mended. */
const NEARLY_MENDED = 0.05;
/** One odd vertex may be odd for any reason. */
const LEAST_ODD = 2;

/**
 * The radius from `least` on at which the fewest inner vertices are left with an odd number of lines. Every vertex of a flat
 * folding has an even number (Kawasaki, Justin), so where a hand missed its vertices, lines that meet in a small triangle
 * instead of a point show up as odd ones, and joining them mends several at once. Drawings that keep the law as they are
 * keep `least`. `oddWithin` counts odd vertices at a radius; all lengths in pattern units.
 */
export function lawfulRadius(least: number, oddWithin: (radius: number) => number): number {
  const own = oddWithin(least);
  if (own < LEAST_ODD) return least;
  const tried = [{ radius: least, odd: own }];
  for (let radius = least * RADIUS_STEP; radius < MOST_RADIUS; radius *= RADIUS_STEP) {
    tried.push({ radius, odd: oddWithin(radius) });
  }
  const fewest = Math.min(...tried.map(({ odd }) => odd));
  if (fewest > MENDED_SHARE * own) return least;
  const enough = fewest + NEARLY_MENDED * (own - fewest);
  return tried.find(({ odd }) => odd <= enough)?.radius ?? least;
}
