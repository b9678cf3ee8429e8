/** Nonlinear least squares by Levenberg (1944) and Marquardt (1963), for few unknowns and smooth residuals. */
import { factorise, solveFactored } from './solve.ts';

export interface LeastSquares {
  readonly unknowns: Float64Array;
  /** Half the sum of squares. */
  readonly error: number;
  /** Of the unknowns, row-major, for residuals of spread 1. */
  readonly covariance: Float64Array;
}

/** Step of the difference quotients. */
const STEP = 1e-6;
/** Damping to begin with, what it falls to after a step that helped and grows by after one that did not, and where it is given up. */
const DAMPING = 1e-3;
const FALLS = 0.2;
const GROWS = 6;
const MOST_DAMPING = 1e6;
/** Arrived where a step takes less than this share off. */
const ARRIVED = 1e-5;

/** `residualsOf` gives as many numbers each time; null where the unknowns cannot be told. */
export function leastSquares(
  residualsOf: (unknowns: Float64Array) => Float64Array,
  start: ArrayLike<number>,
  rounds: number,
): LeastSquares | null {
  let unknowns = Float64Array.from(start);
  const n = unknowns.length;
  let residuals = residualsOf(unknowns);
  let error = halfSquare(residuals);
  let damping = DAMPING;
  let normal = new Float64Array(n * n);
  for (let round = 0; round < rounds && Number.isFinite(error); round++) {
    const columns = derivatives(residualsOf, unknowns, residuals);
    normal = new Float64Array(n * n);
    const slope = new Float64Array(n);
    for (let r = 0; r < n; r++) {
      slope[r] = -product(columns[r], residuals);
      for (let c = 0; c <= r; c++) normal[r * n + c] = normal[c * n + r] = product(columns[r], columns[c]);
    }
    let gained = 0;
    while (damping < MOST_DAMPING) {
      const damped = normal.slice();
      for (let r = 0; r < n; r++) damped[r * n + r] *= 1 + damping;
      const factored = factorise(damped, n);
      const move = factored && solveFactored(factored, slope);
      const tried = move && unknowns.map((v, i) => v + move[i]);
      const then = tried && residualsOf(tried);
      const left = then ? halfSquare(then) : Number.NaN;
      if (tried && then && left < error) {
        gained = (error - left) / error;
        unknowns = tried;
        residuals = then;
        error = left;
        damping *= FALLS;
        break;
      }
      damping *= GROWS;
    }
    if (gained < ARRIVED) break;
  }
  const covariance = inverseOf(normal, n);
  return covariance && Number.isFinite(error) ? { unknowns, error, covariance } : null;
}

function derivatives(
  residualsOf: (unknowns: Float64Array) => Float64Array,
  unknowns: Float64Array,
  residuals: Float64Array,
): Float64Array[] {
  return Array.from(unknowns, (_, k) => {
    const moved = unknowns.slice();
    moved[k] += STEP;
    return residualsOf(moved).map((r, i) => (r - residuals[i]) / STEP);
  });
}

function inverseOf(normal: Float64Array, n: number): Float64Array | null {
  const factored = factorise(normal, n);
  if (!factored) return null;
  const out = new Float64Array(n * n);
  for (let k = 0; k < n; k++) {
    const unit = new Float64Array(n);
    unit[k] = 1;
    out.set(solveFactored(factored, unit), k * n);
  }
  return out;
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}

const halfSquare = (residuals: Float64Array): number => product(residuals, residuals) / 2;
