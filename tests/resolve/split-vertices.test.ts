/** Vertices that a hand drew as two: what meets in one is told by the laws and by how far lines miss each other elsewhere. */
import { describe, expect, it } from 'vitest';
import type { Piece } from '../../pipeline/graph/graph.ts';
import { crossingOf } from '../../pipeline/graph/nodes.ts';
import { type Resolved, type ResolveInput, resolve } from '../../pipeline/resolve/resolve.ts';
import type { Crease, Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';
import { inputOf, type MutableInput } from './inputs.ts';

const COLUMNS = 5;
const ROWS = 4;
const LEAN = 0.05;

/** Miura's map fold (Miura 1985): straight lines up, zigzags of alternating kind across them, four creases at each inner vertex. */
function miura(): Pattern {
  const vertices: PatternPoint[] = [];
  const creases: Crease[] = [];
  const at = (i: number, j: number) => j * (COLUMNS + 1) + i;
  for (let j = 0; j <= ROWS; j++) {
    for (let i = 0; i <= COLUMNS; i++) {
      const lean = j > 0 && j < ROWS && i % 2 === 1 ? LEAN : 0;
      vertices.push([i / COLUMNS, j / ROWS + lean]);
    }
  }
  const isInner = (k: number, n: number) => k > 0 && k < n;
  for (let j = 0; j <= ROWS; j++) {
    for (let i = 0; i <= COLUMNS; i++) {
      const across: Kind = isInner(j, ROWS) ? ((i + j) % 2 === 0 ? 'M' : 'V') : 'B';
      const up: Kind = isInner(i, COLUMNS) ? (i % 2 === 0 ? 'M' : 'V') : 'B';
      if (i < COLUMNS) creases.push({ from: at(i, j), to: at(i + 1, j), kind: across });
      if (j < ROWS) creases.push({ from: at(i, j), to: at(i, j + 1), kind: up });
    }
  }
  return { vertices, exact: vertices.map(() => null), creases, lattice: null };
}

/** An inner vertex, and its neighbour to the right. */
const SPLIT = 2 * (COLUMNS + 1) + 2;

/**
 * The drawing with one vertex parted: the line from the right ends on the upright one where the two cross, `aside` further up or down,
 * and all of that upright line between the two ends is a stub.
 */
function parted(drawing: MutableInput, aside: number): ResolveInput {
  const { graph } = drawing.input;
  const vertices = [...graph.vertices];
  const carriers = [...graph.carriers];
  const own = (p: Piece) => p.from === SPLIT || p.to === SPLIT;
  const across = drawing.pieces.filter((p) => own(p) && Math.abs(carriers[p.carrier].dx) > 0.5);
  const right = across.find((p) => [p.from, p.to].includes(SPLIT + 1))!;
  const left = across.find((p) => p !== right)!;
  const [below, above] = drawing.pieces
    .filter((p) => own(p) && !across.includes(p))
    .sort((a, b) => middle(a) - middle(b));
  const upright = carriers[below.carrier];
  // Both lines are laid aside by half, one up and one down.
  for (const [piece, by] of [
    [left, -aside / 2],
    [right, aside / 2],
  ] as const) {
    const c = carriers[piece.carrier];
    const [x, y] = vertices[SPLIT];
    carriers[piece.carrier] = { ...c, off: c.nx * x + c.ny * (y + by) };
  }
  const ends = [left, right].map((p): PatternPoint => {
    const met = crossingOf(carriers[p.carrier], upright)!;
    return [met.x, met.y];
  });
  vertices[SPLIT] = ends[0];
  const other = vertices.push(ends[1]) - 1;
  const [low, high] = ends[0][1] < ends[1][1] ? [SPLIT, other] : [other, SPLIT];
  const along = (v: number) => upright.dx * vertices[v][0] + upright.dy * vertices[v][1];
  const reend = (p: Piece, v: number) => {
    const fixed = { ...p, from: p.from === SPLIT ? v : p.from, to: p.to === SPLIT ? v : p.to };
    const { dx, dy } = carriers[p.carrier];
    const [t0, t1] = [fixed.from, fixed.to].map((w) => dx * vertices[w][0] + dy * vertices[w][1]);
    drawing.pieces[drawing.pieces.indexOf(p)] = { ...fixed, t0, t1 };
  };
  const stubKind = drawing.pieces.indexOf(below);
  reend(right, other);
  reend(below, low);
  reend(above, high);
  const [from, to] = along(low) < along(high) ? [low, high] : [high, low];
  drawing.pieces.push({ ...below, from, to, t0: along(from), t1: along(to) });
  drawing.kinds.push(drawing.kinds[stubKind]);
  drawing.odds.push(drawing.odds[stubKind]);
  drawing.measured.push(drawing.measured[stubKind]);
  return { ...drawing.input, graph: { ...graph, vertices, carriers, pieces: drawing.pieces } };

  function middle({ from, to }: Piece): number {
    return vertices[from][1] + vertices[to][1];
  }
}

function degreesInside({ pattern: { vertices, creases } }: Resolved): number[] {
  const degree = vertices.map(() => 0);
  const edge = new Set<number>();
  for (const { from, to, kind } of creases) {
    for (const v of [from, to]) {
      degree[v]++;
      if (kind === 'B') edge.add(v);
    }
  }
  return degree.filter((_, v) => !edge.has(v));
}

const truth = miura();

describe('a vertex that was drawn as two', () => {
  it.each([0.005, 0.011])('%d apart is one where a hand misses its vertices so, and in doubt', (aside) => {
    const result = resolve(parted(inputOf(truth, 5, 3), aside));
    // Even everywhere: at a vertex that folds flat mountains and valleys differ by two (Maekawa's theorem; Kasahara and Takahama 1987, from memory).
    expect(degreesInside(result)).toEqual(new Array((COLUMNS - 1) * (ROWS - 1)).fill(4));
    expect(result.laws.filter(({ law }) => law === 'even-degree')).toEqual([]);
    const { vertices, creases } = result.pattern;
    const away = (v: number) =>
      Math.hypot(vertices[v][0] - truth.vertices[SPLIT][0], vertices[v][1] - truth.vertices[SPLIT][1]);
    const joined = vertices.map((_, v) => v).sort((a, b) => away(a) - away(b))[0];
    expect(away(joined)).toBeLessThan(0.006);
    const doubted = new Set(result.doubts.map(({ crease }) => crease));
    creases.forEach(({ from, to }, c) => {
      if (from === joined || to === joined) expect(doubted).toContain(c);
    });
  });

  it('is named as such where nothing graver is in doubt', () => {
    const { doubts } = resolve(parted(inputOf(truth, 5, 1), 0.004));
    const named = doubts.filter(({ what }) => what === 'vertex-split');
    expect(named).toHaveLength(4);
    expect(new Set(named.map(({ vertex }) => vertex)).size).toBe(1);
    expect(named[0].facts).toEqual({ apartPercent: 0.4 });
  });

  it('stays two where all other lines meet as in print', () => {
    const result = resolve(parted(inputOf(truth, 5, 0.2), 0.011));
    expect(degreesInside(result).filter((d) => d === 3)).toHaveLength(2);
    expect(result.laws.filter(({ law }) => law === 'even-degree')).toHaveLength(2);
  });

  it('is none where the creases are much farther apart than a hand misses', () => {
    const result = resolve(parted(inputOf(truth, 5, 1), 0.024));
    expect(degreesInside(result).filter((d) => d === 3)).toHaveLength(2);
  });

  it('is none where nothing was parted', () => {
    const result = resolve(inputOf(truth, 5, 3).input);
    expect(result.doubts.filter(({ what }) => what === 'vertex-split')).toEqual([]);
    expect(result.pattern.creases).toHaveLength(truth.creases.length);
  });
});

/**
 * Two lines up and two across at no special place, a line from the first corner through two of their crossings and one through the others: where
 * three lines cross, alternate angles are equal (Kawasaki).
 */
function crossed(): Pattern {
  const [xs, ys] = [
    [0, X1, X2, 1],
    [0, SLOPE * X1, SLOPE * X2, 1],
  ];
  const ends: PatternPoint[] = [
    [1, SLOPE],
    [0, SLOPE * (X1 + X2)],
    [X1 + X2, 0],
    [(X1 + X2) / 2, (SLOPE * (X1 + X2)) / 2],
  ];
  const vertices: PatternPoint[] = [...ys.flatMap((y) => xs.map((x): PatternPoint => [x, y])), ...ends];
  const chain = (kind: Kind, ...stops: number[]): Crease[] =>
    stops.slice(1).map((to, i) => ({ from: stops[i], to, kind }));
  const creases = [
    ...chain('B', 0, 1, 2, 18, 3, 7, 11, 16, 15, 14, 13, 12, 17, 8, 4, 0),
    ...chain('M', 4, 5, 6, 7),
    ...chain('V', 8, 9, 10, 11),
    ...chain('M', 1, 5, 9, 13),
    ...chain('V', 2, 6, 10, 14),
    ...chain('M', 0, INNER, 19, 10, 16),
    ...chain('V', 17, 9, 19, 6, 18),
  ];
  return { vertices, exact: vertices.map(() => null), creases, lattice: null };
}

const [X1, X2, SLOPE] = [0.2871, 0.6412, 0.83];
/** Where the line from the first corner ends first. */
const INNER = 5;

/** The crease from the first corner, drawn from a place on the lower side that is `aside` away from it. */
function besideCorner(drawing: MutableInput, aside: number): ResolveInput {
  const { graph } = drawing.input;
  const vertices: PatternPoint[] = [...graph.vertices, [aside, 0]];
  const beside = vertices.length - 1;
  const [x, y] = vertices[INNER];
  const length = Math.hypot(x - aside, y);
  const [dx, dy] = [(x - aside) / length, y / length];
  const diagonal = drawing.pieces.findIndex((p) => [p.from, p.to].every((v) => v === 0 || v === INNER));
  const line = graph.carriers[drawing.pieces[diagonal].carrier];
  const carriers = [...graph.carriers, { ...line, nx: -dy, ny: dx, off: -dy * aside, dx, dy }];
  const along = (v: number) => dx * vertices[v][0] + dy * vertices[v][1];
  const ends = { from: beside, to: INNER, t0: along(beside), t1: along(INNER) };
  drawing.pieces[diagonal] = { ...drawing.pieces[diagonal], ...ends, carrier: carriers.length - 1 };
  const edge = drawing.pieces.findIndex((p) => [p.from, p.to].every((v) => v < 2));
  const side = drawing.pieces[edge];
  const isForth = side.from === 0;
  const cut = side.t0 + (isForth ? aside : side.t1 - side.t0 - aside);
  drawing.pieces[edge] = isForth ? { ...side, to: beside, t1: cut } : { ...side, from: beside, t0: cut };
  drawing.pieces.push(isForth ? { ...side, from: beside, t0: cut } : { ...side, to: beside, t1: cut });
  drawing.kinds.push('B');
  drawing.odds.push(drawing.odds[edge]);
  drawing.measured.push(drawing.measured[edge]);
  return { ...drawing.input, graph: { ...graph, vertices, carriers, pieces: drawing.pieces } };
}

describe('a crease that was drawn past a corner', () => {
  const atSide = ({ pattern }: Resolved) =>
    pattern.vertices.filter(([x, y]) => Math.abs(y) < 1e-6 && x > 1e-3 && x < 0.1).length;

  it('ends in it where a hand misses its vertices so, and in doubt', () => {
    const result = resolve(besideCorner(inputOf(crossed(), 3, 8), 0.008));
    expect(atSide(result)).toBe(0);
    const { vertices, creases } = result.pattern;
    const corner = vertices.findIndex(([x, y]) => Math.hypot(x, y) < 1e-6);
    const own = [...creases.keys()].filter((c) => creases[c].from === corner || creases[c].to === corner);
    expect(own).toHaveLength(3);
    const doubted = new Set(result.doubts.map(({ crease }) => crease));
    for (const c of own) expect(doubted).toContain(c);
  });

  it('ends beside it where all other lines meet as in print', () => {
    expect(atSide(resolve(besideCorner(inputOf(crossed(), 3, 0.2), 0.008)))).toBe(1);
  });
});
