/** Straight lines right across the sheet: how many vertices, creases and faces there must be, and where. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { findFaces } from '../../pipeline/graph/faces.ts';
import { buildGraph, type StrokeGraph } from '../../pipeline/graph/graph.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { evenly } from '../evenly.ts';
import { SQUARE } from '../unit-sheet.ts';
import { acrossSquare, blankSheet, crossingOf, type Line, noLattice, PX, patternOf, strokesAlong } from './hand.ts';

const sheet = blankSheet();
const LEAST_APART = 0.04;
const LEAST_TURN = (12 * Math.PI) / 180;
const LEAST_OFF = (1 * Math.PI) / 180;

const graphOf = (lines: readonly Line[]): StrokeGraph => {
  const strokes = strokesAlong(lines, sheet);
  return buildGraph(strokes, noLattice(strokes, sheet), sheet);
};

function crossings(lines: readonly Line[]): PatternPoint[] {
  const found: PatternPoint[] = [];
  lines.forEach((a, i) => {
    for (const b of lines.slice(i + 1)) {
      const place = crossingOf(a, b);
      if (place) found.push(place);
    }
  });
  return found;
}

/** General position, with room for a stroke's width: no three lines through a point, no crossing near another or near a side. */
function isRoomy(lines: readonly Line[]): boolean {
  const places = [...SQUARE, ...lines.flat(), ...crossings(lines)];
  const apart = places.every((p, i) =>
    places.slice(i + 1).every((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) > LEAST_APART),
  );
  const angles = [0, Math.PI / 2, ...lines.map(([a, b]) => Math.atan2(b[1] - a[1], b[0] - a[0]))];
  // Directions next to multiples of 22.5 degrees are another matter: they may be turned to them.
  const family = angles.slice(2).some((a) => Math.abs(Math.sin(8 * a)) < Math.sin(8 * LEAST_OFF));
  return (
    !family &&
    apart &&
    angles.every((a, i) => angles.slice(i + 1).every((b) => Math.abs(Math.sin(a - b)) > Math.sin(LEAST_TURN)))
  );
}

/** Lines are taken one by one as long as they leave room. */
const arrangements: fc.Arbitrary<Line[]> = fc
  .array(
    fc.record({
      x: evenly(0.1, 0.9),
      y: evenly(0.1, 0.9),
      angle: evenly(0, Math.PI),
    }),
    { minLength: 5, maxLength: 25 },
  )
  .map((drawn) => {
    const lines: Line[] = [];
    for (const { x, y, angle } of drawn) {
      const line = acrossSquare([x, y], angle);
      if (line && isRoomy([...lines, line])) lines.push(line);
    }
    return lines;
  });

function forEachArrangement(check: (lines: readonly Line[], graph: StrokeGraph) => void): void {
  let most = 0;
  fc.assert(
    fc.property(arrangements, (lines) => {
      most = Math.max(most, crossings(lines).length);
      check(lines, graphOf(lines));
    }),
    { seed: 1826, numRuns: 120, endOnFailure: true },
  );
  expect(most).toBeGreaterThan(10);
}

const nearestTo = (graph: StrokeGraph, [x, y]: PatternPoint): number =>
  Math.min(...graph.vertices.map((v) => Math.hypot(v[0] - x, v[1] - y)));

describe('lines in general position across the sheet', () => {
  it('have as many vertices, creases and faces as they must', () => {
    forEachArrangement((lines, graph) => {
      const n = lines.length;
      const inside = crossings(lines).length;
      // Each line ends on two sides; each crossing cuts two lines.
      expect(graph.vertices.length).toBe(4 + 2 * n + inside);
      expect(graph.pieces.filter((p) => p.border).length).toBe(4 + 2 * n);
      expect(graph.pieces.filter((p) => !p.border).length).toBe(n + 2 * inside);
      // A new line adds one face, and one more for each line that it crosses (Steiner 1826).
      expect(findFaces(patternOf(graph)).count).toBe(1 + n + inside);
    });
  });

  it('keep V - E + F = 1, the outside not counted (Euler 1758), and nothing crosses save at a vertex', () => {
    forEachArrangement((_, graph) => {
      const pattern = patternOf(graph);
      expect(pattern.vertices.length - pattern.creases.length + findFaces(pattern).count).toBe(1);
      expect(checkPlanarGraph(pattern)).toEqual([]);
    });
  });

  it('cross where they cross: to a fiftieth of a px', () => {
    forEachArrangement((lines, graph) => {
      for (const place of [...crossings(lines), ...lines.flat(), ...SQUARE])
        expect(nearestTo(graph, place)).toBeLessThan(0.02 * PX);
    });
  });

  it('leave no end loose', () => {
    forEachArrangement((_, graph) => expect(graph.dangling).toEqual([]));
  });

  it('cut the whole sheet and no more: the faces add up to its area', () => {
    forEachArrangement((_, graph) => {
      const { area } = findFaces(patternOf(graph));
      expect(area.reduce((sum, a) => sum + a, 0)).toBeCloseTo(1, 6);
    });
  });
});

describe('the outline', () => {
  it.each<[string, readonly PatternPoint[]]>([
    ['square', SQUARE],
    [
      'rectangle',
      [
        [0, 0],
        [1, 0],
        [1, 0.6],
        [0, 0.6],
      ],
    ],
    [
      'triangle',
      [
        [0, 0],
        [1, 0],
        [0.5, 0.75],
      ],
    ],
    [
      'hexagon',
      [
        [0.25, 0],
        [0.75, 0],
        [1, 0.43],
        [0.75, 0.86],
        [0.25, 0.86],
        [0, 0.43],
      ],
    ],
  ])('of a %s is one closed ring of edges, whether it was drawn or not', (_, polygon) => {
    const own = blankSheet(polygon);
    const sides = polygon.map((p, i): Line => [p, polygon[(i + 1) % polygon.length]]);
    const fold: Line = [
      [0.3, 0.2],
      [0.6, 0.4],
    ];
    for (const lines of [[fold], [...sides, fold]]) {
      const strokes = strokesAlong(lines, own);
      const graph = buildGraph(strokes, noLattice(strokes, own), own);
      const border = graph.pieces.filter((p) => p.border);
      const next = new Map<number, number[]>();
      for (const { from, to } of border) {
        next.set(from, [...(next.get(from) ?? []), to]);
        next.set(to, [...(next.get(to) ?? []), from]);
      }
      expect([...next.values()].every((ends) => ends.length === 2)).toBe(true);
      let [before, at, steps] = [-1, border[0].from, 0];
      do {
        const [p, q] = next.get(at)!;
        [before, at] = [at, p === before ? q : p];
        steps++;
      } while (at !== border[0].from && steps <= border.length);
      expect(steps).toBe(polygon.length);
      expect(border.length).toBe(polygon.length);
      const around = sides.reduce((sum, [a, b]) => sum + Math.hypot(b[0] - a[0], b[1] - a[1]), 0);
      expect(border.reduce((sum, p) => sum + p.t1 - p.t0, 0)).toBeCloseTo(around, 9);
    }
  });
});
