/** Circles behind the creases are left out however many creases part them; creases that touch them are kept. All lines are drawn, so which is which is known. */
import { describe, expect, it } from 'vitest';
import { withoutCircles } from '../../pipeline/lattice/circles.ts';
import type { Segment } from '../../pipeline/strokes/segments.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { type Line, line, PX_PER_UNIT, SIDES } from '../graph/hand.ts';
import type { Colour } from '../ink/painted.ts';
import { creases, inkOf, lengthOf, place, type Round, rims, runsRound } from './rounds.ts';

const PALE: Colour = [205, 215, 235];
const PALE_PX = 2;

const CIRCLES: readonly Round[] = [
  { x: 0.3, y: 0.3, radius: 0.22 },
  { x: 0.72, y: 0.3, radius: 0.2 },
  { x: 0.5, y: 0.68, radius: 0.221 },
];
/** Where a crease touches the first two. */
const TOUCHING = 0.52;
/** Spokes out of each circle's middle cut it into short arcs beside that crease. */
const CREASES: readonly Line[] = [
  ...SIDES,
  ...CIRCLES.flatMap(({ x, y, radius }) =>
    Array.from({ length: 14 }, (_, k): Line => {
      const [c, s] = [Math.cos((k * Math.PI) / 7 + 0.1), Math.sin((k * Math.PI) / 7 + 0.1)];
      return line(x, y, x + 1.2 * radius * c, y + 1.2 * radius * s);
    }),
  ),
  line(TOUCHING, 0.04, TOUCHING, 0.44),
];

function drawn(circles: readonly Round[]) {
  const ink = inkOf([...rims(circles, PALE_PX, PALE), ...creases(CREASES)]);
  const before = findStrokes(ink);
  return { before, ...withoutCircles(before, ink) };
}

const touches = ({ x }: Segment): boolean => Math.abs(x - place([TOUCHING, 0])[0]) < 0.004 * PX_PER_UNIT;

/** Length of segments that lie along a circle, those of the touching crease aside, px. */
const round = ({ segments }: Strokes): number => lengthOf(segments.filter((s) => runsRound(s, CIRCLES) && !touches(s)));

describe('pale circles behind the creases, parted by each of many spokes', () => {
  const { strokes, before, chords } = drawn(CIRCLES);

  it('are left out', () => {
    expect(round(before)).toBeGreaterThan(1500);
    expect(round(strokes)).toBeLessThan(0.05 * round(before));
    expect(chords.length).toBeGreaterThan(25);
  });

  it('take no crease with them, one that touches two of them neither', () => {
    const alone = drawn([]).strokes;
    expect(lengthOf(strokes.segments)).toBeGreaterThan(0.97 * lengthOf(alone.segments));
    expect(lengthOf(strokes.segments.filter(touches))).toBeGreaterThan(0.37 * PX_PER_UNIT);
  });
});

it('strokes without circles are the same afterwards', () => {
  const { strokes, before } = drawn([]);
  expect(strokes).toBe(before);
});
