import { describe, expect, it } from 'vitest';
import { checkVertices } from '../../pipeline/laws/laws.ts';
import type { Kind, Pattern } from '../../pipeline/types.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';
import { miura } from '../../scripts/bench/fold-patterns.ts';

/** The Miura-ori with the bits of a number as letters of its folds. */
function lettered(pattern: Pattern, bits: number): Pattern {
  let fold = 0;
  const creases = pattern.creases.map((c) =>
    c.kind === 'B' ? c : { ...c, kind: ((bits >> fold++) & 1 ? 'M' : 'V') as Kind },
  );
  return { ...pattern, creases };
}

const folds = (pattern: Pattern): number => pattern.creases.filter(({ kind }) => kind !== 'B').length;

/** Proper 3-colourings of a grid graph with one vertex coloured beforehand. */
function threeColourings(columns: number, rows: number): number {
  const colour = new Int8Array(columns * rows).fill(-1);
  const place = (cell: number): number => {
    if (cell === colour.length) return 1;
    let ways = 0;
    for (const c of cell === 0 ? [0] : [0, 1, 2]) {
      if (cell % columns > 0 && colour[cell - 1] === c) continue;
      if (cell >= columns && colour[cell - columns] === c) continue;
      colour[cell] = c;
      ways += place(cell + 1);
    }
    colour[cell] = -1;
    return ways;
  };
  return place(0);
}

describe('assignments of the Miura-ori that fold at every vertex', () => {
  // Ginepro & Hull 2014, J. Integer Seq. 17, 14.10.8: as many as proper 3-colourings of the grid, one vertex coloured.
  it.each([
    [2, 1, 2],
    [2, 2, 6],
    [3, 2, 18],
    [4, 2, 54],
    [3, 3, 82],
  ])('%i x %i parallelograms: %i', (columns, rows, count) => {
    const pattern = miura(columns, rows);
    let sound = 0;
    for (let bits = 0; bits < 2 ** folds(pattern); bits++) {
      if (checkVertices(lettered(pattern, bits)).length === 0) sound++;
    }
    expect(sound).toBe(count);
    expect(threeColourings(columns, rows)).toBe(count);
  });

  it('3 x 3: no more of them fold as a whole, and those that do have all vertices sound', () => {
    const pattern = miura(3, 3);
    let whole = 0;
    for (let bits = 0; bits < 2 ** folds(pattern); bits++) {
      const one = lettered(pattern, bits);
      if (
        checkVertices(one).length === 0 &&
        checkFoldability(one, { repairs: false, countLimitMs: 0 }).verdict === 'folds'
      )
        whole++;
    }
    expect(whole).toBeGreaterThan(0);
    expect(whole).toBeLessThanOrEqual(82);
  });

  it('folds as it is usually folded, in exactly one way', () => {
    // Miura 1985: a rigid-foldable corrugation; its layers leave no choice.
    for (const [columns, rows] of [
      [2, 2],
      [5, 4],
      [9, 8],
    ]) {
      const verdict = checkFoldability(miura(columns, rows));
      expect(verdict.verdict).toBe('folds');
      expect(verdict.states).toEqual({ count: 1n, atLeast: false });
    }
  });
});
