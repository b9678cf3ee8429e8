/** Graph paper under the creases: told apart by its paleness, and not made up where there is none. */
import { describe, expect, it } from 'vitest';
import { bendAt } from '../../pipeline/geometry/bend.ts';
import { type FittedLattice, fitLattice } from '../../pipeline/lattice/fit.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../../pipeline/types.ts';
import { blankSheet, type Line, level, line, PX_PER_UNIT, upright } from '../graph/hand.ts';
import { bar, type Colour, dashes, fieldOf, type Patch, type Point, paint } from '../ink/painted.ts';

const sheet: Sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 2.5;

const toPaper = ([x, y]: PatternPoint): Point => [
  sheet.originPx[0] + x * PX_PER_UNIT,
  sheet.originPx[1] - y * PX_PER_UNIT,
];
const draw = (lines: readonly Line[], colour: Colour, widthPx = WIDTH_PX): Patch[] =>
  lines.map(([a, b]) => bar(toPaper(a), toPaper(b), widthPx, colour));

const gridOf = (n: number): Line[] =>
  Array.from({ length: n - 1 }, (_, k) => [upright((k + 1) / n), level((k + 1) / n)]).flat();
const BORDER: readonly Line[] = [level(0), level(1), upright(0), upright(1)];
/** Creases on a grid of 16: diagonals, short pieces, one line each way. */
const FEW: readonly Line[] = [
  line(0, 0, 1, 1),
  line(0, 1, 1, 0),
  upright(5 / 16),
  level(5 / 16),
  line(3 / 16, 0, 3 / 16, 3 / 16),
  line(0, 3 / 16, 3 / 16, 3 / 16),
  line(13 / 16, 1, 13 / 16, 13 / 16),
  line(1, 13 / 16, 13 / 16, 13 / 16),
  line(0.5, 0, 1, 0.5),
  line(0, 0.5, 0.5, 1),
];
/** The same with a square twist's pleats. */
const CREASES: readonly Line[] = [...FEW, upright(11 / 16), level(11 / 16)];
const BLACK: Colour = [0, 0, 0];

function fitted(patches: readonly Patch[]): FittedLattice & { readonly drawnPx: number } {
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, patches), WIDTH_PX);
  const fit = fitLattice(findStrokes(ink), ink, sheet);
  return { ...fit, drawnPx: fit.strokes.segments.reduce((sum, s) => sum + s.length, 0) };
}

const creasesPx = [...CREASES, ...BORDER].reduce(
  (sum, [a, b]) => sum + Math.hypot(b[0] - a[0], b[1] - a[1]) * PX_PER_UNIT,
  0,
);

describe('creases on graph paper', () => {
  it.each([16, 32])('of %i squares: the paper is named and its lines are no strokes', (n) => {
    const { guideGrid, lattice, drawnPx } = fitted([
      ...draw(gridOf(n), [205, 215, 225], 1.5),
      ...draw([...BORDER, ...CREASES], BLACK),
    ]);
    expect(guideGrid).toEqual({ divisionsX: n, divisionsY: n });
    expect(lattice.pitch?.divisions).toBe(n);
    // Of the paper's own lines (2 a division) nothing is left; the creases' strokes may be found in overlapping pieces.
    expect(drawnPx).toBeGreaterThan(0.95 * creasesPx);
    expect(drawnPx).toBeLessThan(1.6 * creasesPx);
  });
});

/** Creases of the bird base (traditional): at multiples of 22.5 degrees from the corners, off every grid; tan(22.5) = root 2 - 1. */
const T = Math.SQRT2 - 1;
const BIRD: readonly Line[] = [
  line(0, 0, 1, 1),
  line(0, 1, 1, 0),
  line(0, 0, 1, T),
  line(0, 0, T, 1),
  line(1, 1, 1 - T, 0),
  line(1, 1, 0, 1 - T),
  line(1, 0, 0, T),
  line(1, 0, 1 - T, 1),
  line(0, 1, T, 0),
  line(0, 1, 1, 1 - T),
];

/** Creases on a grid of 16 that leave most of its odd lines blank. */
const FINE: readonly Line[] = [
  ...FEW,
  line(1 / 16, 0, 1 / 16, 1 / 16),
  line(0, 1 / 16, 1 / 16, 1 / 16),
  line(1, 7 / 16, 9 / 16, 0),
  line(0, 9 / 16, 7 / 16, 1),
];

describe('creases that keep off the lines of graph paper', () => {
  it('on none of its lines: the paper is named', () => {
    const { guideGrid } = fitted([...draw(gridOf(12), [205, 215, 225], 1.5), ...draw([...BORDER, ...BIRD], BLACK)]);
    expect(guideGrid).toEqual({ divisionsX: 12, divisionsY: 12 });
  });

  it('on halves of its squares: the paper is named', () => {
    const { guideGrid } = fitted([...draw(gridOf(8), [205, 215, 225], 1.5), ...draw([...BORDER, ...FINE], BLACK)]);
    expect(guideGrid).toEqual({ divisionsX: 8, divisionsY: 8 });
  });
});

/** Upright and level creases of the 22.5-degree family (root 2 - 1 and its powers, Kawasaki's geometry of the bird base): beside the lines of 16ths. */
const BESIDE: readonly Line[] = [
  ...BIRD.slice(0, 2),
  ...[T * T, 1 - Math.SQRT1_2, T, 1 - T, Math.SQRT1_2, 1 - T * T].flatMap((at, i) => [
    line(at, i % 2 ? 0 : 0.3, at, i % 2 ? 0.6 : 1),
    line(i % 2 ? 0.2 : 0, at, i % 2 ? 1 : 0.7, at),
  ]),
  line(T, 0, 1, 1 - T),
  line(0, T, 1 - T, 1),
];

describe('creases beside the lines of graph paper', () => {
  it.each([12, 16, 24])('of %i squares are not bent onto them', (n) => {
    const { guideGrid, lattice } = fitted([
      ...draw(gridOf(n), [205, 215, 225], 1.5),
      ...draw([...BORDER, ...BESIDE], BLACK),
    ]);
    expect(guideGrid).toEqual({ divisionsX: n, divisionsY: n });
    for (const x of [0.2, 0.5, 0.8]) {
      for (const y of [0.2, 0.5, 0.8]) expect(Math.hypot(...bendAt(lattice.bend, x, y))).toBeLessThan(0.003);
    }
  });
});

describe('a drawing off the squares whose creases run along them more than not', () => {
  it('is not laid on the squares', () => {
    const { guideGrid, lattice } = fitted([
      ...draw(gridOf(16), [205, 215, 225], 1.5),
      ...draw(
        [
          ...BORDER,
          ...BESIDE,
          ...BESIDE.slice(2, 14).map(([[ax, ay], [bx, by]]) => line(1 - ax, 1 - ay, 1 - bx, 1 - by)),
        ],
        BLACK,
      ),
    ]);
    expect(guideGrid).toEqual({ divisionsX: 16, divisionsY: 16 });
    expect(lattice.pitch?.divisions).not.toBe(16);
  });
});

describe('few creases on graph paper', () => {
  it.each([16, 24, 32])('along its lines only, of %i squares: the paper is named', (n) => {
    const few = [2, 5, 7].flatMap((k) => [level(k / n), upright((2 * k) / n)]);
    const { guideGrid, drawnPx } = fitted([
      ...draw(gridOf(n), [205, 220, 240], 2),
      ...draw([...BORDER, ...few], BLACK),
    ]);
    expect(guideGrid).toEqual({ divisionsX: n, divisionsY: n });
    expect(drawnPx).toBeLessThan(1.6 * 10 * PX_PER_UNIT);
  });
});

describe('creases on plain paper', () => {
  it('have no grid under them', () => {
    const { guideGrid, lattice } = fitted(draw([...BORDER, ...CREASES], BLACK));
    expect(guideGrid).toBeNull();
    expect(lattice.pitch).toMatchObject({ divisions: 16, halfUnits: false });
  });

  it('that are the whole grid, all as dark, are creases', () => {
    expect(fitted(draw([...BORDER, ...gridOf(8), line(0, 0, 1, 1), line(0, 1, 1, 0)], BLACK)).guideGrid).toBeNull();
  });

  it('in red and blue are both creases, however full the grid', () => {
    const lines = gridOf(8);
    const red = lines.filter((_, i) => i % 3 !== 0);
    const blue = lines.filter((_, i) => i % 3 === 0);
    expect(
      fitted([...draw(BORDER, BLACK), ...draw(red, [220, 30, 40]), ...draw(blue, [30, 60, 200])]).guideGrid,
    ).toBeNull();
  });

  it('in red and blue, some lines of half the width, are all creases', () => {
    const n = 12;
    const halves = Array.from({ length: n - 1 }, (_, k) => (k + 1) / n).flatMap((at, k) => {
      // Rendered without grey levels, a stroke of one and a half px is one or two px wide.
      const widthPx = k % 4 === 2 ? 1 : WIDTH_PX;
      return [
        {
          widthPx,
          red: [line(at, 0, at, 0.5), line(0, at, 0.5, at)],
          blue: [line(at, 0.5, at, 1), line(0.5, at, 1, at)],
        },
      ];
    });
    const { guideGrid } = fitted([
      ...draw([...BORDER, line(0, 0, 1, 1)], BLACK),
      ...halves.flatMap(({ widthPx, red, blue }) => [
        ...draw(red, [220, 30, 40], widthPx),
        ...draw(blue, [30, 60, 200], widthPx),
      ]),
    ]);
    expect(guideGrid).toBeNull();
  });

  it('dashed and thin on every other line of their grid are no paper of half the divisions', () => {
    const thin = gridOf(8).flatMap(([a, b]) =>
      dashes(toPaper(a), toPaper(b), [8, 5]).map(([from, to]) => bar(from, to, 1, BLACK)),
    );
    const { guideGrid, lattice } = fitted([...thin, ...draw([...BORDER, ...FINE], BLACK)]);
    expect(guideGrid).toBeNull();
    expect(lattice.pitch?.divisions).toBe(16);
  });

  it('in black and pale grey are both creases where every crossing keeps to the law of Maekawa (1986): three to one', () => {
    const n = 8;
    const steps = Array.from({ length: n - 1 }, (_, k) => k + 1);
    // Upright pleats keep their kind; level ones change it at every upright they cross.
    const uprights = steps.map((i) => ({ line: upright(i / n), dark: i % 2 === 0 }));
    const levels = steps.flatMap((j) =>
      Array.from({ length: n }, (_, i) => ({
        line: line(i / n, j / n, (i + 1) / n, j / n),
        dark: (i + j) % 2 === 0,
      })),
    );
    const of = (dark: boolean): Line[] => [...uprights, ...levels].filter((l) => l.dark === dark).map((l) => l.line);
    const { guideGrid, drawnPx } = fitted([
      ...draw(of(false), [175, 175, 175]),
      ...draw(of(true), BLACK),
      ...draw(BORDER, BLACK),
    ]);
    expect(guideGrid).toBeNull();
    expect(drawnPx).toBeGreaterThan(0.9 * 2 * (n - 1) * PX_PER_UNIT);
  });
});
