/** Whether pale and dark lines of a grid are mountain and valley (Maekawa's theorem, Hull 1994) or graph paper under creases. */
import { describe, expect, it } from 'vitest';
import { shareOfMaekawa, squareCrossings } from '../../pipeline/lattice/grid-law.ts';
import type { StraightPoints } from '../../pipeline/lattice/straight-points.ts';

const DIVISIONS = 8;
const PX = 1 / 800;

type Line = readonly [x0: number, y0: number, x1: number, y1: number, isDark: boolean];

function shareOf(lines: readonly Line[]): number {
  const [x, y, angle]: number[][] = [[], [], []];
  const dark: boolean[] = [];
  for (const [x0, y0, x1, y1, isDark] of lines) {
    const steps = Math.round(Math.hypot(x1 - x0, y1 - y0) / PX);
    for (let s = 0; s < steps; s++) {
      x.push(x0 + ((x1 - x0) * s) / steps);
      y.push(y0 + ((y1 - y0) * s) / steps);
      angle.push(Math.atan2(y1 - y0, x1 - x0));
      dark.push(isDark);
    }
  }
  const points = { x: Float64Array.from(x), y: Float64Array.from(y), angle: Float64Array.from(angle) };
  return shareOfMaekawa(points as unknown as StraightPoints, (p) => dark[p], squareCrossings(DIVISIONS), PX);
}

const paper: readonly Line[] = Array.from({ length: DIVISIONS + 1 }, (_, k) => k / DIVISIONS).flatMap((t): Line[] => [
  [0, t, 1, t, false],
  [t, 0, t, 1, false],
]);

describe('lines of two strengths on a grid', () => {
  it('are graph paper and creases where most crossings of the paper are bare, though diagonals run through the others', () => {
    expect(shareOf([...paper, [0, 0, 1, 1, true], [0, 1, 1, 0, true], [0, 0.5, 0.5, 1, true]])).toBeLessThan(0.5);
  });

  it('are mountain and valley where three arms of every crossing are of one strength', () => {
    // Upright lines dark; level ones change from step to step.
    const lines = Array.from({ length: DIVISIONS - 1 }, (_, k) => (k + 1) / DIVISIONS).flatMap((t): Line[] => [
      [t, 0, t, 1, true],
      ...Array.from({ length: DIVISIONS }, (_, i): Line => [i / DIVISIONS, t, (i + 1) / DIVISIONS, t, i % 2 === 0]),
    ]);
    expect(shareOf(lines)).toBeGreaterThan(0.95);
  });
});
