/**
 * Unsteady lines near a grid belong to it; lines anywhere between its lines do not. Checked against what a uniform
 * distribution must give (a share of about 2 r lies within r of a whole number), not against the code's own numbers.
 */
import { describe, expect, it } from 'vitest';
import { gridReach, lineBeside } from '../../pipeline/lattice/grid-reach.ts';
import type { StraightSegment } from '../../pipeline/lattice/straight-segment.ts';

const STEP = 1 / 8;

/** Level and upright strokes, half a sheet long, `off` steps beside grid lines 1 to 7. */
function strokes(off: (k: number) => number, turn = 0): StraightSegment[] {
  return Array.from({ length: 14 }, (_, k) => {
    const place = ((k % 7) + 1 + off(k)) * STEP;
    const isLevel = k < 7;
    return {
      x: isLevel ? 0.5 : place,
      y: isLevel ? place : 0.5,
      angle: (isLevel ? 0 : Math.PI / 2) + (k % 2 ? turn : 0),
      length: 0.5,
    };
  });
}

describe('how far strokes of the grid may lie beside it', () => {
  it('covers an unsteady hand and leaves more than half a step free', () => {
    const reach = gridReach({ straight: strokes((k) => 0.08 * Math.sin(12.9898 * (k + 1))), step: STEP });
    expect(reach).toBeGreaterThan(0.08 * STEP);
    expect(reach).toBeLessThan(0.25 * STEP);
  });

  it('is nothing where lines lie anywhere between the grid lines', () => {
    // Multiples of the golden section spread evenly (Weyl 1916): only about a quarter lies within 0.13 of the grid.
    const golden = (Math.sqrt(5) - 1) / 2;
    const anywhere = strokes((k) => ((k * golden) % 1) - 0.5);
    expect(gridReach({ straight: anywhere, step: STEP })).toBe(0);
  });

  it('is nothing where most lines lie on the grid and the others all off it by far more', () => {
    // Lines of the 22.5-degree family, at 1 - 1/root 2 and the like, may all lie within 0.13 of a step of a coarse grid.
    const steady = strokes((k) => (k % 3 === 0 ? 0.12 : 0.0015 * Math.sin(12.9898 * (k + 1))));
    expect(gridReach({ straight: steady, step: STEP })).toBe(0);
  });

  it('is nothing for a handful of lines, which may be near by chance', () => {
    expect(gridReach({ straight: strokes(() => 0.05).slice(0, 4), step: STEP })).toBe(0);
  });
});

describe('the grid line beside a stroke', () => {
  it('is the nearest in its direction, with the distance in root mean square', () => {
    const turn = 0.05;
    const [, second] = strokes(() => 0.06, turn);
    const line = lineBeside(second, STEP);
    expect(line).toMatchObject({ direction: 0, index: 2 });
    // A stroke of length l turned by a about a point at height h: h^2 + (l sin a)^2 / 12.
    expect(line?.miss).toBeCloseTo(Math.sqrt((0.06 * STEP) ** 2 + (0.5 * Math.sin(turn)) ** 2 / 12), 9);
  });

  it('is none for a stroke across all directions', () => {
    expect(lineBeside({ x: 0.5, y: 0.5, angle: Math.PI / 8, length: 0.5 }, STEP)).toBeNull();
  });
});
