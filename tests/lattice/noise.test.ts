/** Short weak strokes between strong lines are noise if they are many and tied to nothing; common practice, no source. The lines are drawn, so which is which is known. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { findLattice } from '../../pipeline/lattice/lattice.ts';
import { withoutNoise } from '../../pipeline/lattice/noise.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { blankSheet, type Line, level, line, PX_PER_UNIT, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 3;
const BLACK: Colour = [0, 0, 0];
const PALE: Colour = [150, 150, 150];
/** A grid of eight with its corner diagonals. */
const CREASES: readonly Line[] = [
  ...[0, 0.125, 0.25, 0.5, 0.625, 0.875, 1].flatMap((k) => [level(k), upright(k)]),
  line(0, 0, 1, 1),
  line(0, 1, 1, 0),
];
/** Two long lines between grid points, as long as half a side. */
const PALE_CREASES: readonly Line[] = [line(0.375, 0, 0.375, 0.5), line(0.375, 0.5, 0.75, 0.125)];

/** Short strokes anywhere, away from the sides, all leaning one way within 15 degrees or so, as moire does. */
const SPECKS: readonly Line[] = (() => {
  const random = makeRandom(7);
  return Array.from({ length: 60 }, (): Line => {
    const [x, y, turn, length] = [
      random.range(0.03, 0.97),
      random.range(0.03, 0.97),
      random.range(1.0, 1.25),
      random.range(0.035, 0.05),
    ];
    return line(x, y, x + length * Math.cos(turn), y + length * Math.sin(turn));
  });
})();

function drawn(lines: readonly (readonly [Line, Colour, number])[]) {
  const at = ([x, y]: readonly [number, number]) =>
    [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;
  const ink = fieldOf(
    SIZE,
    paint(
      SIZE,
      SIZE,
      lines.map(([[a, b], colour, width]) => bar(at(a), at(b), width, colour)),
    ),
    WIDTH_PX,
  );
  return { ink, strokes: findStrokes(ink) };
}

/** Length of the segments that run along one of the lines, px. */
function along(strokes: Strokes, lines: readonly Line[]): number {
  let sum = 0;
  for (const s of strokes.segments) {
    const [x, y] = [(s.x - sheet.originPx[0]) / PX_PER_UNIT, (sheet.originPx[1] - s.y) / PX_PER_UNIT];
    const on = lines.some(([[ax, ay], [bx, by]]) => {
      const length = Math.hypot(bx - ax, by - ay);
      const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
      const t = (x - ax) * dx + (y - ay) * dy;
      const turn = Math.abs(Math.cos(s.angle) * dy + Math.sin(s.angle) * dx);
      return t > 0 && t < length && Math.abs((x - ax) * dy - (y - ay) * dx) < 2 / PX_PER_UNIT && turn < 0.1;
    });
    if (on) sum += s.length;
  }
  return sum;
}

const strong = CREASES.map((l) => [l, BLACK, WIDTH_PX] as const);

describe('a pattern among sixty short pale strokes', () => {
  const { ink, strokes } = drawn([
    ...SPECKS.map((l) => [l, PALE, 1] as const),
    ...strong,
    ...PALE_CREASES.map((l) => [l, PALE, 1] as const),
  ]);
  const before = along(strokes, SPECKS);
  const { strokes: clear, noise } = withoutNoise(strokes, ink, sheet);

  it('loses the short strokes, and they are told', () => {
    expect(before).toBeGreaterThan(1000);
    expect(along(clear, SPECKS)).toBeLessThan(0.1 * before);
    expect(noise.length).toBeGreaterThan(40);
  });

  it('keeps its lines', () => {
    expect(along(clear, CREASES)).toBeGreaterThan(0.98 * along(strokes, CREASES));
  });

  it('keeps long pale lines of its own grid, once the grid is known', () => {
    const lattice = findLattice(clear, sheet);
    expect(lattice.pitch).toMatchObject({ divisions: 8 });
    const again = withoutNoise(strokes, ink, sheet, lattice);
    expect(along(again.strokes, PALE_CREASES)).toBeGreaterThan(0.9 * along(strokes, PALE_CREASES));
    expect(along(again.strokes, SPECKS)).toBeLessThan(0.1 * before);
  });
});

describe('nothing is left out', () => {
  it('of a pattern with many short pale creases: their ends lie at others', () => {
    const rungs = Array.from({ length: 8 }, (_, i) => (i + 0.5) / 8).flatMap((y) => [
      line(0.25, y, 0.5, y),
      line(0.5, y, 0.625, y),
    ]);
    const { ink, strokes } = drawn([...rungs.map((l) => [l, PALE, 1] as const), ...strong]);
    expect(along(strokes, rungs)).toBeGreaterThan(1000);
    expect(withoutNoise(strokes, ink, sheet)).toEqual({ strokes, noise: [] });
  });

  it('of a clear drawing', () => {
    const { ink, strokes } = drawn(strong);
    expect(withoutNoise(strokes, ink, sheet)).toEqual({ strokes, noise: [] });
  });
});
