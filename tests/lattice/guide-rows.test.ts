/** Paper ruled in triangles under the creases: told apart like squares are, and not made up where creases make triangles. */
import { describe, expect, it } from 'vitest';
import { type FittedLattice, fitLattice } from '../../pipeline/lattice/fit.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../../pipeline/types.ts';
import { acrossSquare, blankSheet, type Line, level, line, PX_PER_UNIT, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, type Patch, type Point, paint } from '../ink/painted.ts';

const sheet: Sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 2.5;
const BLACK: Colour = [0, 0, 0];
const PALE: Colour = [205, 215, 225];
const SIXTY = Math.PI / 3;

const toPaper = ([x, y]: PatternPoint): Point => [
  sheet.originPx[0] + x * PX_PER_UNIT,
  sheet.originPx[1] - y * PX_PER_UNIT,
];
const draw = (lines: readonly Line[], colour: Colour, widthPx = WIDTH_PX): Patch[] =>
  lines.map(([a, b]) => bar(toPaper(a), toPaper(b), widthPx, colour));
const BORDER: readonly Line[] = [level(0), level(1), upright(0), upright(1)];

/** Lines of the triangular lattice with so many triangles along the lower side: rows are half a root of 3 of a side apart. */
function triangles(sides: number): Line[] {
  const across = [SIXTY, 2 * SIXTY].flatMap((angle) =>
    Array.from({ length: 4 * sides }, (_, k) => acrossSquare([(k - sides) / sides, 0], angle)),
  );
  const levels = Array.from({ length: sides * 2 }, (_, k) => ((k + 1) * Math.sqrt(3)) / 2 / sides).filter((y) => y < 1);
  return [...levels.map(level), ...across.filter((l) => l !== null)];
}

/** Creases of no grid: the corners' bisectors meet the sides of an irregular cross. */
const CREASES: readonly Line[] = [
  line(0, 0, 1, 1),
  line(0, 1, 1, 0),
  line(0.13, 0, 0.87, 1),
  line(0, 0.71, 1, 0.29),
  line(0.31, 0, 0, 0.52),
  line(0.62, 1, 1, 0.55),
];

function fitted(patches: readonly Patch[]): FittedLattice & { readonly drawnPx: number } {
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, patches), WIDTH_PX);
  const fit = fitLattice(findStrokes(ink), ink, sheet);
  return { ...fit, drawnPx: fit.strokes.segments.reduce((sum, s) => sum + s.length, 0) };
}

const lengthOf = (lines: readonly Line[]): number =>
  lines.reduce((sum, [a, b]) => sum + Math.hypot(b[0] - a[0], b[1] - a[1]) * PX_PER_UNIT, 0);

describe('creases on paper ruled in triangles', () => {
  it.each([10, 14])('of %i a side: the paper is named and its lines are no strokes', (n) => {
    const { guideGrid, drawnPx } = fitted([...draw(triangles(n), PALE, 1.5), ...draw([...BORDER, ...CREASES], BLACK)]);
    expect(guideGrid).toEqual({ divisionsX: n, divisionsY: n, shape: 'triangles' });
    const creasesPx = lengthOf([...CREASES, ...BORDER]);
    expect(drawnPx).toBeGreaterThan(0.95 * creasesPx);
    expect(drawnPx).toBeLessThan(1.6 * creasesPx);
  });
});

describe('creases in triangles', () => {
  it('all as dark are creases', () => {
    expect(fitted(draw([...BORDER, ...triangles(8)], BLACK)).guideGrid).toBeNull();
  });

  it('of two strengths, four of the one and two of the other at every vertex (Maekawa 1986), are creases', () => {
    const level3 = Math.sqrt(3) / 2;
    const isLevel = ([a, b]: Line): boolean => a[1] === b[1];
    const all = triangles(8);
    const dark = all.filter(isLevel);
    expect(dark[0][0][1]).toBeCloseTo(level3 / 8);
    expect(
      fitted([
        ...draw([...BORDER, ...dark], BLACK),
        ...draw(
          all.filter((l) => !isLevel(l)),
          PALE,
        ),
      ]).guideGrid,
    ).toBeNull();
  });
});
