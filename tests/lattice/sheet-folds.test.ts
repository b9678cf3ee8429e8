/** A fold of the paper runs on past the drawing as pale as it is within, creases end at the border; common practice, no source. */
import { describe, expect, it } from 'vitest';
import { middleOfFold, withoutSheetFolds } from '../../pipeline/lattice/sheet-folds.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { type Line, level, line, PX_PER_UNIT, SIDES, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';
import { sheetWith } from '../unit-sheet.ts';

const MARGIN_PX = 30;
const sheet = sheetWith(PX_PER_UNIT, MARGIN_PX);
const SIZE = PX_PER_UNIT + 2 * MARGIN_PX;
const WIDTH_PX = 2.5;
const BLACK: Colour = [0, 0, 0];
/** Half the ink, that a second ink of the drawing might have too. */
const PALE: Colour = [145, 145, 145];
const DESK: Colour = [190, 190, 190];
const CREASES: readonly Line[] = [...SIDES, line(0, 0, 1, 1), upright(0.25), upright(0.75), level(0.25), level(0.75)];
/** Beyond what is seen of the paper, at both ends. */
const FOLD = line(-0.1, 0.34, 1.1, 0.52);
const AGAINST_DIAGONAL = line(-0.1, 1.1, 1.1, -0.1);

const at = ([x, y]: readonly [number, number]) =>
  [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;

function without(lines: readonly (readonly [Line, Colour])[], deskPx = 0) {
  const patches = lines.map(([[a, b], colour]) => bar(at(a), at(b), WIDTH_PX, colour));
  const rim = (from: readonly [number, number], to: readonly [number, number]) => bar(from, to, 2 * deskPx, DESK);
  const desk =
    deskPx > 0
      ? [rim([0, 0], [SIZE, 0]), rim([0, SIZE], [SIZE, SIZE]), rim([0, 0], [0, SIZE]), rim([SIZE, 0], [SIZE, SIZE])]
      : [];
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, [...patches, ...desk]), WIDTH_PX);
  const drawn = findStrokes(ink);
  return { drawn, ...withoutSheetFolds(drawn, ink, sheet) };
}

/** Length of the segments on a line, px. */
function along({ segments }: Strokes, [a, b]: Line): number {
  const [[ax, ay], [bx, by]] = [at(a), at(b)];
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  return segments
    .filter(({ x, y, angle }) => {
      const beside = Math.abs((x - ax) * dy - (y - ay) * dx);
      return beside < 2 && Math.abs(Math.cos(angle) * dy - Math.sin(angle) * dx) < 0.1;
    })
    .reduce((sum, s) => sum + s.length, 0);
}

const inBlack = CREASES.map((l) => [l, BLACK] as const);

describe('a pale line that runs on past the border at both ends', () => {
  for (const [name, fold, deskPx] of [
    ['to the end of the raster', FOLD, 0],
    ['through two corners', AGAINST_DIAGONAL, 0],
    ['to the edge of the paper, some px off', FOLD, MARGIN_PX - 12],
  ] as const) {
    it(`is left out and told: ${name}`, () => {
      const { drawn, strokes, folds } = without([...inBlack, [fold, PALE]], deskPx);
      expect(along(drawn, fold)).toBeGreaterThan(0.8 * PX_PER_UNIT);
      expect(along(strokes, fold)).toBeLessThan(0.05 * PX_PER_UNIT);
      expect(folds.length).toBe(1);
      const [[x0, y0], [x1, y1]] = fold;
      const [x, y] = middleOfFold(folds[0], sheet);
      expect(Math.abs(y - y0 - ((x - x0) * (y1 - y0)) / (x1 - x0)) * PX_PER_UNIT).toBeLessThan(1.5);
      for (const crease of CREASES) expect(along(strokes, crease)).toBeGreaterThan(0.97 * along(drawn, crease));
    });
  }

  it('takes no crease with it that is drawn over it', () => {
    const over = line(0.3, 0.7, 0.6, 0.4);
    const { strokes, folds } = without([...inBlack, [AGAINST_DIAGONAL, PALE], [over, BLACK]]);
    expect(folds.length).toBe(1);
    const length = 0.3 * Math.SQRT2 * PX_PER_UNIT;
    expect(Math.abs(along(strokes, AGAINST_DIAGONAL) - length)).toBeLessThan(20);
  });
});

describe('nothing is left out where', () => {
  const untouched = (lines: readonly (readonly [Line, Colour])[], deskPx = 0) => {
    const { drawn, strokes, folds } = without(lines, deskPx);
    expect(folds).toEqual([]);
    expect(strokes).toBe(drawn);
  };

  it('a pale crease ends at the border', () => untouched([...inBlack, [line(0, 0.355, 1, 0.505), PALE]]));

  it('a pale crease runs on past one end only', () => untouched([...inBlack, [line(-0.1, 0.34, 1, 0.505), PALE]]));

  it('a hand overshoots the border by 3 px', () => {
    const [over, slope] = [3 / PX_PER_UNIT, 0.15];
    untouched([...inBlack, [line(-over, 0.355 - slope * over, 1 + over, 0.505 + slope * over), PALE]]);
  });

  it('a line as strong as the drawing runs on to both ends', () => untouched([...inBlack, [FOLD, BLACK]]));

  it('a pale crease is continued by marks as strong as the drawing', () =>
    untouched([
      ...inBlack,
      [line(0, 0.355, 1, 0.505), PALE],
      [line(-0.1, 0.34, -0.006, 0.3541), BLACK],
      [line(1.006, 0.5059, 1.1, 0.52), BLACK],
    ]));

  it('the paper is squared: many pale lines run across it', () =>
    untouched([
      ...inBlack,
      ...Array.from({ length: 15 }, (_, k) => [line(-0.1, (k + 0.5) / 15, 1.1, (k + 0.5) / 15), PALE] as const),
      ...Array.from({ length: 15 }, (_, k) => [line((k + 0.5) / 15, -0.1, (k + 0.5) / 15, 1.1), PALE] as const),
    ]));
});
