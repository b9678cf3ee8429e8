/** A second line inside the border is no crease; one that runs on to the sides, or has the creases' colour, may be one. */
import { describe, expect, it } from 'vitest';
import { withoutInnerBorder } from '../../pipeline/lattice/inner-border.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { blankSheet, type Line, level, line, PX_PER_UNIT, SIDES, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const BLACK: Colour = [0, 0, 0];
const RED: Colour = [210, 30, 30];
const BLUE: Colour = [30, 30, 200];
const D = 0.0125;
const place = ([x, y]: PatternPoint): [number, number] => [
  sheet.originPx[0] + x * PX_PER_UNIT,
  sheet.originPx[1] - y * PX_PER_UNIT,
];
const CREASES: readonly [Line, Colour][] = [
  [line(0, 0, 1, 1), RED],
  [line(0, 1, 1, 0), BLUE],
  [level(0.5), RED],
  [upright(0.25), BLUE],
  [upright(0.75), RED],
];
const FRAME: readonly Line[] = [
  line(D, D, 1 - D, D),
  line(1 - D, D, 1 - D, 1 - D),
  line(1 - D, 1 - D, D, 1 - D),
  line(D, 1 - D, D, D),
];

function lengthWith(more: readonly (readonly [Line, Colour])[]): { before: number; after: number; at: unknown } {
  const bars = [...CREASES, ...SIDES.map((l) => [l, BLACK] as const), ...more].map(([[a, b], colour]) =>
    bar(place(a), place(b), 2, colour),
  );
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, bars), 2);
  const all = findStrokes(ink);
  const { strokes, at } = withoutInnerBorder(all, ink, sheet);
  const sum = (of: typeof all): number => of.segments.reduce((s, { length }) => s + length, 0);
  return { before: sum(all), after: sum(strokes), at };
}

describe('a line all round, an eightieth inside the border', () => {
  it("is left out where it ends in its own corners and has the border's ink", () => {
    const { before, after, at } = lengthWith(FRAME.map((l) => [l, BLACK]));
    expect(at).not.toBeNull();
    expect(before - after).toBeGreaterThan(3.7 * PX_PER_UNIT);
    expect(before - after).toBeLessThan(4.1 * PX_PER_UNIT);
  });

  it('is a pleat where its lines run on to the sides', () => {
    const pleats = [level(D), level(1 - D), upright(D), upright(1 - D)];
    expect(lengthWith(pleats.map((l) => [l, BLACK])).at).toBeNull();
  });

  it("may be a crease where it has the creases' ink", () => {
    expect(lengthWith(FRAME.map((l) => [l, RED])).at).toBeNull();
  });

  it('on three sides only is none', () => {
    expect(lengthWith(FRAME.slice(1).map((l) => [l, BLACK])).at).toBeNull();
  });
});
