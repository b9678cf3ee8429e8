/** Nearly straight curves over a chord: the sides of an outline. */
import { solveLinear } from '../geometry/homography.ts';
import { middleOf } from '../geometry/middle.ts';
import { crossing, type WorkPoint } from './polygon.ts';

/** Outward from a chord at share t of it, px: the polynomial c0 + c1 t + c2 t^2 + ... */
export type Bow = readonly number[];

/**
 * The curve from `from` to `to`: the point at share t of the chord, moved outward (left of the direction of travel on a clockwise
 * screen polygon) by the polynomial `bow` in t, px.
 */
export interface Curve {
  readonly from: WorkPoint;
  readonly to: WorkPoint;
  /** Coefficients c0 + c1 t + c2 t^2 + ... of the outward offset, px. */
  readonly bow: readonly number[];
}

/** Rounds of reweighting, the biweight's constant (95 % efficiency for normal errors), and the least spread taken for real, px. */
const ROUNDS = 6;
const TUKEY = 4.685;
const LEAST_SCALE_PX = 0.25;

export function straight(from: WorkPoint, to: WorkPoint): Curve {
  return { from, to, bow: [0] };
}

export function chordOf(curve: Curve): number {
  return Math.hypot(curve.to[0] - curve.from[0], curve.to[1] - curve.from[1]);
}

export function curvePoint(curve: Curve, t: number): WorkPoint {
  const dx = curve.to[0] - curve.from[0];
  const dy = curve.to[1] - curve.from[1];
  const length = Math.hypot(dx, dy) || 1;
  const off = evaluate(curve.bow, t);
  return [curve.from[0] + dx * t + (dy / length) * off, curve.from[1] + dy * t - (dx / length) * off];
}

/** Largest distance of a bow from its chord, px. */
export function largestBow(bow: Bow): number {
  let most = 0;
  for (let t = 0.0625; t < 1; t += 0.0625) most = Math.max(most, Math.abs(evaluate(bow, t)));
  return most;
}

/** Share along the chord, and distance outward from the curve, px. */
export function offsetFrom(curve: Curve, x: number, y: number): { t: number; off: number } {
  const dx = curve.to[0] - curve.from[0];
  const dy = curve.to[1] - curve.from[1];
  const square = dx * dx + dy * dy;
  const px = x - curve.from[0];
  const py = y - curve.from[1];
  const t = (px * dx + py * dy) / square;
  const off = (px * dy - py * dx) / Math.sqrt(square);
  return { t, off: off - evaluate(curve.bow, t < 0 ? 0 : Math.min(t, 1)) };
}

/** A curve made ready to be asked about many points. */
export interface Ruler {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly square: number;
  readonly length: number;
  readonly bow: Float64Array;
}

export function rulerOf({ from, to, bow }: Curve): Ruler {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const square = dx * dx + dy * dy;
  return { x: from[0], y: from[1], dx, dy, square, length: Math.sqrt(square), bow: Float64Array.from(bow) };
}

/** Share along the chord, as of `offsetFrom`. */
export function shareAt({ x: x0, y: y0, dx, dy, square }: Ruler, x: number, y: number): number {
  return ((x - x0) * dx + (y - y0) * dy) / square;
}

/** Distance outward from the curve, px, as of `offsetFrom`. */
export function offAt({ x: x0, y: y0, dx, dy, square, length, bow }: Ruler, x: number, y: number): number {
  const px = x - x0;
  const py = y - y0;
  const along = (px * dx + py * dy) / square;
  const t = along < 0 ? 0 : Math.min(along, 1);
  let bulge = 0;
  for (let i = bow.length - 1; i >= 0; i--) bulge = bulge * t + bow[i];
  return (px * dy - py * dx) / length - bulge;
}

/** Where the end of curve `a` meets the start of curve `b`: their tangents are crossed until the point stays. Null where they are parallel. */
export function cornerOf(a: Curve, b: Curve): WorkPoint | null {
  let p: WorkPoint | null = b.from;
  for (let round = 0; round < 4 && p; round++) {
    const ta = offsetFrom(a, p[0], p[1]).t;
    const tb = offsetFrom(b, p[0], p[1]).t;
    const h = 0.01;
    p = crossing(curvePoint(a, ta - h), curvePoint(a, ta + h), curvePoint(b, tb - h), curvePoint(b, tb + h));
  }
  return p;
}

/** The same curve over the chord between two points near its ends, which it then passes through. */
export function rebase(curve: Curve, from: WorkPoint, to: WorkPoint): Curve {
  const moved = straight(from, to);
  // Least squares on t (1 - t) (c0 + c1 t + ...), the polynomials of the curve's degree, or cubics, that vanish at both ends.
  const terms = Math.max(2, curve.bow.length - 2);
  const a = new Float64Array(terms * terms);
  const b = new Float64Array(terms);
  const basis = new Float64Array(terms);
  const steps = 24;
  const start = offsetFrom(straight(curve.from, curve.to), from[0], from[1]).t;
  const end = offsetFrom(straight(curve.from, curve.to), to[0], to[1]).t;
  for (let i = 1; i < steps; i++) {
    const [x, y] = curvePoint(curve, start + ((end - start) * i) / steps);
    const { t, off } = offsetFrom(moved, x, y);
    for (let k = 0; k < terms; k++) basis[k] = k === 0 ? t * (1 - t) : basis[k - 1] * t;
    for (let r = 0; r < terms; r++) {
      for (let c = 0; c < terms; c++) a[r * terms + c] += basis[r] * basis[c];
      b[r] += basis[r] * off;
    }
  }
  const solved = solveLinear(a, b);
  if (!solved) return moved;
  const bow = new Array<number>(terms + 2).fill(0);
  solved.forEach((c, k) => {
    bow[k + 1] += c;
    bow[k + 2] -= c;
  });
  return { from, to, bow };
}

/** The curve travelled the other way, bulging to the same side of the sheet. */
export function reversed(curve: Curve): Curve {
  return { from: curve.to, to: curve.from, bow: mirrored(curve.bow).map((c) => -c) };
}

/** Coefficients of bow(1 - t). */
export function mirrored(bow: readonly number[]): number[] {
  const out = bow.map(() => 0);
  // (1 - t)^i spread over the powers of t by the binomial theorem.
  bow.forEach((c, i) => {
    let choose = 1;
    for (let k = 0; k <= i; k++) {
      out[k] += (k % 2 ? -c : c) * choose;
      choose = (choose * (i - k)) / (k + 1);
    }
  });
  return out;
}

export function evaluate(bow: Bow, t: number): number {
  let v = 0;
  for (let i = bow.length - 1; i >= 0; i--) v = v * t + bow[i];
  return v;
}

/** How points lie off a straight chord: a parabola, robustly fitted; [0] where it bulges less than `leastPx` half-way. */
export function bowThrough(chord: Curve, points: readonly WorkPoint[], leastPx: number): number[] {
  const found = points.map(([x, y]) => offsetFrom(chord, x, y));
  const bow = robustPolynomial(
    found.map((f) => f.t),
    found.map((f) => f.off),
    found.map(() => 1),
    2,
  );
  return Math.abs(evaluate(bow, 0.5)) < leastPx ? [0] : bow;
}

/** Coefficients by iteratively reweighted least squares (Tukey's biweight); [0] for too few points. */
export function robustPolynomial(
  ts: readonly number[],
  values: readonly number[],
  weights: readonly number[],
  degree: number,
): number[] {
  if (ts.length < degree + 3) return [0];
  return reweighted(Float64Array.from(ts), Float64Array.from(values), Float64Array.from(weights), degree);
}

function reweighted(ts: Float64Array, values: Float64Array, weights: Float64Array, degree: number): number[] {
  const n = ts.length;
  const m = degree + 1;
  const w = weights.slice();
  const errors = new Float64Array(n);
  const sums = new Float64Array(2 * m - 1);
  const a = new Float64Array(m * m);
  const b = new Float64Array(m);
  for (let round = 0; round < ROUNDS; round++) {
    sums.fill(0);
    b.fill(0);
    for (let i = 0; i < n; i++) {
      let p = w[i];
      for (let k = 0; k < 2 * m - 1; k++) {
        sums[k] += p;
        if (k < m) b[k] += p * values[i];
        p *= ts[i];
      }
    }
    for (let r = 0; r < m; r++) for (let c = 0; c < m; c++) a[r * m + c] = sums[r + c];
    // The coefficients take the place of the right side.
    if (!solveLinear(a, b)) return [0];
    for (let i = 0; i < n; i++) {
      let v = 0;
      for (let k = m - 1; k >= 0; k--) v = v * ts[i] + b[k];
      errors[i] = Math.abs(values[i] - v);
    }
    const scale = Math.max(LEAST_SCALE_PX, 1.4826 * middleOf(errors.slice()));
    for (let i = 0; i < n; i++) {
      const r = errors[i] / (TUKEY * scale);
      w[i] = weights[i] * (r < 1 ? (1 - r * r) ** 2 : 0);
    }
  }
  return [...b];
}
