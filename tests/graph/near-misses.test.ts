/** Lines that come near each other where no crease ends: each must have its vertices where it meets others, and nowhere else. */
import { describe, expect, it } from 'vitest';
import { borderCarriers } from '../../pipeline/graph/border.ts';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { buildGraph, type StrokeGraph } from '../../pipeline/graph/graph.ts';
import { straightCarrier } from '../../pipeline/graph/straight-carrier.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { blankSheet, crossingOf, type Line, line, noLattice, PX, patternOf, SIDES, strokesAlong } from './hand.ts';

const sheet = blankSheet();
const WIDTH_PX = 3;
const graphOf = (lines: readonly Line[], widthPx = WIDTH_PX): StrokeGraph => {
  const strokes = strokesAlong(lines, sheet, widthPx);
  return buildGraph(strokes, noLattice(strokes, sheet), sheet);
};
const insideOf = ({ vertices }: StrokeGraph): PatternPoint[] =>
  vertices.filter(([x, y]) => Math.min(x, y, 1 - x, 1 - y) > 10 * PX);
const degreeAt = ({ vertices, pieces }: StrokeGraph, place: PatternPoint): number =>
  pieces.filter((p) => [p.from, p.to].some((v) => gap(vertices[v], place) < 1)).length;
const gap = ([a, b]: PatternPoint, [c, d]: PatternPoint): number => Math.hypot(c - a, d - b) / PX;

describe('two lines that cross', () => {
  const rising = line(0.2, 0, 0.8, 1);
  const level = line(0, 0.4, 1, 0.52);
  const crossing = crossingOf(rising, level)!;
  /** The rising line without so many px at its crossing. */
  const broken = (px: number): Line[] => {
    const [ux, uy] = [0.6 / Math.hypot(0.6, 1), 1 / Math.hypot(0.6, 1)];
    const [dx, dy] = [(px / 2) * PX * ux, (px / 2) * PX * uy];
    return [
      [rising[0], [crossing[0] - dx, crossing[1] - dy]],
      [[crossing[0] + dx, crossing[1] + dy], rising[1]],
    ];
  };

  it.each([0, 20, 60, 90])('have a vertex there, and %i px of one of them unseen around it', (px) => {
    const graph = graphOf([level, ...broken(px), ...SIDES]);
    expect(checkPlanarGraph(patternOf(graph))).toEqual([]);
    expect(insideOf(graph).length).toBe(1);
    expect(degreeAt(graph, crossing)).toBe(4);
  });
});

describe('a side of the sheet', () => {
  it('is a piece of its stroke that wavers, and no crease that leaves it is', () => {
    const along = (from: PatternPoint, to: PatternPoint): Carrier =>
      straightCarrier(from, to, { from: 0, to: Math.hypot(to[0] - from[0], to[1] - from[1]) }, PX);
    const side = along([0, 1], [1, 1]);
    const waver = along([0.4, 1], [0.46, 1 - 4 * PX]);
    const crease = along([0.4, 1], [0.7, 1 - 20 * PX]);
    expect(borderCarriers([side, waver, crease], sheet, WIDTH_PX * PX).inner).toEqual([crease]);
  });
});

describe('a short crease between two vertices', () => {
  it('is whole where lines of the one vertex and the other, led on, would cross beside it', () => {
    const [a, b]: PatternPoint[] = [
      [0.4, 0.6],
      [0.43, 0.6],
    ];
    const lines: Line[] = [line(0, 0.6, 1, 0.6), [[0, 0.48], a], [[0, 0.72], a], [b, [1, 0.771]], [b, [1, 0.429]]];
    const graph = graphOf([...lines, ...SIDES]);
    expect(checkPlanarGraph(patternOf(graph))).toEqual([]);
    expect(graph.dangling).toEqual([]);
    expect(insideOf(graph).length).toBe(2);
    expect([a, b].map((place) => degreeAt(graph, place))).toEqual([4, 4]);
  });
});
