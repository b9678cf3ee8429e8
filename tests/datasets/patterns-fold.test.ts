import { describe, expect, it } from 'vitest';
import { checkPattern } from '../../datasets/patterns/check.ts';
import { makePattern, patternFamilies, traditionalBases } from '../../datasets/patterns/patterns.ts';
import type { Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';

const verdict = (pattern: Pattern): string => checkFoldability(pattern, { countLimitMs: 0, repairs: false }).verdict;

// That the traditional bases fold flat is known to every folder; a sheet folded step by step lies flat. The layer-order
// solver was written apart from the makers, so each bears witness for the other.
describe('what is said to fold flat does', () => {
  it.each(traditionalBases().map((b) => [b.name, b.pattern] as const))('traditional %s base', (_, pattern) => {
    expect(verdict(pattern)).toBe('folds');
  });

  /** Layer orders of larger ones are another test's business. */
  const MOST_CREASES = 250;
  it.each(patternFamilies)('%s', (family) => {
    const sure = Array.from({ length: 8 }, (_, i) => makePattern(family, 700 + i)).filter(
      (n) => n.lawful !== 'local' && n.pattern.creases.length <= MOST_CREASES,
    );
    for (const { name, pattern } of sure) expect([name, verdict(pattern)]).toEqual([name, 'folds']);
    const onlyLocal = ['waterbomb', 'twist', 'box', 'reverse'].includes(family);
    expect(sure.length > 0).toBe(!onlyLocal);
  });
});

// Big-little-big (Kawasaki 1989; Hull 1994): a sector smaller than both neighbours lies between unlike letters. The vertex
// here has sectors 45, 90, 135, 90 degrees, obeys Kawasaki and Maekawa, and cannot fold.
it('the checker refuses a vertex that passes both sums and yet cannot fold', () => {
  const vertices: PatternPoint[] = [
    [0, 0],
    [0.5, 0],
    [1, 0],
    [1, 0.5],
    [1, 1],
    [0, 1],
    [0.5, 0.5],
  ];
  const border = [0, 1, 2, 3, 4, 5].map((from) => ({ from, to: (from + 1) % 6, kind: 'B' as Kind }));
  // Spokes at 0, 45, 135 and 270 degrees; the first two bound the sector of 45.
  const lettered = (letters: readonly Kind[]): Pattern => ({
    vertices,
    exact: vertices.map(() => null),
    creases: [...border, ...[3, 4, 5, 1].map((to, i) => ({ from: 6, to, kind: letters[i] }))],
    lattice: null,
  });
  expect(checkPattern(lettered(['V', 'V', 'V', 'M'])).map((f) => f.what)).toEqual(['crimp']);
  expect(checkPattern(lettered(['V', 'M', 'V', 'V']))).toEqual([]);
});
