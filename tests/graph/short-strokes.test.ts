/** Creases cut short by the border of the sheet are found from the vertex that they leave; where they lie is known, since the test draws them. */
import { describe, expect, it } from 'vitest';
import { NO_BEND } from '../../pipeline/geometry/bend.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { buildGraph, type StrokeGraph } from '../../pipeline/graph/graph.ts';
import { withShortStrokes } from '../../pipeline/graph/short-strokes.ts';
import { findLattice } from '../../pipeline/lattice/lattice.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { bar, disc, fieldOf, type Patch, paint } from '../ink/painted.ts';
import { blankSheet, type Line, line, PX, PX_PER_UNIT, patternOf, SIDES } from './hand.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 3;
/** Four px: far nearer than the next vertex. */
const NEAR = 0.005;

const at = ([x, y]: PatternPoint) =>
  [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;

function graphOf(
  lines: readonly Line[],
  { borderPx = WIDTH_PX, more = [] }: { borderPx?: number; more?: readonly Patch[] } = {},
): { before: StrokeGraph; graph: StrokeGraph } {
  const patches = [
    ...SIDES.map(([a, b]) => bar(at(a), at(b), borderPx)),
    ...lines.map(([a, b]) => bar(at(a), at(b), WIDTH_PX)),
    ...more,
  ];
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, patches), WIDTH_PX);
  const strokes = findStrokes(ink);
  const before = buildGraph(strokes, { ...findLattice(strokes, sheet), pitch: null, step: 0, bend: NO_BEND }, sheet);
  return { before, graph: withShortStrokes(before, ink, NO_BEND, sheet) };
}

const isNear = (p: PatternPoint, q: PatternPoint) => Math.hypot(p[0] - q[0], p[1] - q[1]) < NEAR;

function inner({ pieces, vertices }: StrokeGraph): (readonly [PatternPoint, PatternPoint])[] {
  return pieces.filter((p) => !p.border).map((p) => [vertices[p.from], vertices[p.to]]);
}

function expectExactly(graph: StrokeGraph, lines: readonly Line[]): void {
  const found = inner(graph);
  for (const [from, to] of lines) {
    const own = found.filter(([a, b]) => (isNear(a, from) && isNear(b, to)) || (isNear(a, to) && isNear(b, from)));
    expect(own.length, `${from} to ${to}`).toBe(1);
  }
  expect(found.length).toBe(lines.length);
  expect(checkPlanarGraph(patternOf(graph))).toEqual([]);
  expect(graph.dangling).toEqual([]);
}

/** A vertex near the bottom side, with two long creases to the top and two cut short by the side, as a tiling's edge has them. */
const corner = (x: number, height: number, left: number, right: number): Line[] => [
  line(x, height, x - 0.13, 1),
  line(x, height, x + 0.17, 1),
  line(x, height, x - left, 0),
  line(x, height, x + right, 0),
];

describe('creases from a vertex to a side close by', () => {
  for (const [name, height, left, right] of [
    ['12 px and 15 px long', 0.0145, 0.0035, 0.0115],
    ['at slants of 30 and 45 degrees', 0.015, 0.026, 0.015],
    ['one of them 35 px long, at 20 degrees', 0.0145, 0.04, 0.004],
  ] as const) {
    it(`are found: ${name}`, () => {
      const lines = [...corner(0.3, height, left, right), ...corner(0.7, height, left, right)];
      expectExactly(graphOf(lines).graph, lines);
    });
  }

  it('are found beside a border three times as broad', () => {
    const lines = corner(0.5, 0.022, 0.006, 0.017);
    expectExactly(graphOf(lines, { borderPx: 9 }).graph, lines);
  });

  it('are found at each side of the sheet', () => {
    let lines = corner(0.5, 0.0145, 0.0035, 0.0115);
    for (let k = 0; k < 4; k++) {
      expectExactly(graphOf(lines).graph, lines);
      lines = lines.map(([[ax, ay], [bx, by]]) => line(1 - ay, ax, 1 - by, bx));
    }
  });

  it('count as seen by the share of them that no other ink hides', () => {
    const { before, graph } = graphOf([...corner(0.3, 0.0145, 0.0035, 0.0115), ...corner(0.7, 0.015, 0.026, 0.015)]);
    const known = before.carriers.length - SIDES.length;
    const added = graph.pieces.filter((p) => !p.border && p.carrier >= known);
    // Found by nothing else.
    expect(added.length).toBeGreaterThan(0);
    for (const { t0, t1, coverage } of added) {
      // A stroke of 3 px and a border of 3 px hide 4 px of it at least, and at a slant of 30 degrees no more than 7.
      const length = (t1 - t0) / PX;
      expect(coverage).toBeLessThan(1 - 4 / length);
      expect(coverage).toBeGreaterThan(1 - 7 / length);
    }
  });
});

describe('nothing is added', () => {
  const unchanged = (lines: readonly Line[], options: Parameters<typeof graphOf>[1] = {}) => {
    const { before, graph } = graphOf(lines, options);
    expect(inner(before).length).toBeGreaterThan(0);
    expect(inner(graph)).toEqual(inner(before));
  };

  it('where a vertex near the side has no crease to it', () =>
    unchanged([line(0.3, 0.02, 0.2, 1), line(0.3, 0.02, 0.4, 1), line(0.3, 0.02, 0, 0.5), line(0.3, 0.02, 1, 0.5)]));

  it('where a blot reaches from the vertex to the side', () =>
    unchanged([line(0.3, 0.0145, 0.2, 1), line(0.3, 0.0145, 0.4, 1)], { more: [disc(at([0.3, 0.0075]), 10)] }));

  it('for creases that are known already', () => unchanged(corner(0.5, 0.12, 0.05, 0.03)));
});
