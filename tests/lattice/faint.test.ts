/** Folds of the sheet and print of its other side are told from creases by their ink alone; common practice, no source. */
import { describe, expect, it } from 'vitest';
import { withoutFaint } from '../../pipeline/lattice/faint.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import { blankSheet, type Line, level, line, PX_PER_UNIT, SIDES, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 2.5;
const BLACK: Colour = [0, 0, 0];
const CREASES: readonly Line[] = [
  ...SIDES,
  line(0, 0, 1, 1),
  line(0, 1, 1, 0),
  upright(0.25),
  upright(0.75),
  level(0.25),
  level(0.75),
];
const FOLD = line(0, 0.4, 1, 0.43);

function partedFrom(creases: readonly (readonly [Line, Colour])[]) {
  const at = ([x, y]: readonly [number, number]) =>
    [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;
  const patches = creases.map(([[a, b], colour]) => bar(at(a), at(b), WIDTH_PX, colour));
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, patches), WIDTH_PX);
  const drawn = findStrokes(ink);
  return { drawn, ...withoutFaint(drawn, ink, sheet) };
}

const inBlack = CREASES.map((l) => [l, BLACK] as const);

describe('a line across the sheet with a quarter of the ink of all others', () => {
  const { drawn, strokes, faint } = partedFrom([...inBlack, [FOLD, [195, 195, 195]]]);
  // Of a point of the line: the height of the line there, paper px.
  const foldHeight = (x: number): number =>
    sheet.originPx[1] - (0.4 + (0.03 * (x - sheet.originPx[0])) / PX_PER_UNIT) * PX_PER_UNIT;
  const onFold = ({ x, y }: { x: number; y: number }): boolean => Math.abs(y - foldHeight(x)) < 2;

  it('is drawn, left out and told', () => {
    expect(drawn.segments.filter(onFold).reduce((sum, s) => sum + s.length, 0)).toBeGreaterThan(0.8 * PX_PER_UNIT);
    expect(strokes.segments.filter((s) => onFold(s) && s.length > 20)).toEqual([]);
    expect(faint.length).toBeGreaterThan(0);
    expect(faint.every(onFold)).toBe(true);
  });

  it('takes no crease with it', () => {
    const length = (of: typeof drawn): number =>
      of.segments.filter((s) => !onFold(s)).reduce((sum, s) => sum + s.length, 0);
    expect(length(strokes)).toBeGreaterThan(0.99 * length(drawn));
  });
});

describe('nothing is left out', () => {
  it('of a drawing in one ink', () => {
    const { drawn, strokes, faint } = partedFrom(inBlack);
    expect(faint).toEqual([]);
    expect(strokes.ridges.count).toBeGreaterThan(0.99 * drawn.ridges.count);
  });

  it('of a drawing in black and pale grey', () => {
    const { drawn, strokes, faint } = partedFrom(
      CREASES.map((l, i) => [l, i % 2 && i > 3 ? [190, 190, 190] : BLACK] as const),
    );
    expect(faint).toEqual([]);
    expect(strokes.ridges.count).toBeGreaterThan(0.99 * drawn.ridges.count);
  });
});
