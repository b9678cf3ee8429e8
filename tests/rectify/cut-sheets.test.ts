/** Sheets cut to other shapes than a square, without a border, on a darker desk: their corners are known from what was painted. */
import { describe, expect, it } from 'vitest';
import { inkMap, workingCopy } from '../../pipeline/rectify/inkmap.ts';
import { sheetLines } from '../../pipeline/rectify/known.ts';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import { findRegions } from '../../pipeline/rectify/regions.ts';
import { type Colour, type Patch, paint, pixels } from '../ink/painted.ts';
import { PAGE, sceneOf, seenFrom } from './plain.ts';
import { type Point, renderScene } from './scenes.ts';

/** Greatest distance of the corners from the true ones, px; which one comes first does not matter. */
function farthest(found: readonly Point[], corners: readonly Point[]): number {
  expect(found.length).toBe(corners.length);
  return Math.min(
    ...corners.map((_, first) =>
      Math.max(
        ...found.map(([x, y], i) => {
          const [u, v] = corners[(first + i) % corners.length];
          return Math.hypot(x - u, y - v);
        }),
      ),
    ),
  );
}

/** A regular polygon about a point, clockwise as seen (y down). */
const regular = (sides: number, middle: number, radius: number, turn: number): Point[] =>
  Array.from({ length: sides }, (_, k) => {
    const angle = turn + (2 * Math.PI * k) / sides;
    return [middle + radius * Math.cos(angle), middle + radius * Math.sin(angle)];
  });

const SIZE = 480;
const DESK: Colour = [60, 55, 50];
const WHITE: Colour = [255, 255, 255];
/** Regions are made of cells of 4 px: a side is off by one at most, so a corner by two. */
const CELLS_PX = 8;

/** Corners of the sheet's edges, picture px. */
function edgesOf(
  patches: readonly Patch[],
  desk: Colour = DESK,
  polarity: 'dark-ink' | 'light-ink' = 'dark-ink',
): Point[] {
  const map = inkMap(workingCopy(pixels(SIZE, paint(SIZE, SIZE, patches, desk))), polarity);
  const [region] = findRegions(map);
  return sheetLines(region).map(({ from: [x, y] }) => [x - map.rim + 0.5, y - map.rim + 0.5]);
}

describe('the edges of a sheet on the desk', () => {
  it.each([3, 5, 6, 8])('are %i where it is cut to a regular polygon of so many sides', (sides) => {
    const corners = regular(sides, SIZE / 2, 200, 0.2);
    expect(farthest(edgesOf([{ corners, colour: WHITE }]), corners)).toBeLessThan(CELLS_PX);
  });

  it.each([0, 0.2])('are four of a square, also where %f of two sides is hidden with their corner', (hidden) => {
    const corners = regular(4, SIZE / 2, 220, 0.3);
    const [a, b, , d] = corners;
    const on = (p: Point): Point => [a[0] + hidden * (p[0] - a[0]), a[1] + hidden * (p[1] - a[1])];
    const thing: Patch[] = hidden > 0 ? [{ corners: [a, on(b), on(d)], colour: DESK }] : [];
    expect(farthest(edgesOf([{ corners, colour: WHITE }, ...thing]), corners)).toBeLessThan(CELLS_PX);
  });
});

// A desk of stone and one of wood, a sheet of wrapping paper and one of black: invented colours.
describe('a sheet stands out from the desk', () => {
  const corners = regular(4, SIZE / 2, 220, 0.3);

  it('by its colour alone, however dark it is', () => {
    const found = edgesOf([{ corners, colour: [150, 105, 50] }], [130, 130, 126]);
    expect(farthest(found, corners)).toBeLessThan(CELLS_PX);
  });

  it('by being darker, where ink is light', () => {
    const found = edgesOf([{ corners, colour: [28, 26, 30] }], [190, 186, 182], 'light-ink');
    expect(farthest(found, corners)).toBeLessThan(CELLS_PX);
  });
});

describe('a hexagon without a border on a dark desk', () => {
  it.each([0.2, 0.45])(
    'turned by %f ends at its edges, though its creases end at the middles of its sides',
    async (turn) => {
      const outline = regular(6, 0.5, 0.47, turn);
      const creases = outline.map(([x, y], k) => {
        const [u, v] = outline[(k + 1) % 6];
        return { from: [(x + u) / 2, (y + v) / 2], to: [0.5, 0.5], kind: k % 2 ? 1 : 0 } as const;
      });
      const rendered = await renderScene(
        sceneOf({
          drawing: { outline, creases },
          ink: { edge: null, mountain: '#d02020', valley: '#2030c8' },
          // The sheet is cut out of a page as dark as the desk.
          paper: '#262428',
          under: `<polygon points="${outline.map((p) => p.map((v) => v * PAGE).join()).join(' ')}" fill="#ffffff"/>`,
          originX: 0,
          originY: 0,
          unitPx: PAGE,
          pageCorners: seenFrom(4, 0.05, 0.03),
        }),
      );
      const { outline: found } = rectify(rendered.picture, {});
      expect(found.how).toBe('sheet-edge');
      expect(farthest([...found.corners].reverse(), rendered.corners)).toBeLessThan(1.5);
    },
  );
});
