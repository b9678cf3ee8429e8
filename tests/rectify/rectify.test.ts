/** A drawn sheet, carried into the picture by a known map: its outline is found again, and the sheet comes back flat. */
import { describe, expect, it } from 'vitest';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import type { PaperPoint, PicturePoint, Sheet } from '../../pipeline/types.ts';
import { drawingOf, HIGH, PAGE, sceneOf, seenFrom, WIDE } from './plain.ts';
import { type Rendered, renderScene, type Scene } from './scenes.ts';

const gap = (p: PicturePoint, q: PicturePoint): number => Math.hypot(p[0] - q[0], p[1] - q[1]);

/** Greatest distance of the outline's corners from the true ones, px; which corner comes first does not matter. */
function farthest(sheet: Sheet, { corners }: Rendered): number {
  const found = sheet.outline.corners;
  expect(found.length).toBe(corners.length);
  const turns = corners.map((_, first) =>
    Math.max(...found.map((p, i) => gap(p, corners[(first + i) % corners.length]))),
  );
  return Math.min(...turns);
}

const paperOf = (sheet: Sheet, x: number, y: number): PaperPoint => [
  sheet.originPx[0] + x * sheet.pxPerUnit,
  sheet.originPx[1] - y * sheet.pxPerUnit,
];

describe('a drawn square', () => {
  it.each<[string, Partial<Scene>]>([
    ['straight on', {}],
    ['turned by 7 degrees', { pageCorners: seenFrom(7, 0, 0) }],
    ['turned by 33 degrees', { pageCorners: seenFrom(33, 0, 0) }],
    ['leaned back', { pageCorners: seenFrom(0, 0.15, 0) }],
    ['leaned back, aside and turned', { pageCorners: seenFrom(-12, 0.1, 0.12) }],
    [
      'in uneven light, with grain, as a JPEG',
      { pageCorners: seenFrom(4, 0.08, 0), lightSlope: 0.4, noise: 4, jpeg: 70 },
    ],
    ['on wood', { pageCorners: seenFrom(-8, 0.05, 0.05), desk: 'wood' }],
    [
      'filling the picture, no desk',
      {
        desk: 'none',
        pageCorners: [
          [0, 0],
          [WIDE, 0],
          [WIDE, HIGH],
          [0, HIGH],
        ],
      },
    ],
  ])('%s: corners to two px, and it is square', async (_, over) => {
    const scene = await renderScene(sceneOf(over));
    const sheet = rectify(scene.picture, { paper: 'square' });
    expect(farthest(sheet, scene)).toBeLessThan(2);
    expect([sheet.width, sheet.height]).toEqual([1, 1]);
    expect(sheet.outline.how).toBe('drawn-border');
  });

  it("without a border is found by the sheet's own edge", async () => {
    const scene = sceneOf({
      pageCorners: seenFrom(5, 0.06, 0),
      ink: { edge: null, mountain: '#d02020', valley: '#2030c8' },
      originX: 0,
      originY: 0,
      unitPx: PAGE,
    });
    const rendered = await renderScene(scene);
    const sheet = rectify(rendered.picture, {});
    expect(farthest(sheet, rendered)).toBeLessThan(2.5);
    expect(sheet.outline.how).toBe('sheet-edge');
  });

  it('is laid flat: its middle lines lie in the middle of the raster', async () => {
    const scene = await renderScene(sceneOf({ pageCorners: seenFrom(-12, 0.1, 0.12) }));
    const sheet = rectify(scene.picture, { paper: 'square' });
    const { width, data } = sheet.raster;
    // Crossing the quarter line and the upright middle, far from other creases.
    for (const [at, y] of [
      [0.25, 0.62],
      [0.5, 0.85],
      [0.25, 0.4],
      [0.5, 0.12],
    ]) {
      const [px, py] = paperOf(sheet, at, y);
      let [sum, weight] = [0, 0];
      for (let x = Math.round(px) - 12; x < Math.round(px) + 12; x++) {
        const i = (Math.floor(py) * width + x) * 3;
        const dark = 765 - data[i] - data[i + 1] - data[i + 2];
        sum += dark * (x + 0.5);
        weight += dark;
      }
      expect(weight).toBeGreaterThan(500);
      expect(Math.abs(sum / weight - px)).toBeLessThan(0.002 * sheet.pxPerUnit);
    }
  });

  it('leads back to the picture by a projective map: corners to corners, straight to straight, cross-ratios kept (Pappus)', async () => {
    const scene = await renderScene(sceneOf({ pageCorners: seenFrom(-12, 0.1, 0.12) }));
    const sheet = rectify(scene.picture, { paper: 'square' });
    sheet.polygon.forEach(([x, y], i) => {
      expect(gap(sheet.toPicture(paperOf(sheet, x, y)), sheet.outline.corners[i])).toBeLessThan(1);
    });
    const along = [0, 0.2, 0.5, 0.9].map((t) => sheet.toPicture(paperOf(sheet, 0.1 + 0.8 * t, 0.2 + 0.5 * t)));
    const [a, b, c, d] = along.map((p) => gap(p, along[0]));
    expect(((c - a) * (d - b)) / ((c - b) * (d - a))).toBeCloseTo((0.5 * 0.7) / (0.3 * 0.9), 2);
    const straight = gap(along[0], along[1]) + gap(along[1], along[2]) + gap(along[2], along[3]);
    expect(straight - gap(along[0], along[3])).toBeLessThan(0.05);
  });
});

describe('a sheet that is not square', () => {
  it('is measured where it is seen straight on: A4 is 1 to √2 (ISO 216)', async () => {
    const drawing = drawingOf(Math.SQRT1_2, 1);
    const rendered = await renderScene(sceneOf({ drawing, originX: 155 }));
    const sheet = rectify(rendered.picture, { paper: 'auto' });
    expect(farthest(sheet, rendered)).toBeLessThan(2);
    expect(sheet.height).toBe(1);
    expect(Math.abs(sheet.width - Math.SQRT1_2)).toBeLessThan(0.01);
  });

  it('has the sides that the user says, seen from anywhere', async () => {
    const drawing = drawingOf(1, 0.6);
    const rendered = await renderScene(sceneOf({ drawing, pageCorners: seenFrom(6, 0.1, 0.08) }));
    const sheet = rectify(rendered.picture, { paper: { width: 5, height: 3 } });
    expect([sheet.width, sheet.height]).toEqual([1, 0.6]);
    expect(farthest(sheet, rendered)).toBeLessThan(2);
  });
});
