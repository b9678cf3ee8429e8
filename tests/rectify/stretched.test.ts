/** Proportions of a sheet seen straight on, as measured or, where the creases' directions say so, square and drawn out. */
import { describe, expect, it } from 'vitest';
import { type Mark, shapeOf } from '../../pipeline/rectify/shape.ts';
import type { PicturePoint } from '../../pipeline/types.ts';
import { SQUARE } from '../unit-sheet.ts';

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

  /** Every slanted crease of a Miura-ori has one slope (Miura 1985); in units of the sheet's sides. */
  const miura = (slope: number): Line[] =>
    [0, 2, 4, 6].flatMap((column) =>
      [1, 3, 5, 7].flatMap((row): Line[] => {
        const [x, y] = [column / 9, row / 9];
        return [
          [x, y, x + 1 / 9, y + slope / 9],
          [x + 1 / 9, y + slope / 9, x + 2 / 9, y],
        ];
      }),
    );

  it('that a program drew keeps its proportions to a px, though its one slope could be turned to 22.5 degrees', () => {
    const shape = shapeOn(900, 600, miura(0.6), 'auto');
    expect(shape.width).toBe(1);
    expect(shape.height).toBeCloseTo(2 / 3, 4);
  });

  it('that may be of any shape is not taken for a square drawn out by a fifth', () => {
    const shape = shapeOn(600, 500, miura(T), 'auto');
    expect(shape.width).toBe(1);
    expect(shape.height).toBeCloseTo(5 / 6, 4);
  });
});

describe('a sheet seen at a slant', () => {
  /** A sheet of that width, 1 high, seen by a camera whose axis passes through the middle of the picture, turned by these angles, radians. */
  function seenAt(width: number, tilt: number, pan: number, focal = 900) {
    const distance = 3;
    const corners = SQUARE.map(([x, y]): PicturePoint => {
      const [u, v] = [(x - 0.5) * width, y - 0.5];
      const across = u * Math.cos(pan);
      const back = u * Math.sin(pan);
      const up = v * Math.cos(tilt) - back * Math.sin(tilt);
      const depth = distance + v * Math.sin(tilt) + back * Math.cos(tilt);
      return [VIEW.width / 2 + (focal * across) / depth, VIEW.height / 2 - (focal * up) / depth];
    });
    return shapeOf(corners, [], VIEW, 'auto');
  }
  it('has the proportions that a pinhole camera shows, and says how well they are known', () => {
    for (const width of [1.5, 1.25, 1.43]) {
      const shape = seenAt(width, 0.5, 0.3);
      expect(1 / shape.height).toBeCloseTo(width, 2);
      expect(shape.spread).toBeGreaterThan(0.004);
    }
  });

  /** A frame of 35 mm film is 36 by 24 mm; telephones' usual lenses see as 24 to 28 mm do on it, by the diagonal (common practice, no source). */
  const focalOf = (mm: number): number => (mm / Math.hypot(36, 24)) * Math.hypot(VIEW.width, VIEW.height);

  it('that leans straight away from a telephone is measured as through its usual lens', () => {
    for (const mm of [24, 26, 28]) {
      for (const tilt of [0.3, 0.45]) {
        const shape = seenAt(1.45, tilt, 0, focalOf(mm));
        expect(Math.abs(shape.measured!.log - Math.log(1.45)), `${mm} mm, ${tilt}`).toBeLessThan(0.025);
        // Nothing in the picture tells the focal length: the spread says so.
        expect(shape.spread, `${mm} mm, ${tilt}`).toBeGreaterThan(0.015);
      }
    }
  });

  it('has the proportions that the picture shows through a longer lens, too, where it leans askew', () => {
    for (const mm of [40, 50]) {
      const shape = seenAt(1.45, 0.5, 0.35, focalOf(mm));
      expect(Math.abs(Math.log(1 / shape.height / 1.45)), `${mm} mm`).toBeLessThan(0.012);
    }
  });
});
