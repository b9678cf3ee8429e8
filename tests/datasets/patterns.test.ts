import { describe, expect, it } from 'vitest';
import { checkPattern } from '../../datasets/patterns/check.ts';
import { makePattern, patternFamilies, traditionalBases } from '../../datasets/patterns/patterns.ts';

/** Seeds of every family that are checked; others than the ones used while writing. */
const SEEDS = Array.from({ length: 40 }, (_, i) => 1000 + i * 17);

// Kawasaki 1989 and Justin 1986 (alternate angles), Maekawa in Kasahara & Takahama 1987; see Hull 2002, arXiv:1307.1065.
describe('every pattern is a planar graph that obeys Kawasaki and Maekawa', () => {
  it.each(patternFamilies)('%s', (family) => {
    for (const seed of SEEDS) {
      const { name, pattern } = makePattern(family, seed);
      expect({ name, faults: checkPattern(pattern) }).toEqual({ name, faults: [] });
      expect(pattern.creases.length).toBeGreaterThan(4);
    }
  });

  it.each(traditionalBases().map((base) => [base.name, base] as const))('traditional %s base', (_, { pattern }) => {
    expect(checkPattern(pattern)).toEqual([]);
    expect(pattern.exact).not.toContain(null);
  });
});

describe('patterns are data', () => {
  it.each(patternFamilies)('%s: the same seed gives the same pattern', (family) => {
    expect(makePattern(family, 5)).toEqual(makePattern(family, 5));
  });
});
