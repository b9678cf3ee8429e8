/** The fish base as a hand draws it: strokes that miss their vertices and bow, with the true vertices known from the theory. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { toPoint } from '../../pipeline/geometry/exact.ts';
import { buildGraph } from '../../pipeline/graph/graph.ts';
import { lawfulRadius } from '../../pipeline/graph/join-radius.ts';
import { joinBowed } from '../../pipeline/lattice/bowed.ts';
import type { FreeSegment } from '../../pipeline/lattice/free-lines.ts';
import { fitExact } from '../../pipeline/resolve/exact.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { evenly } from '../evenly.ts';
import { blankSheet, type Line, line, noLattice, PX, strokesAlong, waveringStroke } from './hand.ts';

/** 1 - 1/√2: where the angle bisectors of the fish base meet (ear of the corner triangle: the incentre). */
const A = 1 - Math.SQRT1_2;
const B = Math.SQRT1_2;
const VERTICES: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
  [A, B],
  [B, A],
  [A, 1],
  [B, 0],
];
const FISH: readonly (readonly [number, number])[] = [
  [0, 4],
  [2, 4],
  [3, 4],
  [6, 4],
  [0, 5],
  [2, 5],
  [1, 5],
  [7, 5],
];
const SIDES: readonly Line[] = [line(0, 0, 1, 0), line(1, 0, 1, 1), line(1, 1, 0, 1), line(0, 1, 0, 0)];

const miss = evenly(-0.006, 0.006);

describe('the fish base drawn without a ruler', () => {
  it('has its true vertices, every one exact, whatever the hand missed them by', () => {
    const sheet = blankSheet();
    fc.assert(
      fc.property(
        fc.array(fc.tuple(miss, miss, evenly(-0.005, 0.005)), { minLength: FISH.length, maxLength: FISH.length }),
        (misses) => {
          const lines = [
            ...SIDES,
            ...FISH.flatMap(([a, b], i) => waveringStroke([VERTICES[a], VERTICES[b]], ...misses[i])),
          ];
          const strokes = strokesAlong(lines, sheet);
          const graph = buildGraph(strokes, noLattice(strokes, sheet), sheet);
          const { exact } = fitExact(graph, noLattice(strokes, sheet), sheet);
          for (const [x, y] of VERTICES) {
            expect(exact.some((e) => e && Math.hypot(toPoint(e)[0] - x, toPoint(e)[1] - y) < 1e-12)).toBe(true);
          }
        },
      ),
      { seed: 11, numRuns: 40 },
    );
  });
});

describe('the radius that leaves the fewest odd vertices', () => {
  it('is the smallest that mends nearly all that can be mended', () => {
    expect(lawfulRadius(0.004, (r) => (r < 0.01 ? 9 : 0))).toBeGreaterThanOrEqual(0.01);
    expect(lawfulRadius(0.004, (r) => (r < 0.01 ? 9 : 0))).toBeLessThan(0.0121);
  });

  it('stays as it is where vertices are even, and where joining mends less than half', () => {
    expect(lawfulRadius(0.004, () => 1)).toBe(0.004);
    expect(lawfulRadius(0.004, (r) => (r < 0.01 ? 9 : 6))).toBe(0.004);
  });
});

describe('pieces of bowed strokes', () => {
  const piece = ([[ax, ay], [bx, by]]: Line): FreeSegment => ({
    x: (ax + bx) / 2,
    y: (ay + by) / 2,
    angle: (Math.atan2(by - ay, bx - ax) + Math.PI) % Math.PI,
    length: Math.hypot(bx - ax, by - ay),
    points: new Int32Array(0),
  });
  const arc = [line(0.1, 0.5, 0.3, 0.508), line(0.3, 0.508, 0.5, 0.508), line(0.5, 0.508, 0.7, 0.5)].map(piece);

  it('are one line from the first end to the last', () => {
    const [joined, ...rest] = joinBowed(arc, arc, 3 * PX);
    expect(rest).toEqual([]);
    expect(joined.length).toBeCloseTo(0.6, 3);
    expect(Math.sin(joined.angle)).toBeCloseTo(0, 3);
    expect(joined.bow).toBeLessThan(0.008);
  });

  it('stay apart where another stroke meets the joint: it may be a vertex', () => {
    const across = [piece(line(0.3, 0.2, 0.3, 0.508)), piece(line(0.5, 0.2, 0.5, 0.8))];
    expect(joinBowed(arc, [...arc, ...across], 3 * PX)).toHaveLength(3);
  });

  it('stay apart where they turn a corner', () => {
    const corner = [line(0.1, 0.5, 0.3, 0.5), line(0.3, 0.5, 0.5, 0.56)].map(piece);
    expect(joinBowed(corner, corner, 3 * PX)).toHaveLength(2);
  });
});

describe('a line turned to the direction that nearly all keep to', () => {
  it('holds the ink that it was drawn with from end to end', () => {
    // The diagonal misses both its corners by two strays of a thin stroke, on opposite sides.
    const sheet = blankSheet();
    const off = 0.0026;
    const lines = [...SIDES, line(0, 1, 1, 0), line(0, 0.5, 1, 0.5), line(off, 0, 1 - off, 1)];
    const strokes = strokesAlong(lines, sheet, 2);
    const { pieces } = buildGraph(strokes, noLattice(strokes, sheet), sheet);
    expect(pieces.filter(({ border }) => !border)).toHaveLength(6);
  });
});
