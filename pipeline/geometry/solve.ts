/**
 * Solves A x = b for a small dense symmetric positive definite A (row-major, n by n) by Cholesky; null where A is
 * not positive definite. A and b are left as they were.
 */
export function solveSymmetric(a: Float64Array, b: Float64Array): Float64Array | null {
  const n = b.length;
  const l = Float64Array.from(a);
  for (let j = 0; j < n; j++) {
    for (let k = 0; k < j; k++) {
      const f = l[j * n + k];
      if (f !== 0) for (let i = j; i < n; i++) l[i * n + j] -= l[i * n + k] * f;
    }
    const d = l[j * n + j];
    if (!(d > 0)) return null;
    const root = Math.sqrt(d);
    for (let i = j; i < n; i++) l[i * n + j] /= root;
  }
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i] -= l[i * n + k] * x[k];
    x[i] /= l[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i] -= l[k * n + i] * x[k];
    x[i] /= l[i * n + i];
  }
  return x;
}
