/** Lines printed on the paper run on past the drawing, evenly spaced, all over the page; what is drawn ends at its outline; common practice, no source. */
import { describe, expect, it } from 'vitest';
import { fitLattice } from '../../pipeline/lattice/fit.ts';
import { withoutRuled } from '../../pipeline/lattice/ruled.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { type Line, level, line, PX_PER_UNIT, SIDES, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';
import { sheetWith } from '../unit-sheet.ts';

const MARGIN_PX = 30;
const sheet = sheetWith(PX_PER_UNIT, MARGIN_PX);
const SIZE = PX_PER_UNIT + 2 * MARGIN_PX;
const WIDTH_PX = 2.5;
const BLACK: Colour = [0, 0, 0];
const PALE: Colour = [175, 190, 225];
const STEP = 1 / 11.3;
/** Up the sheet by so much from the first to the last of its width. */
const SLANT = 0.02;
const CREASES: readonly Line[] = [...SIDES, line(0, 0, 1, 1), line(0, 1, 1, 0), upright(0.5), level(0.5)];

type Inked = readonly [Line, Colour];
const at = ([x, y]: readonly [number, number]) =>
  [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;
const inkOf = (lines: readonly Inked[], bow: (x: number) => number = () => 0) => {
  const patches = lines.flatMap(([[a, b], colour]) => {
    if (colour === BLACK) return [bar(at(a), at(b), WIDTH_PX, colour)];
    const place = (t: number) => {
      const x = a[0] + t * (b[0] - a[0]);
      return at([x, a[1] + t * (b[1] - a[1]) + bow(x)]);
    };
    return Array.from({ length: 40 }, (_, k) => bar(place(k / 40), place((k + 1) / 40), WIDTH_PX, colour));
  });
  return fieldOf(SIZE, paint(SIZE, SIZE, patches), WIDTH_PX);
};
const without = (lines: readonly Inked[], bow?: (x: number) => number) => {
  const ink = inkOf(lines, bow);
  const drawn = findStrokes(ink);
  return { drawn, ...withoutRuled(drawn, ink, sheet) };
};

/** Ruled lines from one place beside the sheet, pattern units, to another. */
const rulingOf = (from: number, to: number, slant = SLANT): Line[] =>
  Array.from({ length: 12 }, (_, k) => {
    const y = (k + 0.3) * STEP;
    return line(from, y + slant * from, to, y + slant * to);
  });
const turned = ([[ax, ay], [bx, by]]: Line): Line => line(ay, ax, by, bx);
const inBlack = CREASES.map((l): Inked => [l, BLACK]);
const inPale = (lines: readonly Line[]) => lines.map((l): Inked => [l, PALE]);
const lengthOf = ({ segments }: Strokes): number => segments.reduce((sum, s) => sum + s.length, 0);
const creasesPx = lengthOf(without(inBlack).drawn);

describe('evenly spaced pale lines that run on past the border at both ends', () => {
  for (const [name, lines, bow] of [
    ['level', rulingOf(-0.1, 1.1), undefined],
    ['upright', rulingOf(-0.1, 1.1).map(turned), undefined],
    ['bowed, where the drawing was laid straight', rulingOf(-0.1, 1.1), (x: number) => 0.02 * Math.sin(Math.PI * x)],
    [
      'one of them under a crease',
      rulingOf(-0.1, 1.1, 0).map(([a, b]) => line(a[0], a[1] + 0.5 - 5.3 * STEP, b[0], b[1] + 0.5 - 5.3 * STEP)),
      undefined,
    ],
  ] as const) {
    it(`are left out and told, and take no crease with them: ${name}`, () => {
      const { drawn, strokes, ruled } = without([...inPale(lines), ...inBlack], bow);
      expect(lengthOf(drawn)).toBeGreaterThan(creasesPx + 8 * PX_PER_UNIT);
      expect(ruled.length).toBeGreaterThan(8);
      expect(lengthOf(strokes)).toBeGreaterThan(0.95 * creasesPx);
      expect(lengthOf(strokes)).toBeLessThan(1.05 * creasesPx);
    });
  }

  it('are told once as ink that was left out, and are no guide grid', () => {
    const ink = inkOf([...inPale(rulingOf(-0.1, 1.1)), ...inBlack]);
    const { leftOut, guideGrid } = fitLattice(findStrokes(ink), ink, sheet);
    expect(leftOut.filter(({ how }) => how === 'ruled').length).toBe(1);
    expect(guideGrid).toBeNull();
  });

  it('are left out in two directions where the drawing does not keep to the squares', () => {
    const lines = rulingOf(-0.1, 1.1, 0);
    const { strokes } = without([...inPale([...lines, ...lines.map(turned)]), ...inBlack]);
    expect(lengthOf(strokes)).toBeLessThan(1.05 * creasesPx);
    expect(lengthOf(strokes)).toBeGreaterThan(0.95 * creasesPx);
  });
});

describe('nothing is left out where', () => {
  const untouched = (lines: readonly Inked[]) => {
    const { drawn, strokes, ruled } = without(lines);
    expect(lengthOf(drawn)).toBeGreaterThan(creasesPx + 6 * PX_PER_UNIT);
    expect(ruled).toEqual([]);
    expect(strokes).toBe(drawn);
  };

  it('pale pleats end at the border', () => untouched([...inPale(rulingOf(0, 1)), ...inBlack]));

  it('a hand overshoots the border with all of them by a sixtieth of the side', () =>
    untouched([...inPale(rulingOf(-0.0167, 1.0167)), ...inBlack]));

  it('pale pleats run on past one end only', () => untouched([...inPale(rulingOf(-0.1, 1)), ...inBlack]));

  it('pale lines run on past both ends, but at no even steps', () => {
    const steps = [0.04, 0.13, 0.19, 0.31, 0.36, 0.47, 0.61, 0.66, 0.78, 0.93];
    untouched([...inPale(steps.map((y) => line(-0.1, y, 1.1, y + 0.005))), ...inBlack]);
  });

  it('the lines are as strong as the drawing: a hand drew them past the border', () =>
    untouched([...rulingOf(-0.1, 1.1).map((l): Inked => [l, BLACK]), ...inBlack]));

  it('the outline keeps to the squares of the paper: they are the grid of the drawing', () => {
    const lines = Array.from({ length: 13 }, (_, k) => line(-0.1, k / 12, 1.1, k / 12));
    untouched([...inPale([...lines, ...lines.map(turned)]), ...inBlack]);
  });
});
