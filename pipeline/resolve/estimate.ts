/** Least squares over linear conditions, and further ones taken in while they agree with what is known (Kalman 1960). */
import { factorise, solveFactored } from '../geometry/solve.ts';

/** The sum of `factors` times their unknowns is `sum`, give or take `spread`. */
export interface Condition {
  readonly unknowns: readonly number[];
  readonly factors: readonly number[];
  readonly sum: number;
  readonly spread: number;
}

/** What must hold does to this, pattern units or radians: rounding. */
export const HOLDS = 1e-5;

export interface Estimate {
  readonly values: Float64Array;
  /** Covariances of the unknowns, row-major. */
  readonly covariance: Float64Array;
}

/** The values that agree best; null where they are not determined. */
export function estimate(conditions: readonly Condition[], n: number): Estimate | null {
  const weights = new Float64Array(n * n);
  const right = new Float64Array(n);
  for (const { unknowns, factors, sum, spread } of conditions) {
    const weight = 1 / spread ** 2;
    unknowns.forEach((u, i) => {
      right[u] += weight * factors[i] * sum;
      unknowns.forEach((w, j) => {
        weights[u * n + w] += weight * factors[i] * factors[j];
      });
    });
  }
  const factored = factorise(weights, n);
  if (!factored) return null;
  const values = solveFactored(factored, right);
  const scale = errorScale(conditions, values, n);
  const covariance = new Float64Array(n * n);
  const rows: Float64Array[] = [];
  for (let u = 0; u < n; u++) {
    const unit = new Float64Array(n);
    unit[u] = 1;
    rows.push(solveFactored(factored, unit));
  }
  rows.forEach((row, u) => {
    for (let w = 0; w < n; w++) covariance[u * n + w] = row[w] * scale;
  });
  return { values, covariance };
}

/** Variance of what was seen against what was said of it, at least 1. */
function errorScale(conditions: readonly Condition[], values: Float64Array, unknowns: number): number {
  let square = 0;
  for (const { unknowns: own, factors, sum, spread } of conditions) {
    const miss = own.reduce((rest, u, i) => rest - factors[i] * values[u], sum);
    square += (miss / spread) ** 2;
  }
  const spare = conditions.length - unknowns;
  return spare > 0 ? Math.max(1, square / spare) : 1;
}

/** The middle one of squared normal errors, in variances. */
const MIDDLE_SQUARE = 0.455;
/** Fewer conditions say nothing of how large errors are, and what is off by more than so many times what was said is no error. */
const LEAST_SAMPLE = 5;
const MOST_SCALE = 9;

/**
 * Enlarges the spreads where further conditions are missed by more than they allow: the middle one tells how large errors really are. In place.
 */
export function rescale(conditions: readonly Condition[], known: Estimate): void {
  if (conditions.length < LEAST_SAMPLE) return;
  const squares = conditions.map((c) => against(c, known).off ** 2).sort((a, b) => a - b);
  const scale = Math.min(MOST_SCALE, squares[squares.length >> 1] / MIDDLE_SQUARE);
  if (scale > 1) for (let i = 0; i < known.covariance.length; i++) known.covariance[i] *= scale;
}

/** Takes in what is no more than so many spreads off what is known, likeliest first. In place. */
export function admit(conditions: readonly Condition[], known: Estimate, mostSpreads: number): void {
  const { values, covariance } = known;
  const n = values.length;
  const open = new Set(conditions);
  while (open.size > 0) {
    let next: { condition: Condition; seen: Agreement } | null = null;
    for (const condition of open) {
      const seen = against(condition, known);
      if (!next || seen.off < next.seen.off) next = { condition, seen };
    }
    if (!next || next.seen.off > mostSpreads) return;
    open.delete(next.condition);
    const { towards, variance, miss } = next.seen;
    for (let u = 0; u < n; u++) {
      const gain = towards[u] / variance;
      if (gain === 0) continue;
      values[u] += gain * miss;
      for (let w = 0; w < n; w++) covariance[u * n + w] -= gain * towards[w];
    }
  }
}

interface Agreement {
  /** Covariance of each unknown with the condition's sum. */
  readonly towards: Float64Array;
  readonly variance: number;
  readonly miss: number;
  /** The miss in spreads. */
  readonly off: number;
}

function against({ unknowns, factors, sum, spread }: Condition, { values, covariance }: Estimate): Agreement {
  const n = values.length;
  const towards = new Float64Array(n);
  unknowns.forEach((u, i) => {
    for (let w = 0; w < n; w++) towards[w] += covariance[u * n + w] * factors[i];
  });
  const miss = unknowns.reduce((rest, u, i) => rest - factors[i] * values[u], sum);
  const variance = unknowns.reduce((all, u, i) => all + factors[i] * towards[u], spread ** 2);
  return { towards, variance, miss, off: Math.abs(miss) / Math.sqrt(variance) };
}

export function spreadAt({ values, covariance }: Estimate, u: number, w: number): number {
  return covariance[u * values.length + w];
}
