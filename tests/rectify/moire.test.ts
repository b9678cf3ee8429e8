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
function withFringes(
  { picture, corners }: Rendered,
  { period, depth, grain, bend }: { period: number; depth: number; grain: number; bend: number },
): Rendered {
  const { width, height, data } = picture.raster;
  const out = Uint8Array.from(data);
  const random = seeded(3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const p = 3 * (y * width + x);
      if (Math.max(data[p], data[p + 1], data[p + 2]) < 60) continue;
      // Fringes bend: the two lattices are seen in perspective.
      const phase = (2 * Math.PI * (x + 0.35 * y + bend * (x - 300) * (y - 200))) / period;
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
    ['straight', [9, 0.08, 0.1], { period: 18, depth: 0.9, grain: 20, bend: 0.0004 }],
    ['as narrow as its lines', [5, 0.05, 0], { period: 4.3, depth: 0.35, grain: 40, bend: 0.0004 }],
    ['bent and narrow', [0, 0, 0], { period: 9, depth: 0.9, grain: 100, bend: 0.002 }],
  ] as const)('is found under fringes that are %s, and not the edge of the display', async (_, view, fringes) => {
    const plain = await renderScene(sceneOf({ ...THIN, pageCorners: seenFrom(view[0], view[1], view[2]) }));
    const scene = withFringes(plain, fringes);
    const { outline } = rectify(scene.picture, {});
    expect(outline.corners).toHaveLength(4);
    expect(farthest(outline.corners, scene)).toBeLessThan(3);
    expect(outline.how).toBe('drawn-border');
  });
});
