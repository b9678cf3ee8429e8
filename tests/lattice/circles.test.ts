/** Circles behind the creases are left out however many creases part them; creases that touch them are kept. All lines are drawn, so which is which is known. */
import { describe, expect, it } from 'vitest';
import { withoutCircles } from '../../pipeline/lattice/circles.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { blankSheet, type Line, line, PX_PER_UNIT, SIDES } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 2.5;
const BLACK: Colour = [0, 0, 0];
const PALE: Colour = [205, 215, 235];

type Round = { readonly x: number; readonly y: number; readonly radius: number };
const CIRCLES: readonly Round[] = [
  { x: 0.3, y: 0.3, radius: 0.22 },
  { x: 0.72, y: 0.3, radius: 0.2 },
  { x: 0.5, y: 0.68, radius: 0.221 },
];
/** Spokes out of each circle's middle cut it into short arcs, and one crease touches the first two. */
const CREASES: readonly Line[] = [
  ...SIDES,
  ...CIRCLES.flatMap(({ x, y, radius }) =>
    Array.from({ length: 14 }, (_, k): Line => {
      const [c, s] = [Math.cos((k * Math.PI) / 7 + 0.1), Math.sin((k * Math.PI) / 7 + 0.1)];
      return line(x, y, x + 1.2 * radius * c, y + 1.2 * radius * s);
    }),
  ),
  line(0.52, 0.04, 0.52, 0.44),
];

function drawn(circles: readonly Round[]) {
  const place = ([x, y]: readonly [number, number]) =>
    [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;
  const rims = circles.flatMap(({ x, y, radius }) =>
    Array.from({ length: 180 }, (_, k) => {
      const on = (i: number) =>
        place([x + radius * Math.cos((i * Math.PI) / 90), y + radius * Math.sin((i * Math.PI) / 90)]);
      return bar(on(k), on(k + 1), 2, PALE);
    }),
  );
  const straight = CREASES.map(([a, b]) => bar(place(a), place(b), WIDTH_PX, BLACK));
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, [...rims, ...straight]), WIDTH_PX);
  const before = findStrokes(ink);
  return { before, ...withoutCircles(before, ink) };
}

/** Length of segments that lie along a circle, those of the touching crease aside, px. */
function round(strokes: Strokes): number {
  return strokes.segments
    .filter((s) =>
      CIRCLES.some(({ x, y, radius }) => {
        const [dx, dy] = [(s.x - sheet.originPx[0]) / PX_PER_UNIT - x, (sheet.originPx[1] - s.y) / PX_PER_UNIT - y];
        const along = Math.abs(dx * Math.cos(s.angle) - dy * Math.sin(s.angle)) / Math.hypot(dx, dy);
        const touches = Math.abs((s.x - sheet.originPx[0]) / PX_PER_UNIT - 0.52) < 0.004;
        return !touches && Math.abs(Math.hypot(dx, dy) - radius) < 0.006 && along < 0.3;
      }),
    )
    .reduce((sum, s) => sum + s.length, 0);
}

const lengthOf = (strokes: Strokes) => strokes.segments.reduce((sum, s) => sum + s.length, 0);

describe('pale circles behind the creases, parted by each of many spokes', () => {
  const { strokes, before, chords } = drawn(CIRCLES);

  it('are left out', () => {
    expect(round(before)).toBeGreaterThan(1500);
    expect(round(strokes)).toBeLessThan(0.05 * round(before));
    expect(chords.length).toBeGreaterThan(25);
  });

  it('take no crease with them, one that touches two of them neither', () => {
    const alone = drawn([]).strokes;
    expect(lengthOf(strokes)).toBeGreaterThan(0.97 * lengthOf(alone));
    const touching = strokes.segments.filter((s) => Math.abs((s.x - sheet.originPx[0]) / PX_PER_UNIT - 0.52) < 0.004);
    expect(touching.reduce((sum, s) => sum + s.length, 0)).toBeGreaterThan(0.37 * PX_PER_UNIT);
  });
});

it('strokes without circles are the same afterwards', () => {
  const { strokes, before } = drawn([]);
  expect(strokes).toBe(before);
});
