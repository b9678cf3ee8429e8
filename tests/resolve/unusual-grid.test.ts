/** Sparse drawings on unusual grids. That people divide paper by 2, 3, 5 and 7 is common practice, no source. */
import { describe, expect, it } from 'vitest';
import { unusualGridFindings } from '../../pipeline/resolve/unusual-grid.ts';
import type { Crease, Pattern, PatternPoint } from '../../pipeline/types.ts';

/** The unit square with creases across it at the given lines of an n by n grid. */
function pleats(n: number, lines: readonly number[], halfUnits = false): Pattern {
  const steps = halfUnits ? 2 * n : n;
  const vertices: PatternPoint[] = [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
  ];
  const creases: Crease[] = vertices.map((_, i) => ({ from: i, to: (i + 1) % 4, kind: 'B' }));
  for (const k of lines) {
    vertices.push([0, k / steps], [1, k / steps]);
    creases.push({ from: vertices.length - 2, to: vertices.length - 1, kind: 'M' });
  }
  const lattice = { kind: 'square', divisionsX: n, divisionsY: n, halfUnits, residual: 0, fit: 1 } as const;
  return { vertices, creases, exact: vertices.map(() => null), lattice };
}

const namedIn = (pattern: Pattern) => unusualGridFindings(pattern).map(({ crease }) => crease);

describe('a sparse drawing on an unusual grid', () => {
  it('two pleats at the first seventeenths may be at the first sixteenths: they are doubted, the sides are not', () => {
    expect(namedIn(pleats(17, [1, 2]))).toEqual([4, 5]);
    expect(namedIn(pleats(17, [2, 3], true))).toEqual([4, 5]);
  });

  it('lines all over the sheet leave no other grid', () => {
    expect(namedIn(pleats(17, [1, 4, 7, 9, 12, 15]))).toEqual([]);
  });

  it('usual numbers of divisions are believed', () => {
    for (const n of [8, 12, 15, 16, 18, 20, 24, 28, 32]) expect(namedIn(pleats(n, [1, 2]))).toEqual([]);
  });
});
