/** Strokes that the network overlooks on paper without grain. The network is played by a map of lines with parts wiped out; the drawings are invented. */
import { describe, expect, it } from 'vitest';
import type { InkField } from '../../pipeline/ink/ink.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import { bar, fieldOf, type Patch, type Point, paint } from '../ink/painted.ts';

const SIZE = 400;
const WIDTH_PX = 3;
const LINES: readonly (readonly [Point, Point])[] = [
  [
    [40, 40],
    [360, 40],
  ],
  [
    [360, 40],
    [360, 360],
  ],
  [
    [360, 360],
    [40, 360],
  ],
  [
    [40, 360],
    [40, 40],
  ],
  [
    [40, 200],
    [360, 200],
  ],
  [
    [200, 40],
    [200, 360],
  ],
];

/** The field of the lines and of `more`, of which the network sees nothing within the window from `left`, `top` to `right`, `bottom`. */
function lostWithin(
  window: readonly [number, number, number, number],
  more: readonly Patch[] = [],
  plain = true,
): InkField {
  const field = fieldOf(SIZE, paint(SIZE, SIZE, [...LINES.map(([a, b]) => bar(a, b, WIDTH_PX)), ...more]), WIDTH_PX);
  const [left, top, right, bottom] = window;
  const line = field.density.map((v, i) => {
    const [x, y] = [i % SIZE, Math.floor(i / SIZE)];
    return x >= left && x < right && y >= top && y < bottom ? 0 : v;
  });
  return { ...field, plain, line };
}

/** Whether some stroke runs along the level line at `y` through `x`. */
const isSeen = (ink: InkField, x: number, y: number): boolean =>
  findStrokes(ink).segments.some(
    (s) => Math.abs(s.y - y) < 1.5 && Math.abs(s.x - x) < s.length / 2 && Math.abs(Math.sin(s.angle)) < 0.1,
  );

describe('a stroke that the network overlooked', () => {
  it('is seen by its ink where it begins and ends at others', () => {
    expect(isSeen(lostWithin([210, 190, 350, 210]), 280, 200)).toBe(true);
  });

  it('is not looked for on paper with grain', () => {
    expect(isSeen(lostWithin([210, 190, 350, 210], [], false), 280, 200)).toBe(false);
  });

  it('is none where it ends beside the others, as an arrow does', () => {
    const arrow = bar([240, 100], [310, 100], WIDTH_PX);
    expect(isSeen(lostWithin([220, 60, 340, 140], [arrow]), 275, 100)).toBe(false);
  });

  it('is none where no ink is', () => {
    const seen = findStrokes(lostWithin([0, 0, 0, 0]));
    expect(isSeen(lostWithin([0, 0, 0, 0]), 280, 120)).toBe(false);
    expect(seen.segments.length).toBeGreaterThan(LINES.length - 1);
  });
});
