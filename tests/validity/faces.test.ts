import { describe, expect, it } from 'vitest';
import { makePattern, patternFamilies } from '../../datasets/patterns/patterns.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { faceVertices, findFaces } from '../../pipeline/graph/faces.ts';
import type { Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

const families = patternFamilies.flatMap((family) => [1, 2, 3].map((seed) => ({ family, seed })));

/** Square with corners 0..3 and any further points and creases. */
function square(
  points: readonly PatternPoint[] = [],
  creases: readonly (readonly [number, number, Kind])[] = [],
): Pattern {
  const vertices: PatternPoint[] = [[0, 0], [1, 0], [1, 1], [0, 1], ...points];
  const border = [0, 1, 2, 3].map((i) => ({ from: i, to: (i + 1) % 4, kind: 'B' as Kind }));
  return {
    vertices,
    exact: vertices.map(() => null),
    creases: [...border, ...creases.map(([from, to, kind]) => ({ from, to, kind }))],
    lattice: null,
  };
}

describe('findFaces', () => {
  it.each(families)('$family $seed: faces tile the sheet and obey Euler', ({ family, seed }) => {
    const { pattern } = makePattern(family, seed);
    const faces = findFaces(pattern, { guides: true });
    expect(faces.outside).toHaveLength(1);
    // Euler's formula for one connected piece: V - E + F = 2, outer face counted.
    expect(pattern.vertices.length - pattern.creases.length + faces.count + 1).toBe(2);
    const covered = faces.area.reduce((a, b) => a + b, 0);
    expect(covered).toBeCloseTo(hullArea(pattern.vertices), 9);
    for (let f = 0; f < faces.count; f++) expect(faces.area[f]).toBeGreaterThan(0);
    pattern.creases.forEach(({ kind }, c) => {
      const sides = [faces.faceOf[2 * c], faces.faceOf[2 * c + 1]];
      expect(sides.filter((f) => f < 0)).toHaveLength(kind === 'B' ? 1 : 0);
    });
  });

  it('gives each face counterclockwise, with its half-edges on its own left', () => {
    const pattern = square([], [[0, 2, 'V']]);
    const faces = findFaces(pattern);
    expect(faces.count).toBe(2);
    const rings = [0, 1].map((f) => faceVertices(pattern, faces, f));
    expect(rings.map((ring) => [...ring].sort())).toEqual(
      expect.arrayContaining([
        [0, 1, 2],
        [0, 2, 3],
      ]),
    );
    expect(faces.area[0]).toBeCloseTo(0.5, 12);
  });

  it('leaves guides out unless asked', () => {
    const pattern = square([], [[0, 2, 'F']]);
    expect(findFaces(pattern).count).toBe(1);
    expect(findFaces(pattern, { guides: true }).count).toBe(2);
  });

  it('tells a loose piece from the sheet', () => {
    const loose = square(
      [
        [0.4, 0.4],
        [0.6, 0.4],
        [0.5, 0.6],
      ],
      [
        [4, 5, 'M'],
        [5, 6, 'M'],
        [6, 4, 'M'],
      ],
    );
    expect(findFaces(loose).outside).toHaveLength(2);
  });
});

describe('checkPlanarGraph', () => {
  it.each(families)('$family $seed is sound', ({ family, seed }) => {
    expect(checkPlanarGraph(makePattern(family, seed).pattern)).toEqual([]);
  });

  it.each([
    [
      'two creases that cross',
      square(
        [],
        [
          [0, 2, 'M'],
          [1, 3, 'M'],
        ],
      ),
      ['crossing'],
    ],
    ['a crease over another', square([[0.5, 0]], [[0, 4, 'M']]), ['doubled']],
    [
      'a crease drawn twice',
      square(
        [],
        [
          [0, 2, 'M'],
          [2, 0, 'V'],
        ],
      ),
      ['doubled'],
    ],
    [
      'an end in the middle of a crease',
      square(
        [[0.5, 0.5]],
        [
          [0, 2, 'M'],
          [4, 1, 'V'],
        ],
      ),
      ['vertex-on-crease'],
    ],
    ['two vertices on one spot', square([[1, 1]], [[0, 4, 'M']]), ['same-place', 'vertex-on-crease']],
    ['a crease without length', square([[0.5, 0.5]], [[4, 4, 'M']]), ['no-length']],
    ['a vertex nowhere', square([[Number.NaN, 0]], [[0, 4, 'M']]), ['not-finite']],
    ['a crease to no vertex', square([], [[0, 9, 'M']]), ['bad-index']],
  ])('finds %s', (_, pattern, codes) => {
    const found = checkPlanarGraph(pattern).map((f) => f.code);
    for (const code of codes) expect(found).toContain(code);
  });

  it('compares exact with floating coordinates', () => {
    const pattern = square();
    const half = { p: 1, r: 0, q: 2, root: 2 } as const;
    const exact = [[half, half] as const, null, null, null];
    expect(checkPlanarGraph({ ...pattern, exact }).map((f) => f.code)).toEqual(['exact-differs']);
  });
});

/** Area of the convex hull: sheets of the data are convex (Andrew 1979). */
function hullArea(points: readonly PatternPoint[]): number {
  const sorted = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const chain = (list: readonly PatternPoint[]): PatternPoint[] => {
    const hull: PatternPoint[] = [];
    for (const p of list) {
      while (hull.length >= 2 && turn(hull[hull.length - 2], hull[hull.length - 1], p) <= 0) hull.pop();
      hull.push(p);
    }
    return hull.slice(0, -1);
  };
  const hull = [...chain(sorted), ...chain(sorted.reverse())];
  return hull.reduce((sum, p, i) => sum + turn([0, 0], p, hull[(i + 1) % hull.length]) / 2, 0);
}

function turn(a: PatternPoint, b: PatternPoint, c: PatternPoint): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}
