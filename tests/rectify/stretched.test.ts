/** Proportions of a sheet seen straight on, as measured or, where the creases' directions say so, square and drawn out. */
import { describe, expect, it } from 'vitest';
import { type Mark, shapeOf } from '../../pipeline/rectify/shape.ts';
import type { PicturePoint } from '../../pipeline/types.ts';

const VIEW = { width: 1000, height: 800 };
type Line = readonly [x0: number, y0: number, x1: number, y1: number];

/** A sheet of that many px, seen straight on, with lines in units of its sides, y up. */
function shapeOn(width: number, height: number, lines: readonly Line[], paper?: 'auto') {
  const at = (x: number, y: number): PicturePoint => [500 + (x - 0.5) * width, 400 - (y - 0.5) * height];
  const corners = [at(0, 0), at(1, 0), at(1, 1), at(0, 1)];
  const marks = lines.map(([x0, y0, x1, y1]): Mark => ({ a: at(x0, y0), b: at(x1, y1) }));
  return shapeOf(corners, marks, VIEW, paper);
}

/** The kite base on one diagonal: creases at multiples of 22.5 degrees, tan(22.5) = root 2 - 1. */
const T = Math.SQRT2 - 1;
const kite: readonly Line[] = [
  [0, 0, 1, 1],
  [0, 0, 1, T],
  [0, 0, T, 1],
  [1, 1, T, 0],
  [1, 1, 0, T],
  [0, 1, 1, 0],
];

const cross: readonly Line[] = [
  [0, 0.5, 1, 0.5],
  [0.5, 0, 0.5, 1],
];

describe('a sheet seen straight on', () => {
  it('is square where the creases run as on a square that was drawn out by 12 %', () => {
    const shape = shapeOn(500, 560, kite);
    expect(shape).toMatchObject({ width: 1, height: 1 });
    expect(shape.assumed.join()).toContain('drawn out by 12 %');
    expect(shape.probability).toBeLessThan(0.9);
  });

  it('is square where it is seen as one, though drawn out its creases would all run at 45 degrees', () => {
    // Every slanted crease of a Miura-ori has one slope (Miura 1985).
    const slope = 0.9;
    const zigzag = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7].flatMap((x): Line[] => [
      [x, 0, x + 0.2, 0.2 * slope],
      [x + 0.2, 0.2 * slope, x, 0.4 * slope],
      [x, 0.4 * slope, x + 0.2, 0.6 * slope],
    ]);
    for (const paper of [undefined, 'auto'] as const)
      expect(shapeOn(600, 602, zigzag, paper)).toMatchObject({ width: 1, height: 1, probability: 0.98 });
  });

  it('that may be of any shape keeps its proportions where no crease says otherwise', () => {
    const shape = shapeOn(500, 560, cross, 'auto');
    expect(shape.width).toBeCloseTo(500 / 560, 2);
    expect(shape.height).toBe(1);
  });

  it('is doubtfully square where neither a crease nor a person says otherwise, unless far from it', () => {
    const near = shapeOn(500, 525, cross);
    expect(near).toMatchObject({ width: 1, height: 1 });
    expect(near.probability).toBeLessThan(0.9);
    expect(shapeOn(500, 750, cross).width).toBeCloseTo(2 / 3, 2);
  });

  it('keeps its proportions where creases at 45 degrees bear them out', () => {
    const cut = 500 / 560;
    const shape = shapeOn(500, 560, [
      [0, 0, 1, cut],
      [0, 1, 1, 1 - cut],
      [0, cut, 1, 0],
    ]);
    expect(shape.width).toBeCloseTo(cut, 2);
  });

  it('is a plain square where it measures as one', () => {
    expect(shapeOn(500, 503, kite)).toMatchObject({ width: 1, height: 1, assumed: ['the sheet is taken as square'] });
  });
});
