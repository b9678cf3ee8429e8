import { describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';

type Point = readonly [number, number];

const TAN = Math.SQRT2 - 1; // tan 22.5°
const HALF_DIAGONAL = Math.SQRT1_2;

/**
 * Corners of the folded outline (its convex hull) for a sheet of side 1, in any position. Traditional folds; values from plane
 * geometry by hand: every angle is a multiple of 22.5 degrees, and where raw edges meet on an axis it carries their length.
 */
const OUTLINES: readonly (readonly [name: string, corners: readonly Point[], why: string])[] = [
  [
    'diagonal',
    [
      [0, 0],
      [1, 0],
      [0, 1],
    ],
    'half the square',
  ],
  [
    'book',
    [
      [0, 0],
      [1, 0],
      [1, 0.5],
      [0, 0.5],
    ],
    'half the square',
  ],
  [
    'cupboard',
    [
      [0, 0],
      [1, 0],
      [1, 0.5],
      [0, 0.5],
    ],
    'two quarters folded in',
  ],
  [
    'blintz',
    [
      [0, 0.5],
      [0.5, 0],
      [1, 0.5],
      [0.5, 1],
    ],
    'four corners to the centre',
  ],
  [
    'preliminary',
    [
      [0, 0],
      [0.5, 0],
      [0.5, 0.5],
      [0, 0.5],
    ],
    'a quarter of the square',
  ],
  [
    'waterbomb',
    [
      [0, 0],
      [1, 0],
      [0.5, 0.5],
    ],
    'a quarter of the square, cut along the diagonals',
  ],
  [
    'kite',
    [
      [0, 0],
      [1, TAN],
      [1, 1],
      [TAN, 1],
    ],
    'two edges to the diagonal',
  ],
  ['diamond', rhombus(2 * HALF_DIAGONAL), 'the diagonal stays its axis'],
  ['fish', rhombus(2 * HALF_DIAGONAL), 'as the diamond, with two flaps on top'],
  ['bird', rhombus(1), 'raw edges of length 1 lie on its axis'],
  [
    'windmill',
    [
      [0.5, 0],
      [1, 0.5],
      [0.5, 1],
      [0, 0.5],
    ],
    'four vanes reach to the middles of the sides',
  ],
];

/** With half angles of 22.5 degrees at both ends of the axis. */
function rhombus(axis: number): Point[] {
  const half = (axis / 2) * TAN;
  return [
    [0, 0],
    [axis / 2, -half],
    [axis, 0],
    [axis / 2, half],
  ];
}

describe('folded outlines of the traditional bases', () => {
  it.each(OUTLINES)('%s', (name, corners) => {
    const base = traditionalBases().find((b) => b.name === name);
    expect(base).toBeDefined();
    const verdict = checkFoldability(base!.pattern);
    expect(verdict.verdict).toBe('folds');
    const { x, y } = verdict.folded!.position;
    const hull = convexHull(Array.from(x, (value, i): Point => [value, y[i]]));
    expect(hull).toHaveLength(corners.length);
    const found = distances(hull);
    distances(corners).forEach((d, i) => {
      expect(found[i]).toBeCloseTo(d, 9);
    });
  });

  it('every base in the data folds flat', () => {
    const bases = traditionalBases();
    expect(bases.length).toBeGreaterThanOrEqual(OUTLINES.length);
    for (const { pattern } of bases) expect(checkFoldability(pattern).verdict).toBe('folds');
  });
});

/** Distances between all corners, sorted: the same for congruent outlines. */
function distances(points: readonly Point[]): number[] {
  const all = points.flatMap((p, i) => points.slice(i + 1).map((q) => Math.hypot(p[0] - q[0], p[1] - q[1])));
  return all.sort((a, b) => a - b);
}

/** Corners of the hull, counterclockwise (Andrew 1979). */
function convexHull(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((p, q) => (Math.abs(p[0] - q[0]) > 1e-9 ? p[0] - q[0] : p[1] - q[1]));
  const chain = (list: readonly Point[]): Point[] => {
    const hull: Point[] = [];
    for (const p of list) {
      while (hull.length >= 2 && turn(hull[hull.length - 2], hull[hull.length - 1], p) <= 1e-9) hull.pop();
      hull.push(p);
    }
    return hull.slice(0, -1);
  };
  return [...chain(sorted), ...chain(sorted.reverse())];
}

function turn(a: Point, b: Point, c: Point): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}
