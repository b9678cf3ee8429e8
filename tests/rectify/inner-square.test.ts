/** A square within the drawing is no drawing within a frame: each scene's corners are known from the map that carried the page into the picture. */
import { describe, expect, it } from 'vitest';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import { drawingOf, sceneOf } from './plain.ts';
import { type Drawing, renderScene } from './scenes.ts';

/** A square with its diagonals that touches nothing, and lines from side to side beside it. */
function drawing(): Drawing {
  const [a, b] = [0.1, 0.52];
  const lines = [
    [a, a, b, a],
    [b, a, b, b],
    [b, b, a, b],
    [a, b, a, a],
    [a, a, b, b],
    [a, b, b, a],
    ...[0.62, 0.7, 0.78, 0.86].flatMap((t) => [
      [t, 0, t, 1],
      [0, t, 1, t],
    ]),
  ];
  return {
    ...drawingOf(),
    creases: lines.map(([x0, y0, x1, y1]) => ({ from: [x0, y0], to: [x1, y1], kind: 0 }) as const),
  };
}

describe('a closed square that no line joins to the border', () => {
  it('is part of the drawing where most lines lie beside it', async () => {
    const scene = await renderScene(sceneOf({ drawing: drawing() }));
    const { corners } = rectify(scene.picture, {}).outline;
    for (const [x, y] of scene.corners) {
      expect(Math.min(...corners.map(([u, v]) => Math.hypot(u - x, v - y)))).toBeLessThan(2);
    }
  });
});
