/** Squared and dotted paper is square (common practice, no source): its squares, painted as a sheet laid out with wrong proportions shows them, tell the right ones. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { squaresSeen } from '../../pipeline/lattice/paper-squares.ts';
import { shownProportions } from '../../pipeline/lattice/proportions.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import type { PaperPoint, PicturePoint, Sheet } from '../../pipeline/types.ts';
import { bar, type Colour, disc, fieldOf, type Patch, type Point, paint } from '../ink/painted.ts';
import { sheetWith } from '../unit-sheet.ts';

const PX_PER_UNIT = 800;
const MARGIN_PX = 30;
const WIDTH_PX = 2.5;
const GREY: Colour = [130, 135, 150];
const PALE: Colour = [175, 190, 225];
/** Width of a sheet 1 high in truth, and as its outline was measured. */
const TRUE = 0.7;
const TAKEN = 2 / 3;
const [WIDE, HIGH] = [TAKEN, 1].map((side) => Math.round(side * PX_PER_UNIT) + 2 * MARGIN_PX);

type Bent = (p: Point) => Point;
const straight: Bent = (p) => p;

/** A place on the true sheet, units of its height from its bottom left, as it lies on the sheet that was laid out. */
const laid = ([x, y]: Point): Point => [
  MARGIN_PX + ((x * TAKEN) / TRUE) * PX_PER_UNIT,
  MARGIN_PX + (1 - y) * PX_PER_UNIT,
];

/** A drawing on that paper: its border, two creases that keep to no squares, and what is printed. */
function sheetOn(printed: readonly Patch[], bent: Bent = straight) {
  const line = (a: Point, b: Point): Patch[] =>
    Array.from({ length: 20 }, (_, k) => {
      const at = (t: number): Point => bent(laid([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]));
      return bar(at(k / 20), at((k + 1) / 20), WIDTH_PX);
    });
  const drawn = [
    ...line([0, 0], [TRUE, 0]),
    ...line([TRUE, 0], [TRUE, 1]),
    ...line([TRUE, 1], [0, 1]),
    ...line([0, 1], [0, 0]),
    ...line([0, 0.37], [TRUE, 0.52]),
    ...line([0.23, 0], [0.41, 1]),
  ];
  const light = paint(WIDE, HIGH, [...printed, ...drawn]);
  const raster = { width: WIDE, height: HIGH, channels: 3, data: Uint8Array.from(light, Math.round) };
  const sheet: Sheet = {
    ...sheetWith(PX_PER_UNIT, MARGIN_PX, raster, [
      [0, 0],
      [TAKEN, 0],
      [TAKEN, 1],
      [0, 1],
    ]),
    measured: { log: Math.log(TAKEN * 1.02), spread: 0.03, fine: 0.006, rough: 1 / 2, toldAny: true },
  };
  const ink = fieldOf(WIDE, light, WIDTH_PX);
  return { sheet, ink, strokes: findStrokes(ink) };
}

/** Corners of squares of that step all over the paper, from that place on, turned about it, radians. */
function corners(step: number, [x0, y0]: Point, turn = 0): Point[] {
  const out: Point[] = [];
  for (let i = -30; i <= 30; i++) {
    for (let j = -30; j <= 30; j++) {
      const [u, v] = [i * step, j * step];
      const [x, y] = [x0 + u * Math.cos(turn) - v * Math.sin(turn), y0 + u * Math.sin(turn) + v * Math.cos(turn)];
      if (x > -0.03 && y > -0.03 && x < TRUE + 0.03 && y < 1.03) out.push([x, y]);
    }
  }
  return out;
}

const dotted = (places: readonly Point[], bent: Bent = straight) =>
  sheetOn(
    places.map((p) => disc(bent(laid(p)), 2, GREY)),
    bent,
  );

/** Lines of squared paper of that step across it, or across and up. */
function ruled(step: number, [x0, y0]: Point, ways: 1 | 2) {
  const far = 0.036;
  const lines: Patch[] = [];
  for (let i = -30; i <= 30; i++) {
    const [x, y] = [x0 + i * step, y0 + i * step];
    if (y > -far && y < 1 + far) lines.push(bar(laid([-far, y]), laid([TRUE + far, y]), WIDTH_PX, PALE));
    if (ways === 2 && x > -far && x < TRUE + far) lines.push(bar(laid([x, -far]), laid([x, 1 + far]), WIDTH_PX, PALE));
  }
  return sheetOn(lines);
}

const seenOn = ({ strokes, ink, sheet }: ReturnType<typeof sheetOn>) => squaresSeen(strokes, ink, sheet);

describe('proportions of a sheet on paper', () => {
  it.each([
    ['with dots', () => dotted(corners(0.05, [0.017, 0.011]))],
    ['with dots that are turned', () => dotted(corners(0.043, [0.017, 0.011], 0.3))],
    ['with squares', () => ruled(0.062, [0.017, 0.011], 2)],
  ])('%s are what so many steps across and up say', (_, drawn) => {
    const on = drawn();
    const seen = seenOn(on);
    expect(seen?.log).toBeCloseTo(Math.log(TRUE), 2);
    expect(seen?.whole).toBeNull();
    const shown = shownProportions(on.strokes, on.sheet, () => seen);
    expect(Math.abs(shown!.log - Math.log(TRUE))).toBeLessThan(0.004);
    expect(shown!.probability).toBeGreaterThan(0.6);
  });

  it('are those of whole squares, without a doubt, where the outline was drawn along them', () => {
    const on = dotted(corners(0.05, [0, 0]));
    const seen = seenOn(on);
    expect(seen?.whole).toBeCloseTo(Math.log(14 / 20), 12);
    expect(shownProportions(on.strokes, on.sheet, () => seen)).toMatchObject({ log: Math.log(14 / 20), spread: null });
  });

  it.each([
    ['with nothing on it', () => sheetOn([])],
    ['with lines one way', () => ruled(0.062, [0.017, 0.011], 1)],
    [
      'with dots of equilateral triangles',
      () => dotted(corners(0.05, [0.017, 0.011]).map(([x, y]) => [x + (y - 0.5) * 0.5, y * Math.sqrt(0.75)])),
    ],
    [
      'with specks anywhere',
      () => {
        const random = makeRandom(3);
        return dotted(Array.from({ length: 300 }, () => [random.range(0, TRUE), random.range(0, 1)] as const));
      },
    ],
  ])('%s are not told by squares', (_, drawn) => {
    expect(seenOn(drawn())).toBeNull();
  });
});

describe('paper whose dots are even on the picture', () => {
  /** The sheet as it was laid out is the picture bent by up to so many px at mid height. */
  const bow = (y: number): number => 14 * Math.sin((Math.PI * (y - MARGIN_PX)) / PX_PER_UNIT);
  const onPicture = ([x, y]: PaperPoint): PicturePoint => [x, y + bow(y)];
  const bent: Bent = ([x, y]) => {
    let from = y;
    for (let i = 0; i < 30; i++) from = y - bow(from);
    return [x, from];
  };

  it('is laid out as they are where the outline was flattened otherwise', () => {
    const { sheet, ...rest } = dotted(corners(0.05, [0.017, 0.011]), bent);
    const seen = seenOn({ ...rest, sheet: { ...sheet, toPicture: onPicture } });
    for (const [x, y] of [
      [0.5, 0.5],
      [0.2, 0.7],
      [0.9, 0.3],
    ] as const) {
      const [px, py] = seen!.flat!(x, y);
      const [tx, ty] = laid([x * TRUE, y]);
      expect(Math.hypot(px - tx, py - ty), `${x} ${y}`).toBeLessThan(2);
    }
  });

  it('stays as it is laid out where they are even there, too', () => {
    expect(seenOn(dotted(corners(0.05, [0.017, 0.011])))?.flat).toBeNull();
  });
});
