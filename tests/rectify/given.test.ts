/** Corners that a person sets are taken as they are, or refused in words. */
import { describe, expect, it } from 'vitest';
import { PlicaError } from '../../pipeline/errors.ts';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import type { Picture, PicturePoint, RecoverOptions } from '../../pipeline/types.ts';

const gap = (p: PicturePoint, q: PicturePoint): number => Math.hypot(p[0] - q[0], p[1] - q[1]);

describe('corners that a person sets', () => {
  const blank = (): Picture => ({
    raster: { width: 200, height: 160, channels: 3, data: new Uint8Array(200 * 160 * 3).fill(255) },
    name: 'blank',
    format: 'png',
    fullWidth: 400,
    fullHeight: 320,
    scale: 0.5,
  });
  const CORNERS: readonly PicturePoint[] = [
    [40, 280],
    [360, 290],
    [340, 40],
    [60, 30],
  ];

  it.each([
    [0, 1, 2, 3],
    [2, 1, 0, 3],
    [1, 3, 0, 2],
    [3, 2, 1, 0],
  ])('are taken as they are, in the order %i %i %i %i too', (...order) => {
    const { outline, toPicture, ...sheet } = rectify(blank(), { corners: order.map((i) => CORNERS[i]) });
    expect(outline.how).toBe('given');
    outline.corners.forEach((p, i) => {
      expect(gap(p, CORNERS[i])).toBeLessThan(1e-6);
      // toPicture speaks of the working picture, at half the size.
      const [x, y] = sheet.polygon[i];
      const [px, py] = toPicture([sheet.originPx[0] + x * sheet.pxPerUnit, sheet.originPx[1] - y * sheet.pxPerUnit]);
      expect(gap([2 * px, 2 * py], CORNERS[i])).toBeLessThan(1e-3);
    });
  });

  it.each<[string, RecoverOptions['corners']]>([
    [
      'two of them',
      [
        [0, 0],
        [100, 0],
      ],
    ],
    [
      'three in line',
      [
        [0, 0],
        [100, 0],
        [200, 0],
        [100, 200],
      ],
    ],
    [
      'two on one spot',
      [
        [0, 0],
        [100, 0],
        [100, 0],
        [0, 100],
      ],
    ],
    [
      'one that dents the outline',
      [
        [0, 0],
        [200, 0],
        [200, 200],
        [150, 60],
      ],
    ],
    [
      'one that is no number',
      [
        [0, 0],
        [200, 0],
        [200, 200],
        [Number.NaN, 60],
      ],
    ],
  ])('are refused in words: %s', (_, corners) => {
    expect(() => rectify(blank(), { corners })).toThrow(PlicaError);
    expect(() => rectify(blank(), { corners })).toThrow(expect.objectContaining({ code: 'bad-option' }));
  });

  it('are asked for where nothing is found', () => {
    expect(() => rectify(blank(), {})).toThrow(
      expect.objectContaining({ code: 'no-pattern', hint: expect.stringContaining('corners') }),
    );
  });
});
