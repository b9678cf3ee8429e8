/** A border that is faint near a corner which a crease runs across: the corners are known from what was drawn. */
import { expect, it } from 'vitest';
import { findOutline } from '../../pipeline/rectify/outline.ts';
import { drawingOf, sceneOf } from './plain.ts';
import { renderScene } from './scenes.ts';

it.each([0.2, 0.25])('is a square still, where the crease leaves out %f of two sides', async (cut) => {
  const drawing = drawingOf();
  const { picture, corners } = await renderScene(
    sceneOf({
      drawing: { ...drawing, creases: [...drawing.creases, { from: [1 - cut, 0], to: [1, cut], kind: 0 }] },
      // Glare hides the border there. Sheets are square as a rule (common practice, no source).
      over: `<polygon points="${(1 - cut) * 514 + 93},80 620,80 620,${cut * 514 + 93}" fill="#ffffff"/>`,
    }),
  );
  const found = findOutline(picture.raster);
  expect(found?.corners.length).toBe(4);
  const off = corners.map(([x, y]) =>
    Math.min(
      ...(found?.corners ?? []).map(([u, v]) =>
        Math.hypot(
          (u - (found?.map.rim ?? 0) + 0.5) / (found?.map.scale ?? 1) - x,
          (v - (found?.map.rim ?? 0) + 0.5) / (found?.map.scale ?? 1) - y,
        ),
      ),
    ),
  );
  expect(Math.max(...off)).toBeLessThan(3);
});
