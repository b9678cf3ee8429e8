/** Drawings by an unsteady hand on a grid: what the hand meant is known, since the test draws it. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildGraph } from '../../pipeline/graph/graph.ts';
import type { LatticeFit } from '../../pipeline/lattice/lattice.ts';
import type { Strokes } from '../../pipeline/strokes/strokes.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { evenly } from '../evenly.ts';
import { blankSheet, type Line, level, line, noLattice, SIDES, strokesAlong, upright } from './hand.ts';

const sheet = blankSheet();

const gridOf = (strokes: Strokes, divisions: number): LatticeFit => ({
  ...noLattice(strokes, sheet),
  pitch: { divisions, halfUnits: false, explained: 1 },
  step: 1 / divisions,
});

function graphOf(lines: readonly Line[], divisions: number) {
  const strokes = strokesAlong([...SIDES, ...lines], sheet);
  return buildGraph(strokes, gridOf(strokes, divisions), sheet);
}

/** The line moved across itself. */
function beside([[ax, ay], [bx, by]]: Line, miss: number): Line {
  const length = Math.hypot(bx - ax, by - ay);
  const [ox, oy] = [((ay - by) / length) * miss, ((bx - ax) / length) * miss];
  return [
    [ax + ox, ay + oy],
    [bx + ox, by + oy],
  ];
}

describe('two lines of the grid and two off it that were meant to meet', () => {
  const PLACE: PatternPoint = [0.4, 0.1];
  const miss = evenly(-0.0026, 0.0026);

  it('meet in one vertex on the grid, and no sliver is left between two', () => {
    fc.assert(
      fc.property(miss, miss, (first, second) => {
        const { vertices, pieces } = graphOf(
          [
            line(0.4, 0.1, 1, 0.1),
            line(0.4, 0, 0.4, 0.1),
            beside(line(0, 0.3, 0.4, 0.1), first),
            beside(line(0.4, 0.1, 0.6, 0.5), second),
            line(0.6, 0.5, 0.6, 1),
            line(0.6, 0.5, 1, 0.5),
          ],
          10,
        );
        const near = vertices.flatMap(([x, y], v) => (Math.hypot(x - PLACE[0], y - PLACE[1]) < 0.03 ? [v] : []));
        expect(near.length).toBe(1);
        expect(vertices[near[0]][0]).toBeCloseTo(PLACE[0], 9);
        expect(vertices[near[0]][1]).toBeCloseTo(PLACE[1], 9);
        expect(pieces.filter((p) => p.from === near[0] || p.to === near[0]).length).toBe(4);
      }),
      {
        seed: 3,
        numRuns: 60,
        endOnFailure: true,
        examples: [
          [0.00243, -0.0026],
          [-0.0026, 0.00243],
          [0.0026, 0.0026],
        ],
      },
    );
  });
});

describe('a stroke along a line of the grid that strays from it towards its end', () => {
  it('is there to its end', () => {
    const straight = [0.25, 0.5, 0.75].flatMap((at, i) => [
      beside(upright(at), i % 2 ? 0.003 : -0.003),
      ...(i > 0 ? [beside(level(at), i % 2 ? -0.003 : 0.003)] : []),
    ]);
    const parts: Line[] = [line(0, 0.25, 0.65, 0.25), line(0.65, 0.25, 1, 0.272)];
    const apart = strokesAlong([...SIDES, ...straight, ...parts], sheet);
    const [first, second] = apart.segments.slice(-2);
    // One stroke of both parts, as straight as it is in the middle.
    const whole = { ...first, x: (first.x + second.x) / 2, length: first.length + second.length };
    const points = Int32Array.from([...first.points, ...second.points]);
    const strokes = { ...apart, segments: [...apart.segments.slice(0, -2), { ...whole, points }] };
    const { vertices, pieces } = buildGraph(strokes, gridOf(strokes, 4), sheet);
    const onLine = pieces.filter(
      (p) => !p.border && [p.from, p.to].every((v) => Math.abs(vertices[v][1] - 0.25) < 1e-9),
    );
    expect(onLine.length).toBe(4);
    for (const { coverage } of onLine) expect(coverage).toBeGreaterThan(0.9);
  });
});

describe('a border that is drawn beside its place for a stretch', () => {
  const REST = SIDES.slice(0, 2);
  const graphWith = (left: readonly Line[]) => {
    const strokes = strokesAlong([...REST, upright(1), ...left, level(0.45), level(0.55), upright(0.5)], sheet);
    return buildGraph(strokes, gridOf(strokes, 20), sheet);
  };

  it('is the border, and no crease beside it', () => {
    const { pieces } = graphWith([line(0, 0, 0, 0.43), line(0.0095, 0.43, 0.0085, 0.57), line(0, 0.57, 0, 1)]);
    expect(pieces.filter((p) => !p.border).length).toBe(7);
  });

  it('hides no crease that runs so near a border that is drawn', () => {
    const { pieces } = graphWith([upright(0), line(0.0095, 0.45, 0.0085, 0.55)]);
    expect(pieces.filter((p) => !p.border).length).toBe(10);
  });
});
