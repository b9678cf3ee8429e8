/** Borders on displays, under coloured fringes: what a display's lattice and a camera's make together is dark in one channel at a time. */
import { describe, expect, it } from 'vitest';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import { sceneOf, seenFrom } from './plain.ts';
import { type Rendered, renderScene, seeded } from './scenes.ts';

/** Greatest distance of the outline's corners from the true ones, px. */
function farthest(corners: readonly (readonly [number, number])[], scene: Rendered): number {
  return Math.max(...corners.map((p) => Math.min(...scene.corners.map((q) => Math.hypot(p[0] - q[0], p[1] - q[1])))));
}

/** Troughs of three waves a third of a period apart, one a channel, and grain, on all that is lighter than the desk. */
function withFringes({ picture, corners }: Rendered, periodPx: number, depth: number, grain: number): Rendered {
  const { width, height, data } = picture.raster;
  const out = Uint8Array.from(data);
  const random = seeded(3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const p = 3 * (y * width + x);
      if (Math.max(data[p], data[p + 1], data[p + 2]) < 60) continue;
      // Fringes bend: the two lattices are seen in perspective.
      const phase = (2 * Math.PI * (x + 0.35 * y + 0.0004 * (x - 300) * (y - 200))) / periodPx;
      for (let c = 0; c < 3; c++) {
        const trough = Math.max(0, Math.cos(phase + (2 * Math.PI * c) / 3)) ** 2;
        out[p + c] = Math.max(0, Math.min(255, data[p + c] * (1 - depth * trough) + grain * (random() - 0.5)));
      }
    }
  }
  return { picture: { ...picture, raster: { ...picture.raster, data: out } }, corners };
}

const THIN = { stroke: { edge: 2, crease: 2 }, ink: { edge: '#303030', mountain: '#303030', valley: '#303030' } };

describe('a border on a display', () => {
  it.each([
    ['straight on', [0, 0, 0], 14, 0.9, 20],
    ['turned and leaned back', [9, 0.08, 0.1], 18, 0.9, 20],
    ['under fringes as narrow as its lines', [5, 0.05, 0], 4.3, 0.35, 40],
  ] as const)('is found under fringes, %s, and not the edge of the display', async (_, view, period, depth, grain) => {
    const plain = await renderScene(sceneOf({ ...THIN, pageCorners: seenFrom(...view) }));
    const scene = withFringes(plain, period, depth, grain);
    const { outline } = rectify(scene.picture, {});
    expect(outline.corners).toHaveLength(4);
    expect(farthest(outline.corners, scene)).toBeLessThan(3);
    expect(outline.how).toBe('drawn-border');
  });
});
