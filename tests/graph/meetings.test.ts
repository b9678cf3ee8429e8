/** How strokes meet, fall short, end inside the paper, and go on. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { buildGraph, type StrokeGraph } from '../../pipeline/graph/graph.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { evenly } from '../evenly.ts';
import { acrossSquare, blankSheet, type Line, line, noLattice, PX, patternOf, strokesAlong, upright } from './hand.ts';

const sheet = blankSheet();
const WIDTH_PX = 3;
const graphOf = (lines: readonly Line[]): StrokeGraph => {
  const strokes = strokesAlong(lines, sheet, WIDTH_PX);
  const graph = buildGraph(strokes, noLattice(strokes, sheet), sheet);
  expect(checkPlanarGraph(patternOf(graph))).toEqual([]);
  return graph;
};

const degreeOf = ({ pieces }: StrokeGraph, v: number): number =>
  pieces.filter((p) => p.from === v || p.to === v).length;
const inside = ({ vertices, pieces }: StrokeGraph): number[] => {
  const onSide = new Set(pieces.filter((p) => p.border).flatMap((p) => [p.from, p.to]));
  return vertices.flatMap((_, v) => (onSide.has(v) ? [] : [v]));
};
const gap = ([a, b]: PatternPoint, [c, d]: PatternPoint): number => Math.hypot(c - a, d - b) / PX;

/** From the left side to the right one, and its middle. */
const LEVEL: Line = line(0, 0.4, 1, 0.52);
const onLevel = (t: number): PatternPoint => [t, 0.4 + 0.12 * t];
/** A stroke from the lower side up to the level one, or short of it (or past it) by so many px. */
const riser = (shortPx: number): Line => {
  const top = onLevel(0.45);
  const length = Math.hypot(top[0] - 0.3, top[1]);
  const share = 1 - (shortPx * PX) / length;
  return [
    [0.3, 0],
    [0.3 + share * (top[0] - 0.3), share * top[1]],
  ];
};

describe('a stroke that ends on another', () => {
  it.each([0, 1, -1, 2, WIDTH_PX])('meets it in one vertex of three creases, ending %i px short', (shortPx) => {
    const graph = graphOf([LEVEL, riser(shortPx)]);
    const [joint, ...more] = inside(graph);
    expect(more).toEqual([]);
    expect(degreeOf(graph, joint)).toBe(3);
    expect(gap(graph.vertices[joint], onLevel(0.45))).toBeLessThan(0.05);
    expect(graph.dangling).toEqual([]);
    expect(graph.pieces.filter((p) => !p.border).length).toBe(3);
  });

  it('and goes on to the next is a crossing', () => {
    const top = acrossSquare([0.3, 0], Math.atan2(onLevel(0.45)[1], 0.15))![1];
    const graph = graphOf([LEVEL, [[0.3, 0], top]]);
    const [joint, ...more] = inside(graph);
    expect(more).toEqual([]);
    expect(degreeOf(graph, joint)).toBe(4);
  });
});

describe('two strokes that end at one place', () => {
  it.each([0, 1, 2])('are a corner of two creases, each ending %i px short', (shortPx) => {
    const tip: PatternPoint = [0.55, 0.6];
    const arm = (x: number, y: number): Line => {
      const share = 1 - (shortPx * PX) / Math.hypot(tip[0] - x, tip[1] - y);
      return [
        [x, y],
        [x + share * (tip[0] - x), y + share * (tip[1] - y)],
      ];
    };
    const graph = graphOf([arm(0, 0.45), arm(0.62, 0)]);
    const [joint, ...more] = inside(graph);
    expect(more).toEqual([]);
    expect(degreeOf(graph, joint)).toBe(2);
    expect(gap(graph.vertices[joint], tip)).toBeLessThan(0.05);
    expect(graph.dangling).toEqual([]);
  });
});

describe('a stroke that reaches a side near a corner', () => {
  it.each([6, 8, 12, 16, 25])(
    'ends on that side, %i px from the corner, and nothing lies outside the sheet',
    (awayPx) => {
      for (const angle of [0.5, 0.84, 1.2]) {
        const graph = graphOf([acrossSquare([0, awayPx * PX], angle)!]);
        expect(Math.min(...graph.vertices.flat())).toBeGreaterThan(-1e-9);
        expect(graph.vertices.length).toBe(6);
        expect(graph.pieces.length).toBe(7);
        expect(graph.dangling).toEqual([]);
      }
    },
  );

  it('is taken to start in the corner from a px away', () => {
    const graph = graphOf([acrossSquare([0, PX], 0.84)!]);
    expect(graph.vertices.length).toBe(5);
    expect(graph.pieces.length).toBe(6);
  });
});

describe('eight creases at one vertex', () => {
  const MIDDLE: PatternPoint = [0.47, 0.53];
  const spoke = (angle: number, hitPx: number, shortPx: number): Line => {
    const [, end] = acrossSquare(MIDDLE, angle)!;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    return [[MIDDLE[0] + PX * (shortPx * c - hitPx * s), MIDDLE[1] + PX * (shortPx * s + hitPx * c)], end];
  };

  it('meet in one, each aiming past it by at most half a px and ending short by at most two', () => {
    const places = fc.array(
      fc.record({
        turn: evenly(-0.12, 0.12),
        hit: evenly(-0.5, 0.5),
        short: evenly(0, 2),
      }),
      { minLength: 8, maxLength: 8 },
    );
    fc.assert(
      fc.property(places, (own) => {
        // No two in line, so that each is a line of its own.
        const graph = graphOf(
          own.map((o, i) => spoke(0.2 + (i * Math.PI) / 4 + (i < 4 ? 0.15 : -0.15) + o.turn, o.hit, o.short)),
        );
        const [joint, ...more] = inside(graph);
        expect(more).toEqual([]);
        expect(degreeOf(graph, joint)).toBe(8);
        expect(gap(graph.vertices[joint], MIDDLE)).toBeLessThan(0.7);
        expect(graph.dangling).toEqual([]);
      }),
      { seed: 8, numRuns: 60, endOnFailure: true },
    );
  });

  it('that are four lines right through meet in one just the same', () => {
    const graph = graphOf([0.1, 0.9, 1.7, 2.5].map((angle) => acrossSquare(MIDDLE, angle)!));
    const [joint, ...more] = inside(graph);
    expect(more).toEqual([]);
    expect(degreeOf(graph, joint)).toBe(8);
  });
});

describe('strokes on one line', () => {
  const at = (t: number): PatternPoint => [t, 0.3 + 0.25 * t];

  it.each([0, 1, 4, 8])('that come within %i px of each other are one crease', (gapPx) => {
    const graph = graphOf([
      [at(0), at(0.5)],
      [at(0.5 + gapPx * PX), at(1)],
    ]);
    expect(graph.pieces.filter((p) => !p.border).length).toBe(1);
    expect(inside(graph)).toEqual([]);
  });

  it('with another line between them are two creases that meet on it', () => {
    const graph = graphOf([[at(0), at(0.5)], [at(0.5), at(1)], upright(0.5)]);
    const [joint, ...more] = inside(graph);
    expect(more).toEqual([]);
    expect(degreeOf(graph, joint)).toBe(4);
    expect(gap(graph.vertices[joint], at(0.5))).toBeLessThan(0.05);
  });

  it('beside each other, three stroke widths apart, stay two', () => {
    const shift = 3 * WIDTH_PX * PX;
    const twin: Line = line(0, 0.3 + shift * Math.sqrt(1 + 0.25 ** 2), 1, 0.55 + shift * Math.sqrt(1 + 0.25 ** 2));
    const graph = graphOf([[at(0), at(1)], twin]);
    expect(graph.pieces.filter((p) => !p.border).length).toBe(2);
    expect(inside(graph)).toEqual([]);
  });
});

describe('how much of a crease was seen', () => {
  it('is the share of it that has ink, to 0.05', () => {
    for (const share of [1, 0.9, 0.75]) {
      // One long hole in the second of the two stretches.
      const graph = graphOf([
        line(0, 0.3, 0.5, 0.3),
        line(0.5, 0.3, 0.7, 0.3),
        line(0.7 + 0.5 * (1 - share), 0.3, 1, 0.3),
        upright(0.5),
      ]);
      const right = graph.pieces.find(
        (p) =>
          !p.border &&
          Math.min(graph.vertices[p.from][0], graph.vertices[p.to][0]) > 0.4 &&
          Math.abs(graph.vertices[p.from][1] - graph.vertices[p.to][1]) < 0.01,
      )!;
      expect(Math.abs(right.coverage - share)).toBeLessThan(0.05);
    }
  });
});
