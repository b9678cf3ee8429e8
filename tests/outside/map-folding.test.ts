import { describe, expect, it } from 'vitest';
import { checkFoldability } from '../../pipeline/validity/validity.ts';
import { mapOf, mapPattern } from '../validity/patterns.ts';

const FULL_COUNT = { timeLimitMs: 60_000, countLimitMs: 60_000, repairs: false };

describe('maps of equal squares, all folds undecided', () => {
  // OEIS A001415 (2 x n), A001416 (3 x n), A001418 (n x n): ways to fold a map of labelled squares.
  it.each([
    [1, 1, 1],
    [2, 1, 2],
    [2, 2, 8],
    [3, 2, 60],
    [4, 2, 320],
    [5, 2, 1980],
    [6, 2, 10512],
    [3, 3, 1368],
    [4, 3, 15552],
  ])('%i x %i squares fold in %i ways', (columns, rows, states) => {
    const verdict = checkFoldability(mapOf(columns, rows, 'U'), FULL_COUNT);
    expect(verdict.states).toEqual({ count: BigInt(states), atLeast: false });
    expect(verdict.kinds.every(({ how }) => how === 'free')).toBe(true);
  });

  it('2 x 3: the ways of all assignments of letters add up to the same number', () => {
    // A001415(3) = A001416(2) = 60, summed over the 2^7 assignments of its seven folds.
    let total = 0n;
    let foldable = 0;
    for (let bits = 0; bits < 2 ** 7; bits++) {
      const map = mapPattern(3, 2, (alongX, i, j) => ((bits >> (alongX ? i : 3 + 2 * i + j)) & 1 ? 'M' : 'V'));
      const verdict = checkFoldability(map, FULL_COUNT);
      total += verdict.states?.count ?? 0n;
      if (verdict.verdict === 'folds') foldable++;
    }
    expect(total).toBe(60n);
    expect(foldable).toBeLessThan(2 ** 7);
    expect(foldable).toBeGreaterThan(2 ** 4);
  });
});
