/**
 * Plane homographies: 3 x 3 matrices, row-major, last entry not fixed to 1, that carry (x, y) to
 * ((m0 x + m1 y + m2) / w, (m3 x + m4 y + m5) / w) with w = m6 x + m7 y + m8. They know no frame; the caller does.
 */
export type Homography = readonly [number, number, number, number, number, number, number, number, number];

type Point = readonly [x: number, y: number];

/** Where `h` carries the point. */
export function apply(h: Homography, p: Point): [number, number] {
  const w = h[6] * p[0] + h[7] * p[1] + h[8];
  return [(h[0] * p[0] + h[1] * p[1] + h[2]) / w, (h[3] * p[0] + h[4] * p[1] + h[5]) / w];
}

/** The homography that applies `first`, then `second`. */
export function compose(second: Homography, first: Homography): Homography {
  const m = new Array<number>(9);
  for (let r = 0; r < 3; r++) {
    for (let c = 0; c < 3; c++) {
      m[3 * r + c] = second[3 * r] * first[c] + second[3 * r + 1] * first[3 + c] + second[3 * r + 2] * first[6 + c];
    }
  }
  return m as unknown as Homography;
}

/** Inverse up to scale, by the adjugate; meaningless for a singular matrix. */
export function inverse(h: Homography): Homography {
  const [a, b, c, d, e, f, g, i, j] = h;
  return [
    e * j - f * i,
    c * i - b * j,
    b * f - c * e,
    f * g - d * j,
    a * j - c * g,
    c * d - a * f,
    d * i - e * g,
    b * g - a * i,
    a * e - b * d,
  ];
}

/**
 * Homography from point pairs, exact for four, least squares in the normalised algebraic error for more
 * (direct linear transformation with normalisation, Hartley 1997). `weights` are per pair, default 1.
 * Throws a RangeError for fewer than four pairs or a degenerate set.
 */
export function homographyFrom(from: readonly Point[], to: readonly Point[], weights?: readonly number[]): Homography {
  if (from.length < 4 || from.length !== to.length)
    throw new RangeError('homographyFrom needs four or more point pairs');
  const a = normaliser(from);
  const b = normaliser(to);
  // Normal equations of the 8 unknowns with the last entry 1 in the normalised frames, where it cannot vanish:
  // the centroid of the points must stay finite.
  const n = 8;
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  const row = new Float64Array(n);
  for (let k = 0; k < from.length; k++) {
    const [x, y] = apply(a, from[k]);
    const [u, v] = apply(b, to[k]);
    const weight = weights ? weights[k] : 1;
    row.set([x, y, 1, 0, 0, 0, -u * x, -u * y]);
    accumulate(matrix, right, row, u, weight);
    row.set([0, 0, 0, x, y, 1, -v * x, -v * y]);
    accumulate(matrix, right, row, v, weight);
  }
  const s = solveLinear(matrix, right);
  if (!s) throw new RangeError('homographyFrom: the points are degenerate');
  const middle: Homography = [s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], 1];
  return compose(inverse(b), compose(middle, a));
}

/** Moves the centroid to the origin and the root mean square distance to sqrt 2. */
function normaliser(points: readonly Point[]): Homography {
  let cx = 0;
  let cy = 0;
  for (const p of points) {
    cx += p[0] / points.length;
    cy += p[1] / points.length;
  }
  let spread = 0;
  for (const p of points) spread += ((p[0] - cx) ** 2 + (p[1] - cy) ** 2) / points.length;
  const k = Math.sqrt(2 / (spread || 1));
  return [k, 0, -k * cx, 0, k, -k * cy, 0, 0, 1];
}

function accumulate(matrix: Float64Array, right: Float64Array, row: Float64Array, value: number, weight: number): void {
  const n = row.length;
  for (let i = 0; i < n; i++) {
    const w = weight * row[i];
    if (w === 0) continue;
    right[i] += w * value;
    for (let j = 0; j < n; j++) matrix[i * n + j] += w * row[j];
  }
}

/** Solves A x = b (A is n x n, row-major, both are overwritten) by elimination with row pivots; null where A is singular. */
export function solveLinear(a: Float64Array, b: Float64Array): Float64Array | null {
  const n = b.length;
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let r = k + 1; r < n; r++) if (Math.abs(a[r * n + k]) > Math.abs(a[pivot * n + k])) pivot = r;
    const top = a[pivot * n + k];
    if (Math.abs(top) < 1e-12) return null;
    if (pivot !== k) {
      for (let c = 0; c < n; c++) {
        const keep = a[k * n + c];
        a[k * n + c] = a[pivot * n + c];
        a[pivot * n + c] = keep;
      }
      const keep = b[k];
      b[k] = b[pivot];
      b[pivot] = keep;
    }
    for (let r = k + 1; r < n; r++) {
      const f = a[r * n + k] / a[k * n + k];
      if (f === 0) continue;
      for (let c = k; c < n; c++) a[r * n + c] -= f * a[k * n + c];
      b[r] -= f * b[k];
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    let sum = b[k];
    for (let c = k + 1; c < n; c++) sum -= a[k * n + c] * b[c];
    b[k] = sum / a[k * n + k];
  }
  return b;
}
