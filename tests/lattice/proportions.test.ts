/** The proportions of a rectangular sheet from the lines drawn on it: a grid's steps are equal both ways, ISO 216 sheets are root 2 long. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { shownProportions } from '../../pipeline/lattice/proportions.ts';
import type { MeasuredProportions, PatternPoint, Sheet } from '../../pipeline/types.ts';
import { blankSheet, type Line, line, strokesAlong } from '../graph/hand.ts';

/** A photograph whose outline says this proportion, and how well it is known. */
const measured = (log: number, spread: number): MeasuredProportions => ({
  log,
  spread,
  fine: 0.006,
  rough: 1 / 2,
  toldAny: true,
});

/** A sheet taken as so wide to 1 high, as its outline says. Invented data. */
function sheetOf(width: number, spread = 0.04): Sheet {
  const size = Math.max(1, width);
  const [w, h] = [width / size, 1 / size];
  const polygon: PatternPoint[] = [
    [0, 0],
    [w, 0],
    [w, h],
    [0, h],
  ];
  return { ...blankSheet(polygon), measured: measured(Math.log(width), spread), proportionSpread: 0.02 };
}

/** Most lines of a grid of so many steps across and up, each drawn a little off, on the sheet as it was taken. */
function gridOn(sheet: Sheet, across: number, up: number, seed: number): Line[] {
  const random = makeRandom(seed);
  const near = () => random.range(-0.0008, 0.0008);
  const at = (i: number, j: number): [number, number] => [(i / across) * sheet.width, (j / up) * sheet.height];
  const lines: Line[] = [];
  for (let i = 1; i < across; i++) {
    if (random.chance(0.4)) continue;
    const [x] = at(i, 0);
    lines.push(line(x + near(), 0, x + near(), sheet.height));
  }
  for (let j = 1; j < up; j++) {
    if (random.chance(0.4)) continue;
    const [, y] = at(0, j);
    lines.push(line(0, y + near(), sheet.width, y + near()));
  }
  return lines;
}

describe('proportions of a sheet of any shape', () => {
  it('are those of its grid where the outline says nearly that', () => {
    const shapes = [
      [8, 24],
      [20, 25],
      [15, 10],
      [32, 24],
      [9, 12],
    ];
    for (const [across, up] of shapes) {
      for (const off of [-0.03, 0.025, 0.03]) {
        const sheet = sheetOf((across / up) * Math.exp(off));
        const shown = shownProportions(strokesAlong(gridOn(sheet, across, up, across + up), sheet), sheet);
        expect(shown?.log, `${across} x ${up}, ${off}`).toBeCloseTo(Math.log(across / up), 8);
      }
    }
  });

  it('stay as measured, and unsure, where lines across the sides say nothing', () => {
    const sheet = sheetOf(1.43, 0.015);
    const shown = shownProportions(strokesAlong([line(0.1, 0.2, 0.7, 0.31), line(0.2, 0.5, 0.9, 0.61)], sheet), sheet);
    expect(Math.abs(shown!.log - Math.log(1.43))).toBeLessThan(0.03);
    expect(shown!.spread).toBeGreaterThan(0.004);
  });

  it('are the root of 2 where they measure nearly so and creases run in folders’ directions on such a sheet', () => {
    const sheet = sheetOf(Math.SQRT2 * 1.02);
    const h = sheet.height;
    // The diagonals of the two squares that lie in an ISO 216 sheet from its short sides, as on a sheet root 2 wide.
    const side = sheet.width / Math.SQRT2;
    const lines = [
      line(0, 0, side, h),
      line(0, h, side, 0),
      line(sheet.width - side, 0, sheet.width, h),
      line(sheet.width - side, h, sheet.width, 0),
    ];
    const shown = shownProportions(strokesAlong(lines, sheet), sheet);
    expect(shown?.log).toBeCloseTo(Math.log(Math.SQRT2), 2);
  });

  it('are nobody’s question where they are known', () => {
    const { measured: _, ...known } = sheetOf(1.5);
    expect(shownProportions(strokesAlong([], known), known)).toBeNull();
  });
});
