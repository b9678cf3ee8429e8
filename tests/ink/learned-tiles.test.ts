import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { enlarge, shrink } from '../../pipeline/ink/scale.ts';
import { cutTile, planTiles } from '../../pipeline/ink/tiling.ts';
import type { Raster } from '../../pipeline/types.ts';

const white = (width: number, height: number): Raster<Uint8Array> => ({
  width,
  height,
  channels: 3,
  data: new Uint8Array(width * height * 3).fill(255),
});

const mark = ({ width, data }: Raster<Uint8Array>, x: number, y: number): void => {
  data.fill(0, (y * width + x) * 3, (y * width + x) * 3 + 3);
};

describe('tiles', () => {
  it('cover every drawn pixel by exactly one core, whose tile holds a margin round it', () => {
    const sizes = fc.record({ width: fc.integer({ min: 1, max: 2300 }), height: fc.integer({ min: 1, max: 1500 }) });
    const places = fc.array(
      fc.tuple(fc.double({ min: 0, max: 0.999, noNaN: true }), fc.double({ min: 0, max: 0.999, noNaN: true })),
      {
        minLength: 1,
        maxLength: 12,
      },
    );
    fc.assert(
      fc.property(sizes, places, ({ width, height }, shares) => {
        // A lone pixel that fills its cell shows no span and is bare by definition.
        fc.pre(width > 1 || height > 1);
        const sheet = white(width, height);
        const points = shares.map(([u, v]) => [Math.floor(u * width), Math.floor(v * height)] as const);
        for (const [x, y] of points) mark(sheet, x, y);
        const tiles = planTiles(sheet);
        for (const [x, y] of points) {
          const cell = [x & ~15, y & ~15, Math.min(width, (x & ~15) + 16), Math.min(height, (y & ~15) + 16)];
          const inCell = new Set(
            points.filter(([u, v]) => u >= cell[0] && u < cell[2] && v >= cell[1] && v < cell[3]).map(String),
          );
          if (inCell.size === (cell[2] - cell[0]) * (cell[3] - cell[1])) continue;
          const holding = tiles.filter(
            ({ core }) => x >= core.left && x < core.right && y >= core.top && y < core.bottom,
          );
          expect(holding).toHaveLength(1);
        }
        for (const { left, top, width: w, height: h, core } of tiles) {
          expect([left % 16, top % 16, w % 16, h % 16]).toEqual([0, 0, 0, 0]);
          expect(core.left - left === 48 || left === 0).toBe(true);
          expect(core.top - top === 48 || top === 0).toBe(true);
          expect(left + w).toBeGreaterThanOrEqual(Math.min(width, core.right + 48));
          expect(top + h).toBeGreaterThanOrEqual(Math.min(height, core.bottom + 48));
        }
      }),
      { numRuns: 30, seed: 4 },
    );
  });

  it('leaves bare parts out: one mark costs one small tile, a blank sheet none', () => {
    const sheet = white(2000, 2000);
    expect(planTiles(sheet)).toEqual([]);
    mark(sheet, 1000, 1000);
    const tiles = planTiles(sheet);
    expect(tiles).toHaveLength(1);
    expect(tiles[0].width * tiles[0].height).toBeLessThan(120 * 120);
  });

  it('go on with the last row and column beyond the sheet', () => {
    const sheet = white(20, 20);
    mark(sheet, 19, 19);
    const [tile] = planTiles(sheet);
    const pixels = cutTile(sheet, tile);
    expect([tile.width, tile.height]).toEqual([32, 32]);
    expect(pixels[(31 * 32 + 31) * 3]).toBe(0);
    expect(pixels[(31 * 32 + 18) * 3]).toBe(255);
  });
});

describe('scale', () => {
  it('takes block means, cut blocks at the border included', () => {
    const data = Uint8Array.from([10, 20, 90, 30, 40, 70]);
    const small = shrink({ width: 3, height: 2, channels: 1, data }, 2);
    expect([small.width, small.height, ...small.data]).toEqual([2, 1, 25, 80]);
  });

  it('gives back a linear ramp exactly, away from the border', () => {
    const [width, height] = [32, 24];
    const ramp = Float32Array.from({ length: 16 * 12 }, (_, i) => 2 * (i % 16) + 3 * Math.floor(i / 16));
    const out = enlarge({ width: 16, height: 12, channels: 1, data: ramp }, 2, width, height);
    let checked = 0;
    for (let y = 1; y < height - 1; y++) {
      for (let x = 1; x < width - 1; x++) {
        // Pixel centres: small index i lies at (i + 0.5) * 2 of the large raster.
        expect(out[y * width + x]).toBeCloseTo(2 * ((x + 0.5) / 2 - 0.5) + 3 * ((y + 0.5) / 2 - 0.5), 4);
        checked++;
      }
    }
    expect(checked).toBe(30 * 22);
  });
});
