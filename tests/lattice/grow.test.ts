/** Numbering the lines of a grid on a bent sheet: the bend is known exactly, since the test makes it. */
import { describe, expect, it } from 'vitest';
import { bendAt } from '../../pipeline/geometry/bend.ts';
import { sidesOf } from '../../pipeline/geometry/sides.ts';
import { GRID_DIRECTIONS } from '../../pipeline/lattice/grid-directions.ts';
import { growBend } from '../../pipeline/lattice/grow.ts';
import type { StraightSegment } from '../../pipeline/lattice/straight-segment.ts';
import { SQUARE } from '../unit-sheet.ts';

const PX = 1 / 1500;
const sides = sidesOf(SQUARE);
type Place = readonly [number, number];

/** A sheet curled about an upright axis and a little about a level one: seen up to 3 % of the side beside its place, its sides where they were. */
const seenAt = ([x, y]: Place): Place => [
  x + 0.12 * x * (1 - x) * (0.75 + 0.25 * y),
  y - 0.03 * y * (1 - y) * Math.sin(Math.PI * x),
];

/** Pieces of the segment from a to b (the flat sheet), as they are seen. */
function pieces(a: Place, b: Place): StraightSegment[] {
  const count = Math.max(1, Math.round(Math.hypot(b[0] - a[0], b[1] - a[1]) / 0.12));
  return Array.from({ length: count }, (_, i) => {
    const at = (t: number) => seenAt([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
    const [p, q] = [at(i / count), at((i + 1) / count)];
    const angle = (Math.atan2(q[1] - p[1], q[0] - p[0]) + 2 * Math.PI) % Math.PI;
    return { x: (p[0] + q[0]) / 2, y: (p[1] + q[1]) / 2, angle, length: Math.hypot(q[0] - p[0], q[1] - p[1]) };
  });
}

const upright = (k: number) => pieces([k, 0], [k, 1]);
const level = (k: number) => pieces([0, k], [1, k]);
const rising = (k: number) => (k >= 0 ? pieces([0, k], [1 - k, 1]) : pieces([-k, 0], [1, 1 + k]));
const falling = (k: number) => (k <= 1 ? pieces([0, k], [k, 0]) : pieces([k - 1, 1], [1, k - 1]));

/** Every line of the grid must come back to a whole number of divisions. */
function expectOnGrid(segments: readonly StraightSegment[], divisions: number): void {
  const bend = growBend(segments, sides, PX);
  expect(bend).not.toBeNull();
  let moved = 0;
  for (const s of segments) {
    const [bx, by] = bendAt(bend!, s.x, s.y);
    const g = GRID_DIRECTIONS.find(({ angle }) => Math.abs(Math.sin(s.angle - angle)) < 0.2)!;
    const at = divisions * (g.a * (s.x + bx) + g.b * (s.y + by));
    expect(Math.abs(at - Math.round(at))).toBeLessThan(0.12);
    moved = Math.max(moved, Math.hypot(bx, by));
  }
  expect(moved).toBeGreaterThan(0.025);
}

/** Some of the numbers 1 to n - 1, always the same, with no common factor. */
const some = (n: number) => Array.from({ length: n - 1 }, (_, i) => i + 1).filter((k) => k % 5 !== 0 && k % 7 !== 3);

describe('a grid on a curled sheet', () => {
  it.each([12, 20, 33, 48, 64])('of %i divisions is numbered by its upright and level lines', (n) => {
    expectOnGrid(
      some(n).flatMap((k) => [...upright(k / n), ...level(k / n)]),
      n,
    );
  });

  it.each([12, 20, 40])('of %i divisions is numbered by its diagonals alone', (n) => {
    expectOnGrid(
      some(n).flatMap((k) => [...rising(k / n), ...rising(-k / n), ...falling(k / n), ...falling(2 - k / n)]),
      n,
    );
  });

  it('is numbered across a wide gap without lines, where one line more or fewer would fit as well but for the sides', () => {
    const n = 40;
    const near = some(n).filter((k) => k < 16 || k > 26);
    expectOnGrid(
      near.flatMap((k) => [...upright(k / n), ...level(k / n)]),
      n,
    );
  });
});

describe('lines of no grid', () => {
  it('are not bent onto one: the fractions of square roots of primes', () => {
    const primes = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71];
    const at = primes.map((p) => Math.sqrt(p) % 1);
    expect(
      growBend(
        at.flatMap((k) => [...upright(k), ...level(1 - k)]),
        sides,
        PX,
      ),
    ).toBeNull();
  });

  it('and too few lines say nothing', () => {
    expect(growBend([...upright(0.25), ...level(0.5)].slice(0, 8), sides, PX)).toBeNull();
  });
});
