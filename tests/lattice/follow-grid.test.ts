/** A sheet that lies nearly flat but for one corner: the bend is known exactly, since the test makes it. */
import { describe, expect, it } from 'vitest';
import { findLattice } from '../../pipeline/lattice/lattice.ts';
import { blankSheet, type Line, level, line, PX, strokesAlong, upright } from '../graph/hand.ts';

type Place = readonly [number, number];
const DIVISIONS = 64;
const sheet = blankSheet();

/** A slight curl of the sheet, and one corner that is seen up to half a step of the grid beside its place. The sides stay straight. */
function seenAt([x, y]: Place): Place {
  const corner = Math.exp(-((x - 0.14) ** 2 + y ** 2) / 0.03) * 4 * x * (1 - x);
  return [x + 0.012 * x * (1 - x) - 0.016 * corner, y - 0.008 * y * (1 - y)];
}

/** Pieces of the segment from a to b, as strokes of bent lines come, and where each belongs. */
function pieces([a, b]: Line): { seen: Line; true: Line }[] {
  const count = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 0.1));
  const at = (k: number): Place => [a[0] + ((b[0] - a[0]) * k) / count, a[1] + ((b[1] - a[1]) * k) / count];
  return Array.from({ length: count }, (_, k) => ({
    seen: [seenAt(at(k)), seenAt(at(k + 1))],
    true: [at(k), at(k + 1)],
  }));
}

describe('a corner of the sheet that strays by a third of the step', () => {
  // Pleats everywhere but in that corner, where few lines run.
  const pleats = Array.from({ length: DIVISIONS - 1 }, (_, i) => (i + 1) / DIVISIONS)
    .filter((_, i) => i % 3 !== 1)
    .flatMap((k): Line[] =>
      k < 0.3
        ? [
            [
              [k, 0.3],
              [k, 1],
            ],
            [
              [0.3, k],
              [1, k],
            ],
          ]
        : [upright(k), level(k)],
    );
  const few: Line[] = [line(0.15625, 0, 0.15625, 0.3), line(0, 0.15625, 0.3, 0.15625), line(0, 0, 0.3125, 0.3125)];
  const drawn = [...pleats, ...few].flatMap(pieces);
  const fit = findLattice(
    strokesAlong(
      drawn.map(({ seen }) => seen),
      sheet,
    ),
    sheet,
  );

  it('is laid onto the lines that go on in it', () => {
    expect(fit.step).toBeCloseTo(1 / DIVISIONS, 12);
    const off = drawn.map(({ true: [[ax, ay], [bx, by]] }, i) => {
      const { x, y } = fit.straight[i];
      const [nx, ny] = [by - ay, ax - bx];
      return Math.abs(nx * (x - ax) + ny * (y - ay)) / Math.hypot(nx, ny);
    });
    const first = drawn.length - few.flatMap(pieces).length;
    const moved = drawn
      .slice(first)
      .map(({ seen, true: own }) => Math.hypot(seen[0][0] - own[0][0], seen[0][1] - own[0][1]));
    expect(Math.max(...moved)).toBeGreaterThan(0.3 / DIVISIONS);
    expect(Math.max(...off)).toBeLessThan(0.12 / DIVISIONS);
    expect(Math.max(...off.slice(0, first))).toBeLessThan(2 * PX);
  });
});
