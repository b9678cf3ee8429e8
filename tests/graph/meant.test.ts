/**
 * Drawings in multiples of 22.5 degrees by an unsteady hand. True places follow from theorems: the crimped flaps of the bird base and
 * the frog base meet in the incentres of the triangles between their creases (Euclid, Elements IV.4).
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { toPoint } from '../../pipeline/geometry/exact.ts';
import { fuseMeant } from '../../pipeline/graph/fused.ts';
import { buildGraph } from '../../pipeline/graph/graph.ts';
import { meantLines } from '../../pipeline/graph/meant-lines.ts';
import { straightCarrier } from '../../pipeline/graph/straight-carrier.ts';
import { fitExact } from '../../pipeline/resolve/exact.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { evenly } from '../evenly.ts';
import { blankSheet, type Line, line, noLattice, PX, SIDES, strokesAlong, waveringStroke } from './hand.ts';

const CORNERS: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const MIDDLES: readonly PatternPoint[] = [
  [0.5, 0],
  [1, 0.5],
  [0.5, 1],
  [0, 0.5],
];
const CENTRE: PatternPoint = [0.5, 0.5];

/** Each vertex weighted with the length of the side across from it. */
function incentre(a: PatternPoint, b: PatternPoint, c: PatternPoint): PatternPoint {
  const [u, v, w] = [away(b, c), away(a, c), away(a, b)];
  const at = (axis: 0 | 1): number => (u * a[axis] + v * b[axis] + w * c[axis]) / (u + v + w);
  return [at(0), at(1)];
}

function away(p: PatternPoint, q: PatternPoint): number {
  return Math.hypot(p[0] - q[0], p[1] - q[1]);
}

/** Foot of the perpendicular on the side that holds the place beside which a point lies. */
function onSide([x, y]: PatternPoint, [sx, sy]: PatternPoint): PatternPoint {
  return sx === 0 || sx === 1 ? [sx, y] : [x, sy];
}

function bird(): Line[] {
  const ears = CORNERS.map((a, i) => incentre(a, CORNERS[(i + 1) % 4], CENTRE));
  return [
    [CORNERS[1], CORNERS[3]],
    ...ears.flatMap((ear, i): Line[] => [
      [CORNERS[i], ear],
      [CORNERS[(i + 1) % 4], ear],
      [CENTRE, ear],
      [ear, MIDDLES[i]],
    ]),
  ];
}

function frog(): Line[] {
  const flaps = CORNERS.flatMap((corner, i): Line[] =>
    [MIDDLES[i], MIDDLES[(i + 3) % 4]].flatMap((middle): Line[] => {
      const ear = incentre(corner, middle, CENTRE);
      return [
        [CENTRE, ear],
        [corner, ear],
        [middle, ear],
        [ear, onSide(ear, middle)],
      ];
    }),
  );
  return [[MIDDLES[0], MIDDLES[2]], [MIDDLES[3], MIDDLES[1]], [CORNERS[0], CORNERS[2]], ...flaps];
}

function verticesOf(lines: readonly Line[]): PatternPoint[] {
  const all = [...CORNERS, ...lines.flat()];
  return all.filter((p, i) => all.findIndex((q) => away(p, q) < 1e-9) === i);
}

const sheet = blankSheet();

function exactPlaces(lines: readonly Line[]): PatternPoint[] {
  const strokes = strokesAlong([...SIDES, ...lines], sheet);
  const graph = buildGraph(strokes, noLattice(strokes, sheet), sheet);
  const { exact } = fitExact(graph, noLattice(strokes, sheet), sheet);
  return exact.flatMap((e) => (e ? [toPoint(e)] : []));
}

const miss = evenly(-0.009, 0.009);

describe.each([
  ['bird base', bird()],
  ['frog base', frog()],
])('the %s drawn without a ruler', (_, lines) => {
  it('has its true vertices, every one exact, though no two strokes meet where they should', () => {
    const wanted = verticesOf(lines);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(miss, miss, evenly(-0.004, 0.004)), { minLength: lines.length, maxLength: lines.length }),
        (misses) => {
          const found = exactPlaces(lines.flatMap((l, i) => waveringStroke(l, ...misses[i])));
          for (const place of wanted) expect(found.some((p) => away(p, place) < 1e-9)).toBe(true);
        },
      ),
      { seed: 11, numRuns: 25 },
    );
  });
});

describe('lines as they were meant', () => {
  const carrierOf = ([a, b]: Line) => straightCarrier(a, b, { from: 0, to: away(a, b) }, PX);
  const meantOf = (lines: readonly Line[]) => {
    const carriers = lines.map(carrierOf);
    return meantLines(
      carriers,
      carriers.map(({ from, to }) => [{ from, to }]),
      CORNERS,
    );
  };

  it('pass through the corner that they miss', () => {
    const meant = meantOf([line(0.006, 0, 1, 0.99), line(0, 0.008, 0.995, Math.tan(Math.PI / 8))]);
    for (const l of meant ?? []) expect(l && Math.abs(l.off)).toBeLessThan(1e-9);
    expect(meant?.length).toBe(2);
  });

  it('are not told of a drawing in other directions', () => {
    expect(meantOf([line(0, 0.1, 1, 0.32), line(0.2, 0, 0.47, 1), line(0, 0.7, 0.9, 0), line(0.1, 1, 1, 0.5)])).toBe(
      null,
    );
  });

  it('stay two where two strokes run beside each other', () => {
    const meant = meantOf([
      line(0, 0, 1, 1),
      line(0.025, 0, 0.4, 0.375),
      line(0, 1, 1, 0),
      line(0.5, 0, 0.5, 1),
      line(0, 0.5, 1, 0.5),
    ]);
    expect(meant?.[0]?.off).toBeCloseTo(0, 9);
    expect(Math.abs(meant?.[1]?.off ?? 1)).toBeGreaterThan(0.01);
  });

  it('make one carrier of the halves of a stroke that turned, with the ink of both', () => {
    const halves = [line(0, 0.003, 0.52, 0.515), line(0.47, 0.475, 1, 0.996)];
    const meant = meantOf([...halves, line(0, 1, 1, 0)]);
    expect(meant).not.toBe(null);
    const fused = fuseMeant([...halves, line(0, 1, 1, 0)].map(carrierOf), meant!, PX);
    expect(fused.carriers.length).toBe(2);
    expect(fused.meant.length).toBe(2);
    const whole = fused.carriers.find(({ nx, ny }) => Math.abs(nx + ny) < 0.1);
    const inked = whole!.seen.reduce((sum, bin) => sum + bin, 0);
    expect(inked * PX).toBeGreaterThan(0.98 * Math.SQRT2);
    expect(Math.max(...whole!.beside.map(Math.abs))).toBeLessThan(0.006);
  });
});
