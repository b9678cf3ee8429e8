/** Symmetric positive definite systems, A x = b, by Cholesky. */

/** The lower triangle L of A = L Lᵀ, row-major, n by n; above the diagonal it is without meaning. */
export interface Factored {
  readonly n: number;
  readonly lower: Float64Array;
  /** First column of each row that is not zero. */
  readonly first: Int32Array;
}

/** Factorises A (row-major, n by n; its lower triangle is read); null where it is not positive definite. A is left as it was. */
export function factorise(a: Float64Array, n: number): Factored | null {
  const lower = Float64Array.from(a);
  const first = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    const row = i * n;
    while (first[i] < i && lower[row + first[i]] === 0) first[i]++;
    for (let j = first[i]; j <= i; j++) {
      let sum = lower[row + j];
      for (let k = Math.max(first[i], first[j]); k < j; k++) sum -= lower[row + k] * lower[j * n + k];
      if (j < i) lower[row + j] = sum / lower[j * n + j];
      else if (sum > 0) lower[row + j] = Math.sqrt(sum);
      else return null;
    }
  }
  return { n, lower, first };
}

/** x of A x = b. */
export function solveFactored(factored: Factored, b: ArrayLike<number>): Float64Array {
  const { n, lower, first } = factored;
  const x = forth(factored, b);
  for (let i = n - 1; i >= 0; i--) {
    x[i] /= lower[i * n + i];
    for (let k = first[i]; k < i; k++) x[k] -= lower[i * n + k] * x[i];
  }
  return x;
}

/** y of L y = b. */
function forth({ n, lower, first }: Factored, b: ArrayLike<number>): Float64Array {
  const y = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let sum = y[i];
    for (let k = first[i]; k < i; k++) sum -= lower[i * n + k] * y[k];
    y[i] = sum / lower[i * n + i];
  }
  return y;
}

/** Solves A x = b for a dense symmetric positive definite A (row-major, n by n); null where A is not that. Both are left as they were. */
export function solveSymmetric(a: Float64Array, b: Float64Array): Float64Array | null {
  const factored = factorise(a, b.length);
  return factored && solveFactored(factored, b);
}
