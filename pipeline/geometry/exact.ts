/**
 * Arithmetic on exact numbers (p + r·√root) / q, root 2 or 3, with safe integers in lowest terms and q > 0.
 *
 * A number with r = 0 is a plain fraction and carries root 2 by convention; it mixes freely with either root. Sums and
 * products are formed in whole 64-bit-safe integers where they fit and in BigInt where they do not, and only the reduced
 * result must be safe, so that nothing is ever rounded.
 * Errors: ExactOverflowError where a reduced result does not fit; RangeError on division by zero or mixed roots.
 */
import type { Exact, ExactPoint } from '../types.ts';

/** The exact result has a numerator or denominator beyond the safe integers; a caller may fall back to floats. */
export class ExactOverflowError extends RangeError {}

type Root = Exact['root'];

function gcdBig(a: bigint, b: bigint): bigint {
  let x = a < 0n ? -a : a;
  let y = b < 0n ? -b : b;
  while (y !== 0n) [x, y] = [y, x % y];
  return x;
}

function gcdSmall(a: number, b: number): number {
  let x = Math.abs(a);
  let y = Math.abs(b);
  while (y !== 0) [x, y] = [y, x % y];
  return x;
}

function reduceBig(p: bigint, r: bigint, q: bigint, root: Root): Exact {
  if (q === 0n) throw new RangeError('division by zero');
  const sign = q < 0n ? -1n : 1n;
  const g = gcdBig(gcdBig(p, r), q) * sign;
  const [np, nr, nq] = [Number(p / g), Number(r / g), Number(q / g)];
  if (!(Number.isSafeInteger(np) && Number.isSafeInteger(nr) && Number.isSafeInteger(nq)))
    throw new ExactOverflowError('exact number too large');
  return { p: np, r: nr, q: nq, root: nr === 0 ? 2 : root };
}

function commonRoot(a: Exact, b: Exact): Root {
  if (a.r === 0) return b.root;
  if (b.r === 0 || a.root === b.root) return a.root;
  throw new RangeError('numbers with √2 and √3 do not mix');
}

/** (p + r·√root) / q in lowest terms; integers, q not 0. */
export function exact(p: number, q = 1, r = 0, root: Root = 2): Exact {
  if (!(Number.isSafeInteger(p) && Number.isSafeInteger(q) && Number.isSafeInteger(r)))
    throw new RangeError('an exact number is made of safe integers');
  if (q === 0) throw new RangeError('division by zero');
  const g = gcdSmall(gcdSmall(p, r), q) * (q < 0 ? -1 : 1);
  // Adding 0 turns -0 into 0, so that equal numbers are equal field by field.
  return { p: p / g + 0, r: r / g + 0, q: q / g, root: r === 0 ? 2 : root };
}

export const EXACT_ZERO: Exact = exact(0);
export const EXACT_ONE: Exact = exact(1);

/** Products of three factors below this stay safe integers: two of them may then be added. */
const SMALL_FACTOR = 160_000;

function isSmall(a: Exact): boolean {
  return Math.abs(a.p) < SMALL_FACTOR && Math.abs(a.r) < SMALL_FACTOR && a.q < SMALL_FACTOR;
}

function combine(a: Exact, b: Exact, sign: 1 | -1): Exact {
  const root = commonRoot(a, b);
  if (isSmall(a) && isSmall(b)) {
    return exact(a.p * b.q + sign * b.p * a.q, a.q * b.q, a.r * b.q + sign * b.r * a.q, root);
  }
  const s = BigInt(sign);
  const [aq, bq] = [BigInt(a.q), BigInt(b.q)];
  return reduceBig(BigInt(a.p) * bq + s * BigInt(b.p) * aq, BigInt(a.r) * bq + s * BigInt(b.r) * aq, aq * bq, root);
}

export function addExact(a: Exact, b: Exact): Exact {
  return combine(a, b, 1);
}

export function subExact(a: Exact, b: Exact): Exact {
  return combine(a, b, -1);
}

export function negExact(a: Exact): Exact {
  return { p: -a.p + 0, r: -a.r + 0, q: a.q, root: a.root };
}

export function mulExact(a: Exact, b: Exact): Exact {
  const root = commonRoot(a, b);
  if (isSmall(a) && isSmall(b)) {
    return exact(a.p * b.p + root * a.r * b.r, a.q * b.q, a.p * b.r + a.r * b.p, root);
  }
  const [ap, ar, bp, br] = [BigInt(a.p), BigInt(a.r), BigInt(b.p), BigInt(b.r)];
  return reduceBig(ap * bp + BigInt(root) * ar * br, ap * br + ar * bp, BigInt(a.q) * BigInt(b.q), root);
}

/** a / b, by multiplying with the conjugate of b. */
export function divExact(a: Exact, b: Exact): Exact {
  const root = commonRoot(a, b);
  const [ap, ar, bp, br] = [BigInt(a.p), BigInt(a.r), BigInt(b.p), BigInt(b.r)];
  const norm = bp * bp - BigInt(root) * br * br;
  const bq = BigInt(b.q);
  return reduceBig((ap * bp - BigInt(root) * ar * br) * bq, (ar * bp - ap * br) * bq, norm * BigInt(a.q), root);
}

/** Sign of the number: -1, 0 or 1; exact. */
export function signExact(a: Exact): -1 | 0 | 1 {
  const sp = Math.sign(a.p);
  const sr = Math.sign(a.r);
  if (sr === 0 || sp === sr) return sp === 0 ? 0 : sp > 0 ? 1 : -1;
  if (sp === 0) return sr > 0 ? 1 : -1;
  // Opposite signs: the larger square decides; they cannot be equal, for the root is irrational.
  const pWins = BigInt(a.p) ** 2n > BigInt(a.root) * BigInt(a.r) ** 2n;
  return (pWins ? sp : sr) > 0 ? 1 : -1;
}

/** -1 where a < b, 1 where a > b, 0 where equal; exact. */
export function compareExact(a: Exact, b: Exact): -1 | 0 | 1 {
  return signExact(subExact(a, b));
}

export function equalExact(a: Exact, b: Exact): boolean {
  return a.p === b.p && a.r === b.r && a.q === b.q && (a.r === 0 || a.root === b.root);
}

/** Nearest double, or within a few units in the last place of it. Cancellation between p and r·√root is avoided. */
export function toNumber(a: Exact): number {
  if (a.r === 0) return a.p / a.q;
  const s = Math.sqrt(a.root);
  if (Math.sign(a.p) * Math.sign(a.r) >= 0) return (a.p + a.r * s) / a.q;
  // p + r√n = (p² - n r²) / (p - r√n): the numerator is a whole number, the denominator adds equal signs.
  const norm = Number(BigInt(a.p) ** 2n - BigInt(a.root) * BigInt(a.r) ** 2n);
  return norm / ((a.p - a.r * s) * a.q);
}

export function toPoint(p: ExactPoint): readonly [number, number] {
  return [toNumber(p[0]), toNumber(p[1])];
}

/** Short text such as 3/8, √2-1 or (2-√2)/2, for people and for keys. */
export function exactText(a: Exact): string {
  const rootPart = a.r === 0 ? '' : `${Math.abs(a.r) === 1 ? '' : Math.abs(a.r)}√${a.root}`;
  if (a.r === 0) return a.q === 1 ? `${a.p}` : `${a.p}/${a.q}`;
  const top = a.p === 0 ? `${a.r < 0 ? '-' : ''}${rootPart}` : `${a.p}${a.r < 0 ? '-' : '+'}${rootPart}`;
  if (a.q === 1) return top;
  return a.p === 0 ? `${top}/${a.q}` : `(${top})/${a.q}`;
}
