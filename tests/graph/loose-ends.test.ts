/** Strokes that no vertex bounds must not vanish; where they lie is known, since the test draws them. */
import { describe, expect, it } from 'vitest';
import { buildGraph } from '../../pipeline/graph/graph.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { blankSheet, type Line, level, line, noLattice, strokesAlong, upright } from './hand.ts';

const sheet = blankSheet();
const SIDES: readonly Line[] = [level(0), level(1), upright(0), upright(1)];

function graphOf(lines: readonly Line[]) {
  const strokes = strokesAlong([...SIDES, ...lines], sheet);
  const graph = buildGraph(strokes, noLattice(strokes, sheet), sheet);
  const inner = graph.pieces.filter((p) => !p.border);
  return { graph, ends: inner.map((p) => [graph.vertices[p.from], graph.vertices[p.to]]) };
}

const isNear = (p: PatternPoint, q: PatternPoint) => Math.hypot(p[0] - q[0], p[1] - q[1]) < 0.006;

function expectPiece(ends: readonly (readonly PatternPoint[])[], from: PatternPoint, to: PatternPoint): void {
  expect(ends.some(([a, b]) => (isNear(a, from) && isNear(b, to)) || (isNear(a, to) && isNear(b, from)))).toBe(true);
}

describe('a stroke whose end is hidden', () => {
  it('is led on to the corner that it aims at', () => {
    // Seen from 0.06 on only: nearer the corner it lies under a neighbour's ink.
    const { ends, graph } = graphOf([line(0.06 * 0.4, 0.06, 0.4, 1), line(0, 0, 1, 0.4)]);
    expect(ends.length).toBe(2);
    expectPiece(ends, [0, 0], [0.4, 1]);
    expect(graph.dangling).toEqual([]);
  });

  it('is led on to the crease that it aims at', () => {
    const { ends, graph } = graphOf([upright(0.5), line(0, 0.3, 0.44, 0.52)]);
    expectPiece(ends, [0, 0.3], [0.5, 0.55]);
    expect(graph.dangling).toEqual([]);
  });
});

describe('the last stretch of a stroke that other creases bound', () => {
  it('is led on to the side that it aims at, however short the stretch beside the whole', () => {
    const { ends, graph } = graphOf([line(0, 0.3, 0.95, 0.49), upright(0.6), line(0.85, 0, 0.85, 1)]);
    expectPiece(ends, [0.85, 0.47], [1, 0.5]);
    expect(graph.dangling).toEqual([]);
  });

  it('is led on to the vertex that it aims at, over half of the whole stroke', () => {
    // The stretch beyond the first crease is as long as the way from its end to the vertex.
    const { ends, graph } = graphOf([
      line(0, 0.2, 0.63, 0.2),
      upright(0.56),
      line(0.7, 0, 0.7, 0.2),
      line(0.7, 0.2, 1, 0.6),
    ]);
    expectPiece(ends, [0.56, 0.2], [0.7, 0.2]);
    expect(graph.dangling).toEqual([]);
  });

  it('is shown where it ends in nothing, and its end is told to hang loose', () => {
    const { ends, graph } = graphOf([line(0, 0.3, 0.8, 0.3), upright(0.6)]);
    expectPiece(ends, [0.6, 0.3], [0.8, 0.3]);
    expect(graph.dangling.length).toBe(1);
  });

  it('is none where the stroke only runs a little past its vertex', () => {
    for (const past of [0.01, 0.03, 0.05]) {
      const { ends, graph } = graphOf([line(0, 0.3, 0.6 + past, 0.3), upright(0.6)]);
      expect(ends.length).toBe(3);
      expect(graph.dangling).toEqual([]);
    }
  });
});

describe('a stroke that hangs on one end', () => {
  it('is shown, and its other end is told to hang loose', () => {
    const { ends, graph } = graphOf([line(0, 0.35, 0.3, 0.5)]);
    expectPiece(ends, [0, 0.35], [0.3, 0.5]);
    expect(graph.dangling.length).toBe(1);
  });
});

describe('no crease is', () => {
  it('a stroke that hangs on nothing', () => {
    expect(graphOf([line(0.3, 0.35, 0.6, 0.5)]).ends).toEqual([]);
  });

  it('a blot hardly longer than wide', () => {
    expect(graphOf([line(0.5, 0.5, 0.515, 0.5)]).ends).toEqual([]);
  });
});
