import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addExact,
  compareExact,
  divExact,
  ExactOverflowError,
  equalExact,
  exact,
  exactText,
  mulExact,
  negExact,
  signExact,
  subExact,
  toNumber,
} from '../../pipeline/geometry/exact.ts';
import type { Exact } from '../../pipeline/types.ts';

const small = fc.integer({ min: -60, max: 60 });
const exactOf = (root: 2 | 3) =>
  fc.tuple(small, fc.integer({ min: 1, max: 60 }), small).map(([p, q, r]): Exact => exact(p, q, r, root));
const roots = fc.constantFrom(2 as const, 3 as const);
const pair = roots.chain((root) => fc.tuple(exactOf(root), exactOf(root)));
const triple = roots.chain((root) => fc.tuple(exactOf(root), exactOf(root), exactOf(root)));

// Q(√2) and Q(√3) are fields, ordered as real numbers: any text on quadratic fields (common knowledge).
describe('field laws hold exactly', () => {
  it('sum and product commute, associate, distribute; differences and quotients undo them', () => {
    fc.assert(
      fc.property(triple, ([a, b, c]) => {
        expect(addExact(a, b)).toEqual(addExact(b, a));
        expect(mulExact(a, b)).toEqual(mulExact(b, a));
        expect(addExact(addExact(a, b), c)).toEqual(addExact(a, addExact(b, c)));
        expect(mulExact(mulExact(a, b), c)).toEqual(mulExact(a, mulExact(b, c)));
        expect(mulExact(a, addExact(b, c))).toEqual(addExact(mulExact(a, b), mulExact(a, c)));
        expect(subExact(addExact(a, b), b)).toEqual(a);
        if (signExact(b) !== 0) expect(divExact(mulExact(a, b), b)).toEqual(a);
        expect(addExact(a, negExact(a))).toEqual(exact(0));
      }),
      { seed: 11, numRuns: 400 },
    );
  });

  it('results are in lowest terms with a positive denominator', () => {
    const gcd = (a: number, b: number): number => (b === 0 ? Math.abs(a) : gcd(b, a % b));
    fc.assert(
      fc.property(pair, ([a, b]) => {
        for (const x of [addExact(a, b), mulExact(a, b), subExact(a, b)]) {
          expect(x.q).toBeGreaterThan(0);
          expect(gcd(gcd(x.p, x.r), x.q)).toBe(1);
        }
      }),
      { seed: 12, numRuns: 400 },
    );
  });

  it('order agrees with the real numbers', () => {
    fc.assert(
      fc.property(pair, ([a, b]) => {
        const real = (x: Exact): number => (x.p + x.r * Math.sqrt(x.root)) / x.q;
        const gap = real(a) - real(b);
        // Doubles can tell them apart beyond rounding; nearer than that only equal numbers can be with such small parts.
        expect(compareExact(a, b)).toBe(Math.abs(gap) < 1e-9 ? 0 : Math.sign(gap));
        expect(compareExact(a, b) === 0).toBe(equalExact(a, b));
        expect(toNumber(a)).toBeCloseTo(real(a), 10);
      }),
      { seed: 13, numRuns: 400 },
    );
  });
});

describe('worked numbers', () => {
  // tan 22.5° = √2 - 1 and tan 67.5° = √2 + 1 are reciprocal; tan 60° = √3 (standard trigonometric values).
  it('tan 22.5° and tan 67.5° multiply to 1', () => {
    const [t, u] = [exact(-1, 1, 1), exact(1, 1, 1)];
    expect(mulExact(t, u)).toEqual(exact(1));
    expect(toNumber(t)).toBeCloseTo(Math.tan(Math.PI / 8), 14);
    expect(divExact(exact(1), t)).toEqual(u);
  });

  it('1 / √3 is √3 / 3', () => {
    expect(divExact(exact(1), exact(0, 1, 1, 3))).toEqual(exact(0, 3, 1, 3));
  });

  // Convergents p/q of √2 satisfy p² - 2q² = ±1, so p - q√2 = ±1 / (p + q√2) (Pell's equation).
  it('a difference that doubles cannot hold keeps its sign and its size', () => {
    const tiny = exact(131836323, 1, -93222358);
    expect(signExact(tiny)).toBe(1);
    expect(signExact(negExact(tiny))).toBe(-1);
    expect(toNumber(tiny) * (131836323 + 93222358 * Math.SQRT2)).toBeCloseTo(1, 12);
  });

  it.each([
    [exact(3, 8), '3/8'],
    [exact(-4, 2), '-2'],
    [exact(-1, 1, 1), '-1+√2'],
    [exact(4, 4, -2), '(2-√2)/2'],
    [exact(0, 3, 1, 3), '√3/3'],
    [exact(0, 1, -2), '-2√2'],
  ])('%j reads %s', (number, text) => {
    expect(exactText(number)).toBe(text);
  });
});

describe('misuse and overflow', () => {
  it('roots do not mix, fractions go with either', () => {
    expect(() => addExact(exact(0, 1, 1, 2), exact(0, 1, 1, 3))).toThrow(RangeError);
    expect(mulExact(exact(1, 2), exact(0, 1, 1, 3))).toEqual(exact(0, 2, 1, 3));
  });

  it('division by zero is refused', () => {
    expect(() => exact(1, 0)).toThrow(RangeError);
    expect(() => divExact(exact(1), exact(0))).toThrow(RangeError);
  });

  it('a result that is no safe integer is refused, one that reduces is kept', () => {
    const big = exact(2 ** 50 + 1);
    expect(() => mulExact(big, big)).toThrow(ExactOverflowError);
    expect(divExact(mulExact(exact(2 ** 40), exact(1, 2 ** 30)), exact(2 ** 10))).toEqual(exact(1));
    expect(() => exact(0.5)).toThrow(RangeError);
  });
});
