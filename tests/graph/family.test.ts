/** Creases of the 22.5-degree family: their directions are exact where the whole drawing keeps to them, and no others are bent to them. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { buildGraph, type StrokeGraph } from '../../pipeline/graph/graph.ts';
import { blankSheet, type Line, line, noLattice, PX, strokesAlong } from './hand.ts';

const sheet = blankSheet();
const graphOf = (lines: readonly Line[]): StrokeGraph => {
  const strokes = strokesAlong(lines, sheet);
  return buildGraph(strokes, noLattice(strokes, sheet), sheet);
};

/** tan 22.5 degrees, by the half-angle formula. */
const T = Math.SQRT2 - 1;
/** Two creases from each corner at 22.5 degrees to its sides, right across. */
const CORNER_LINES: readonly Line[] = [
  line(0, 0, 1, T),
  line(0, 0, T, 1),
  line(1, 0, 0, T),
  line(1, 0, 1 - T, 1),
  line(1, 1, 0, 1 - T),
  line(1, 1, 1 - T, 0),
  line(0, 1, 1, 1 - T),
  line(0, 1, T, 0),
];

const nearest = ({ vertices }: StrokeGraph, x: number, y: number): number =>
  Math.min(...vertices.map((v) => Math.hypot(v[0] - x, v[1] - y))) / PX;

describe('creases at 22.5 degrees from the four corners', () => {
  it.each([1, 2, 3])('meet at a + b√2 to a px, each end measured up to half a px off (seed %i)', (seed) => {
    const random = makeRandom(seed);
    const off = () => random.range(-0.5, 0.5) * PX;
    const graph = graphOf(CORNER_LINES.map(([a, b]) => line(a[0] + off(), a[1] + off(), b[0] + off(), b[1] + off())));
    // On the middle lines, on the diagonals, and on the sides.
    for (const [x, y] of [
      [0.5, T / 2],
      [T / 2, 0.5],
      [1 - T / 2, 0.5],
      [0.5, 1 - T / 2],
      [1 - Math.SQRT1_2, 1 - Math.SQRT1_2],
      [Math.SQRT1_2, 1 - Math.SQRT1_2],
      [1, T],
      [1 - T, 1],
    ])
      expect(nearest(graph, x, y)).toBeLessThan(1);
  });
});

describe('a crease that is nearly of the family', () => {
  // 2 in 5 is 21.8 degrees, 0.7 off: half a side away that is five px, more than any stroke's place is off.
  it.each([
    ['2 in 5', line(0, 0.31, 1, 0.71)],
    ['5 in 2', line(0.31, 0, 0.71, 1)],
    ['2 in 5 down', line(0, 0.71, 1, 0.31)],
  ])('%s, among creases that are: stays where its ink is', (_, drawn) => {
    const graph = graphOf([...CORNER_LINES, drawn]);
    for (const [x, y] of drawn) expect(nearest(graph, x, y)).toBeLessThan(0.1);
    const carrier = graph.carriers.find((c) =>
      drawn.every(([x, y]) => Math.abs(c.nx * x + c.ny * y - c.off) < 0.1 * PX),
    );
    expect(carrier).toBeDefined();
  });
});

describe('short creases beside a coarse grid', () => {
  it('are lines of their own: two of 0.146 of the side, at 1 - 1/√2 / 2, where the diagonals of half a sheet are met', () => {
    const at = (1 - Math.SQRT1_2) / 2;
    const short = [line(1 - at, at, 1, at), line(1 - at, 0, 1 - at, at)];
    const strokes = strokesAlong([...CORNER_LINES, line(0, 0.5, 1, 0.5), line(0.5, 0, 0.5, 1), ...short], sheet);
    const pitch = { divisions: 2, halfUnits: false, explained: 0.6 };
    const graph = buildGraph(strokes, { ...noLattice(strokes, sheet), pitch, step: 0.5 }, sheet);
    for (const [a, b] of short)
      for (const [x, y] of [a, b, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]])
        expect(
          Math.min(
            ...graph.carriers.map((c) =>
              Math.abs(c.dx * (b[1] - a[1]) - c.dy * (b[0] - a[0])) > 0.01 ? 1 : Math.abs(c.nx * x + c.ny * y - c.off),
            ),
          ),
        ).toBeLessThan(2 * PX);
  });
});
