/** Distinct parallel lines as offsets along their normal. */
export interface OffsetLines {
  /** Offsets, pattern units, in the lattice's own measure (see lattice.ts). */
  readonly offsets: Float64Array;
  /** Trust in each, 0..1. */
  readonly weights: Float64Array;
}

export interface Pitch {
  /** Lines per pattern unit that explain the offsets. */
  readonly divisions: number;
  readonly halfUnits: boolean;
  /** Share of the weight on whole and half lines. */
  readonly explained: number;
}

export const MOST_DIVISIONS = 128;

/** Share of the lines that may belong to no grid at all. */
const STRAY_SHARE = 0.12;
/** Share of the lines of a grid with half units that sit on the halves. */
const HALF_SHARE = 0.25;
/** Price of a finer grid, per doubling, in natural log units. */
const PRICE_PER_DOUBLING = 0.7;
/** Least advantage over "no grid", natural log units; about 50 to 1. */
const LEAST_ADVANTAGE = 4;

/** Tolerance as a share of the step beyond which a grid is not looked for. */
export const FINEST_SHARE = 0.25;

/**
 * The grid whose lines (or half lines) best explain the offsets: the log-odds of each line under "on this grid, save
 * for some strays" against "anywhere" are added up over the lines, less a price for fineness. Lines at whole numbers
 * (sides, corner diagonals) fit every grid and say nothing. `tolerance` is how far a line may lie off, pattern units.
 * Null where no grid beats chance. `finestShare` is the tolerance that the finest grid allows, as a share of its step;
 * `divisions` sets the number of whole lines, so that only half units are open. `sides` are the offsets of the sheet's sides: they
 * are there whatever the grid, but speak against one whose lines they miss.
 */
export function findPitch(
  groups: readonly OffsetLines[],
  tolerance: number,
  {
    divisions,
    finestShare = FINEST_SHARE,
    sides = [],
  }: { readonly divisions?: number; readonly finestShare?: number; readonly sides?: readonly number[] } = {},
): Pitch | null {
  const offsets: number[] = [];
  const weights: number[] = [];
  for (const g of groups) {
    g.offsets.forEach((o, i) => {
      if (Math.abs(o - Math.round(o)) <= 2 * tolerance) return;
      offsets.push(o);
      weights.push(g.weights[i]);
    });
  }
  if (offsets.length === 0) return divisions ? { divisions, halfUnits: false, explained: 1 } : null;
  let best: Pitch | null = null;
  let bestScore = divisions ? -Infinity : LEAST_ADVANTAGE;
  const coarsest = divisions ?? 2;
  const finest = divisions ?? Math.min(MOST_DIVISIONS, Math.floor(finestShare / tolerance));
  for (let n = coarsest; n <= finest; n++) {
    for (const halves of [false, true]) {
      const score = gridScore(offsets, weights, sides, n, halves, tolerance);
      if (score.total > bestScore && (!halves || score.onHalves > 0)) {
        bestScore = score.total;
        best = { divisions: n, halfUnits: halves, explained: score.explained };
      }
    }
  }
  return best;
}

function gridScore(
  offsets: number[],
  weights: number[],
  sides: readonly number[],
  n: number,
  halves: boolean,
  tolerance: number,
) {
  const lines = halves ? 2 * n : n;
  const chance = Math.min(0.9, 2 * tolerance * n);
  const onWhole = Math.log(((1 - STRAY_SHARE) * (halves ? 1 - HALF_SHARE : 1)) / chance);
  const onHalf = Math.log(((1 - STRAY_SHARE) * HALF_SHARE) / chance);
  const stray = Math.log(STRAY_SHARE / (1 - Math.min(0.95, 2 * tolerance * lines)));
  let total = -PRICE_PER_DOUBLING * Math.log2(lines);
  let hit = 0;
  let onHalves = 0;
  let all = 0;
  for (let i = 0; i < offsets.length; i++) {
    const at = offsets[i] * n;
    const whole = Math.round(at);
    all += weights[i];
    if (Math.abs(at - whole) <= tolerance * n) {
      total += weights[i] * onWhole;
      hit += weights[i];
    } else if (halves && Math.abs(Math.abs(at - whole) - 0.5) <= tolerance * n) {
      total += weights[i] * onHalf;
      hit += weights[i];
      onHalves += weights[i];
    } else total += weights[i] * stray;
  }
  for (const side of sides) {
    const at = side * lines;
    if (Math.abs(at - Math.round(at)) > tolerance * lines) total += stray;
  }
  return { total, explained: hit / all, onHalves };
}
