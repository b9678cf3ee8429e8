/** Lines that meet in one place meet in one vertex, however their numbers round. */
import { describe, expect, it } from 'vitest';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import { clusterNodes, crossCarriers } from '../../pipeline/graph/nodes.ts';
import { SQUARE } from '../unit-sheet.ts';

/** The line a x + b y = off over the unit square. */
function carrierOf(a: number, b: number, off: number): Carrier {
  const norm = Math.hypot(a, b);
  const [nx, ny] = [a / norm, b / norm];
  const place = { nx, ny, dx: ny, dy: -nx, off: off / norm, from: -2, to: 2, grid: { direction: 0, index: 0 } };
  return { ...place, residual: 0, seen: new Uint8Array(0), beside: new Float32Array(0) };
}

const SIDES = [carrierOf(0, 1, 0), carrierOf(1, 0, 1), carrierOf(0, 1, 1), carrierOf(1, 0, 0)];

describe('upright, level and slanted lines of a grid', () => {
  it('meet in one vertex for every place of it, from 3 to 40 divisions', () => {
    for (let n = 3; n <= 40; n++) {
      const lines: Carrier[] = [];
      for (let k = 1; k < n; k++) lines.push(carrierOf(1, 0, k / n), carrierOf(0, 1, k / n));
      for (let k = 2; k < 2 * n - 1; k++) lines.push(carrierOf(1, 1, k / n));
      const carriers = [...lines, ...SIDES];
      const runs = carriers.map(() => [{ from: -2, to: 2 }]);
      const crossings = crossCarriers(carriers, runs, 0, SQUARE);
      // Five px where a side has 1,140.
      const [px, width] = [1 / 1140, 5 / 1140];
      const options = { radius: width, reach: 0, slant: 1, width, px, firstSide: carriers.length };
      const nodes = clusterNodes(crossings, carriers, runs, options);
      const places = nodes.filter(({ x, y }) => x > 1e-9 && y > 1e-9 && x < 1 - 1e-9 && y < 1 - 1e-9);
      expect(places.length, `${n} divisions`).toBe((n - 1) ** 2);
    }
  });
});
