import { describe, expect, it } from 'vitest';
import { checkPattern } from '../../datasets/patterns/check.ts';
import {
  makePattern,
  type PatternFamily,
  patternFamilies,
  traditionalBases,
} from '../../datasets/patterns/patterns.ts';
import type { Pattern } from '../../pipeline/types.ts';

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

// Common practice, no source: what published box-pleated and 22.5-degree patterns look like.
describe('the families reach what designers draw', () => {
  const many = (family: PatternFamily) => Array.from({ length: 60 }, (_, seed) => makePattern(family, seed).pattern);
  const degree = (pattern: Pattern): number => {
    const ends = pattern.vertices.map(() => 0);
    for (const { from, to } of pattern.creases) {
      ends[from]++;
      ends[to]++;
    }
    return Math.max(...ends);
  };

  it.each(['pleat', 'box'] as const)(
    '%s: from under 100 to over 1,000 creases, 8 at a vertex, half units',
    (family) => {
      const patterns = many(family);
      const counts = patterns.map((p) => p.creases.length);
      expect(Math.min(...counts)).toBeLessThan(100);
      expect(Math.max(...counts)).toBeGreaterThan(1000);
      expect(patterns.some((p) => degree(p) >= 8)).toBe(true);
      expect(patterns.some((p) => p.lattice?.halfUnits)).toBe(true);
      expect(patterns.every((p) => p.lattice?.fit === 1 && !p.exact.includes(null))).toBe(true);
    },
  );

  it.each(['pleat', 'box', 'angle22', 'reverse'] as const)(
    '%s: straight lines change kind along their length',
    (family) => {
      const changes = many(family).filter((p) =>
        p.creases.some((c, i) =>
          p.creases.some((d, j) => {
            if (i === j || c.to !== d.from || c.kind === d.kind || c.kind === 'B' || d.kind === 'B') return false;
            const [a, b, e] = [p.vertices[c.from], p.vertices[c.to], p.vertices[d.to]];
            return Math.abs((b[0] - a[0]) * (e[1] - b[1]) - (b[1] - a[1]) * (e[0] - b[0])) < 1e-12;
          }),
        ),
      );
      expect(changes.length).toBeGreaterThan(30);
    },
  );

  it('angle22 and reverse: fans of 8 and more, exact coordinates with √2', () => {
    for (const family of ['angle22', 'reverse'] as const) {
      const patterns = many(family);
      expect(patterns.filter((p) => degree(p) >= 8).length).toBeGreaterThan(20);
      expect(patterns.every((p) => !p.exact.includes(null))).toBe(true);
      expect(patterns.some((p) => p.exact.some((e) => e && e[0].r !== 0))).toBe(true);
    }
  });

  it('guided: guides are there and are no part of the laws', () => {
    for (const p of many('guided').slice(0, 20)) expect(p.creases.some((c) => c.kind === 'F')).toBe(true);
  });
});
