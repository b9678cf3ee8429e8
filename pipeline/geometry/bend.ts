import { solveSymmetric } from './solve.ts';

/**
 * A smooth displacement of the sheet, pattern units: a measured point p belongs at p + bend(p). Polynomial in x and y,
 * both components, terms of total degree up to `degree`, on coordinates centred on 1/2.
 */
export interface Bend {
  readonly degree: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** Says: the component of the displacement along (nx, ny) at (x, y) should be `off`. */
export interface BendSamples {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly nx: Float64Array;
  readonly ny: Float64Array;
  readonly off: Float64Array;
  readonly weight: Float64Array;
}

/** One sample of BendSamples. */
export type BendRow = readonly [x: number, y: number, nx: number, ny: number, off: number, weight: number];

export function bendSamples(rows: readonly BendRow[]): BendSamples {
  const column = (c: number) => Float64Array.from(rows.map((r) => r[c]));
  return { x: column(0), y: column(1), nx: column(2), ny: column(3), off: column(4), weight: column(5) };
}

export const NO_BEND: Bend = { degree: -1, x: new Float64Array(0), y: new Float64Array(0) };

export function termCount(degree: number): number {
  return ((degree + 1) * (degree + 2)) / 2;
}

const MOST_DEGREE = 10;
/** Powers of the two coordinates, and all terms, of the place last asked for: this is the innermost loop of the curl fit. */
const powersU = new Float64Array(2 * MOST_DEGREE + 1);
const powersV = new Float64Array(2 * MOST_DEGREE + 1);
const scratch = new Float64Array(termCount(MOST_DEGREE));

/** The terms at (x, y) in the order of a bend's coefficients, written from `from` on. */
export function bendTerms(degree: number, x: number, y: number, out: Float64Array, from = 0): void {
  powersU[0] = powersV[0] = 1;
  for (let d = 1; d <= degree; d++) {
    powersU[d] = powersU[d - 1] * (2 * x - 1);
    powersV[d] = powersV[d - 1] * (2 * y - 1);
  }
  let n = from;
  for (let d = 0; d <= degree; d++) for (let j = 0; j <= d; j++) out[n++] = powersU[d - j] * powersV[j];
}

export function bendAt(bend: Bend, x: number, y: number): [number, number] {
  if (bend.degree < 0) return [0, 0];
  bendTerms(bend.degree, x, y, scratch);
  let bx = 0;
  let by = 0;
  for (let i = 0; i < bend.x.length; i++) {
    bx += bend.x[i] * scratch[i];
    by += bend.y[i] * scratch[i];
  }
  return [bx, by];
}

/** The measured place of a point that belongs at (x, y): undoes the bend by fixed-point steps. */
export function unbend(bend: Bend, x: number, y: number): [number, number] {
  let mx = x;
  let my = y;
  for (let i = 0; i < 4; i++) {
    const [bx, by] = bendAt(bend, mx, my);
    mx = x - bx;
    my = y - by;
  }
  return [mx, my];
}

/**
 * Robust least squares (iterated, Cauchy weights) with a small pull towards a bend known before (none by default) that
 * grows with the degree, so that empty regions stay calm. `ridge` is that pull as a share of the total weight.
 */
export function fitBend(samples: BendSamples, degree: number, scale: number, ridge = 1e-4, known = NO_BEND): Bend {
  const m = termCount(degree);
  const n = samples.x.length;
  const size = 2 * m;
  const places = productPlaces(degree);
  // The products of two terms are terms of twice the degree: summed once each, not pair by pair.
  const wide = termCount(2 * degree);
  const powers = new Float64Array(n * wide);
  for (let s = 0; s < n; s++) bendTerms(2 * degree, samples.x[s], samples.y[s], powers, s * wide);
  const a = new Float64Array(size * size);
  let solution: Float64Array | null = null;
  for (let round = 0; round < 4; round++) {
    const xx = new Float64Array(wide);
    const xy = new Float64Array(wide);
    const yy = new Float64Array(wide);
    const b = new Float64Array(size);
    let total = 0;
    for (let s = 0, o = 0; s < n; s++, o += wide) {
      const nx = samples.nx[s];
      const ny = samples.ny[s];
      const off = samples.off[s];
      let got = 0;
      if (solution) for (let i = 0; i < m; i++) got += powers[o + i] * (nx * solution[i] + ny * solution[m + i]);
      const miss = (off - got) / scale;
      const w = samples.weight[s] * (round === 0 ? 1 : 1 / (1 + miss * miss));
      total += w;
      const wx = w * nx;
      const wy = w * ny;
      for (let i = 0; i < m; i++) {
        b[i] += wx * off * powers[o + i];
        b[m + i] += wy * off * powers[o + i];
      }
      // Most lines are upright or level.
      if (nx !== 0) addTo(xx, powers, o, wx * nx);
      if (nx !== 0 && ny !== 0) addTo(xy, powers, o, wx * ny);
      if (ny !== 0) addTo(yy, powers, o, wy * ny);
    }
    for (let i = 0, p = 0; i < m; i++) {
      for (let j = 0; j < m; j++, p++) {
        const at = places[p];
        a[i * size + j] = xx[at];
        a[i * size + m + j] = a[(m + i) * size + j] = xy[at];
        a[(m + i) * size + m + j] = yy[at];
      }
    }
    for (let i = 0; i < size; i++) {
      const pulled = ridge * total * pullOfTerm(degree, i % m);
      a[i * size + i] += pulled + 1e-12;
      b[i] += pulled * ((i < m ? known.x[i] : known.y[i - m]) ?? 0);
    }
    const next = solveSymmetric(a, b);
    if (!next) break;
    solution = next;
  }
  if (!solution) return NO_BEND;
  return { degree, x: solution.slice(0, m), y: solution.slice(m) };
}

function addTo(sums: Float64Array, values: Float64Array, from: number, weight: number): void {
  for (let i = 0; i < sums.length; i++) sums[i] += weight * values[from + i];
}

/** Where the product of the terms i and j stands among the terms of twice the degree, row by row. */
function productPlaces(degree: number): Int32Array {
  const m = termCount(degree);
  const out = new Int32Array(m * m);
  let p = 0;
  for (let i = 0; i < m; i++) {
    const [d, y] = exponents(i);
    for (let j = 0; j < m; j++) {
      const [e, z] = exponents(j);
      out[p++] = termCount(d + e - 1) + y + z;
    }
  }
  return out;
}

/** Total degree of a term, and its power of y. */
function exponents(index: number): [number, number] {
  let d = 0;
  while (termCount(d) <= index) d++;
  return [d, index - termCount(d - 1)];
}

/** The pull on a term grows with its degree. */
export function pullOfTerm(degree: number, index: number): number {
  return Math.min(degree, exponents(index)[0]) ** 2;
}
