import { describe, expect, it } from 'vitest';
import { rhythmParts } from '../../datasets/recipes/convention.ts';
import type { Drawing, Mark } from '../../datasets/recipes/drawing.ts';
import { straightRuns } from '../../datasets/recipes/page.ts';
import { dashRuns, drawByDistance } from '../../datasets/recipes/paintRoute.ts';
import { seededRandom } from '../../datasets/recipes/random.ts';
import { drawAsSvg } from '../../datasets/recipes/svgRoute.ts';
import type { Pattern, Raster } from '../../pipeline/types.ts';

const stroke = (
  points: number[],
  width: number,
  dash: number[] = [],
  cap: 'butt' | 'round' | 'square' = 'butt',
): Mark => ({
  mark: 'stroke',
  points,
  width,
  colour: [0, 0, 0],
  opacity: 1,
  dash,
  dashOffset: 0,
  cap,
});

function page(...marks: Mark[]): Drawing {
  return { width: 200, height: 160, ground: [255, 255, 255], marks };
}

/** Ink on the page in pixels of full black. */
function ink({ data }: Raster): number {
  let sum = 0;
  for (let i = 0; i < data.length; i += 3) sum += 1 - data[i] / 255;
  return sum;
}

/** Length times width, and a disc for two round ends: plane geometry. */
const CASES: [string, Mark, number][] = [
  ['level, whole pixels', stroke([20, 40, 180, 40], 4), 160 * 4],
  ['level, between pixels', stroke([20.3, 40.7, 180.3, 40.7], 2.5), 160 * 2.5],
  ['slanted', stroke([20, 20, 140, 110], 3), 150 * 3],
  ['steep and thin', stroke([50, 20, 60, 140], 1.2), Math.hypot(10, 120) * 1.2],
  ['round ends', stroke([40, 80, 160, 80], 10, [], 'round'), 120 * 10 + Math.PI * 25],
  ['square ends', stroke([40, 80, 160, 80], 8, [], 'square'), 128 * 8],
  // Dash 12, gap 3 in line widths: dashed line 02 of ISO 128 by the table in use for line types named after it.
  ['dashed 12, 3', stroke([20, 80, 170, 80], 1, [12, 3]), (150 * 12) / 15],
  ['dash-dot 12, 3, 0.5, 3 at width 2', stroke([20, 80, 168, 80], 2, [24, 6, 1, 6]), (148 * 25 * 2) / 37],
];

const shape = (points: number[]): Mark => ({ mark: 'shape', points, colour: [0, 0, 0], opacity: 1 });
const SHAPES: [string, Mark, number][] = [
  ['box between pixels', shape([20.5, 30.25, 120.5, 30.25, 120.5, 90.75, 20.5, 90.75]), 100 * 60.5],
  ['triangle', shape([20, 20, 140, 40, 60, 130]), (120 * 110 - 20 * 40) / 2],
];

describe.each([...CASES, ...SHAPES])('a mark, %s', (_name, mark, area) => {
  it('has the ink of its area when drawn by distance', () => {
    expect(ink(drawByDistance(page(mark), 'display'))).toBeCloseTo(area, -0.6);
    expect(Math.abs(ink(drawByDistance(page(mark), 'display')) / area - 1)).toBeLessThan(0.03);
  });

  it('has the ink of its area when drawn by the SVG library', async () => {
    expect(Math.abs(ink(await drawAsSvg(page(mark))) / area - 1)).toBeLessThan(0.03);
  });

  it('looks the same by both routes', async () => {
    const [a, b] = [drawByDistance(page(mark), 'display'), await drawAsSvg(page(mark))];
    let difference = 0;
    for (let i = 0; i < a.data.length; i += 3) difference += Math.abs(a.data[i] - b.data[i]) / 255;
    // Edges are filtered differently: up to a tenth of the ink may lie elsewhere within a pixel; a dash that starts a pixel off shows.
    expect(difference / area).toBeLessThan(0.12);
  });
});

describe('dashes', () => {
  it('carry on round corners of a polyline', () => {
    const runs = dashRuns([0, 0, 10, 0, 10, 10], [6, 2], 0);
    expect(runs).toEqual([
      [0, 0, 6, 0],
      [8, 0, 10, 0, 10, 4],
      [10, 6, 10, 10],
    ]);
  });

  it('always have gaps that can be seen, and are shorter than the room', () => {
    let made = 0;
    for (let seed = 0; seed < 300; seed++) {
      const random = seededRandom(seed, 'rhythm');
      const width = random.range(1, 6);
      const room = random.range(20, 120);
      const cap = random.pick(['butt', 'round', 'square'] as const);
      const parts = rhythmParts(random, random.pick(['dashed', 'dashdot', 'dashdotdot'] as const), width, room, cap);
      if (!parts) continue;
      made++;
      const grow = cap === 'butt' ? 0 : width;
      for (let i = 1; i < parts.length; i += 2) expect(parts[i] - grow).toBeGreaterThanOrEqual(1.5);
      expect(parts[0]).toBeGreaterThan(parts[1] - grow);
      if (parts.length > 2) expect(parts[0] + grow).toBeGreaterThan(1.9 * (parts[2] + grow));
      expect(parts.reduce((sum, part) => sum + part, 0)).toBeLessThanOrEqual(room + 1e-9);
    }
    expect(made).toBeGreaterThan(100);
  });
});

describe('straight runs', () => {
  it('join creases of one kind that go straight on, and no others', () => {
    const pattern: Pattern = {
      vertices: [
        [0, 0],
        [0.25, 0],
        [0.5, 0],
        [0.75, 0],
        [0.5, 0.5],
      ],
      exact: [null, null, null, null, null],
      creases: [
        { from: 1, to: 0, kind: 'M' },
        { from: 1, to: 2, kind: 'M' },
        { from: 2, to: 3, kind: 'V' },
        { from: 2, to: 4, kind: 'M' },
      ],
      lattice: null,
    };
    const runs = straightRuns(pattern).map(({ from, to, kind }) => [...[from, to].sort(), kind].join(' '));
    expect(runs.sort()).toEqual(['0 2 M', '2 3 V', '2 4 M']);
  });
});
