/**
 * Steps of mending, held to what must be true of any planar straight-line graph: the independent checker of planar graphs
 * and Euler's formula V - E + F = 1 + C (Euler 1758; C components, the outside not counted as a face).
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makePattern, traditionalBases } from '../../datasets/patterns/patterns.ts';
import { applyEdit, mayMoveTo } from '../../pipeline/desk/work/apply.ts';
import { openHistory, readAgain, redo, stateNow, step, undo } from '../../pipeline/desk/work/history.ts';
import type { DeskState, Edit, Place } from '../../pipeline/desk/work/work.ts';
import { toNumber } from '../../pipeline/geometry/exact.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { findFaces } from '../../pipeline/graph/faces.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { deskWith, readingWith, squareLattice, workWith } from './readings.ts';

const SQUARE: Pattern = {
  vertices: [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
  ],
  exact: [null, null, null, null],
  creases: [
    { from: 0, to: 1, kind: 'B' },
    { from: 1, to: 2, kind: 'B' },
    { from: 2, to: 3, kind: 'B' },
    { from: 3, to: 0, kind: 'B' },
  ],
  lattice: squareLattice(4),
};
const grid = (x: number, y: number, parts = 4): Place => ({
  at: [x / parts, y / parts],
  exact: [
    { p: x, r: 0, q: parts, root: 2 },
    { p: y, r: 0, q: parts, root: 2 },
  ].map(lowest) as unknown as Place['exact'],
});
function lowest<T extends { p: number; q: number }>(e: T): T {
  let [a, b] = [Math.abs(e.p), e.q];
  while (b > 0) [a, b] = [b, a % b];
  return { ...e, p: e.p / (a || 1), q: e.q / (a || 1) };
}
const draw = (from: Place, to: Place, kind: 'M' | 'V' | 'F' | 'B' = 'M'): Edit => ({ what: 'draw', from, to, kind });
const apply = (state: DeskState, ...edits: Edit[]) => edits.reduce((now, edit) => applyEdit(now, edit, []), state);

function componentsOf({ vertices, creases }: Pattern): number {
  const root = vertices.map((_, v) => v);
  const find = (v: number): number => (root[v] === v ? v : find(root[v]));
  for (const { from, to } of creases) root[find(from)] = find(to);
  return new Set(vertices.map((_, v) => find(v))).size;
}

/** Euler's formula, with faces walked by another stage. Walks around loose parts are no faces of their own. */
function expectPlanar({ pattern, evidence }: DeskState): void {
  expect(checkPlanarGraph(pattern)).toEqual([]);
  expect(evidence).toHaveLength(pattern.creases.length);
  const faces = findFaces(pattern, { guides: true }).count;
  expect(pattern.vertices.length - pattern.creases.length + faces).toBe(componentsOf(pattern));
  pattern.exact.forEach((e, v) => {
    if (e) expect(pattern.vertices[v]).toEqual([toNumber(e[0]), toNumber(e[1])]);
  });
}

describe('drawing a crease', () => {
  it('cuts the edge where it ends on it', () => {
    const state = apply(deskWith(SQUARE), draw(grid(0, 2), grid(4, 2)));
    expectPlanar(state);
    expect(state.pattern.vertices).toHaveLength(6);
    expect(state.pattern.creases.map(({ kind }) => kind).sort()).toEqual(['B', 'B', 'B', 'B', 'B', 'B', 'M']);
  });

  it('cuts and is cut where it crosses another, with an exact place', () => {
    const state = apply(deskWith(SQUARE), draw(grid(0, 0), grid(4, 4)), draw(grid(0, 4), grid(4, 0), 'V'));
    expectPlanar(state);
    const centre = state.pattern.vertices.findIndex(([x, y]) => x === 0.5 && y === 0.5);
    expect(state.pattern.exact[centre]).toEqual([
      { p: 1, r: 0, q: 2, root: 2 },
      { p: 1, r: 0, q: 2, root: 2 },
    ]);
    expect(state.pattern.creases.filter(({ kind }) => kind === 'V')).toHaveLength(2);
  });

  it('runs through vertices on its way instead of beside them', () => {
    const crossed = apply(deskWith(SQUARE), draw(grid(0, 2), grid(4, 2)), draw(grid(2, 0), grid(2, 4)));
    const state = apply(crossed, draw(grid(0, 0), grid(4, 4), 'V'));
    expectPlanar(state);
    expect(state.pattern.vertices).toHaveLength(9);
  });

  it('over a crease that is there changes its kind, but never an edge', () => {
    const once = apply(deskWith(SQUARE), draw(grid(0, 2), grid(4, 2)));
    const state = apply(once, draw(grid(0, 2), grid(4, 2), 'V'), draw(grid(0, 0), grid(4, 0), 'V'));
    expectPlanar(state);
    expect(state.pattern.creases.map(({ kind }) => kind).sort()).toEqual(['B', 'B', 'B', 'B', 'B', 'B', 'V']);
  });

  it('that ends inside another cuts that one, too', () => {
    const state = apply(deskWith(SQUARE), draw(grid(0, 2), grid(4, 2)), draw(grid(2, 2), grid(2, 4)));
    expectPlanar(state);
    expect(state.pattern.creases.filter(({ kind }) => kind === 'M')).toHaveLength(3);
  });
});

describe('erasing and moving', () => {
  it('erasing a crease just drawn leaves the pattern as it was', () => {
    const before = apply(deskWith(SQUARE), draw(grid(0, 2), grid(4, 2)));
    const drawn = apply(before, draw(grid(2, 2), grid(2, 4), 'V'));
    const crease = drawn.pattern.creases.findIndex(({ kind }) => kind === 'V');
    const after = apply(drawn, { what: 'erase', crease });
    expectPlanar(after);
    expect(after.pattern.vertices).toHaveLength(before.pattern.vertices.length);
    expect(after.pattern.creases.map(({ kind }) => kind).sort()).toEqual(
      before.pattern.creases.map(({ kind }) => kind).sort(),
    );
  });

  it('a moved vertex takes its creases along and cuts what they come to cross', () => {
    const star = apply(
      deskWith(SQUARE),
      draw(grid(1, 1), grid(0, 0)),
      draw(grid(1, 1), grid(4, 0)),
      draw(grid(1, 1), grid(0, 4)),
      draw(grid(2, 4), grid(4, 2), 'V'),
    );
    const vertex = star.pattern.vertices.findIndex(([x, y]) => x === 0.25 && y === 0.25);
    const state = apply(star, { what: 'move', vertex, to: grid(7, 7, 8) });
    expectPlanar(state);
    expect(state.pattern.vertices.some(([x, y]) => x === 7 / 8 && y === 7 / 8)).toBe(true);
    expect(state.pattern.vertices.some(([x, y]) => x === 0.25 && y === 0.25)).toBe(false);
    // The way from the corner now crosses the valley from (1/2, 1) to (1, 1/2) at (3/4, 3/4).
    expect(state.pattern.vertices.some(([x, y]) => x === 0.75 && y === 0.75)).toBe(true);
  });

  it('a vertex moved onto another becomes one with it', () => {
    const two = apply(deskWith(SQUARE), draw(grid(1, 1), grid(0, 0)), draw(grid(2, 2), grid(4, 4), 'V'));
    const vertex = two.pattern.vertices.findIndex(([x, y]) => x === 0.25 && y === 0.25);
    const state = apply(two, { what: 'move', vertex, to: grid(2, 2) });
    expectPlanar(state);
    expect(state.pattern.vertices).toHaveLength(two.pattern.vertices.length - 1);
  });

  it('a vertex on the edge stays on it, and a corner stays where it is', () => {
    const state = apply(deskWith(SQUARE), draw(grid(2, 0), grid(2, 4)));
    const { vertices } = state.pattern;
    const onEdge = vertices.findIndex(([x, y]) => x === 0.5 && y === 0);
    expect(mayMoveTo(state, onEdge, grid(1, 3))?.at).toEqual([0.25, 0]);
    expect(mayMoveTo(state, onEdge, grid(1, 0))).toEqual(grid(1, 0));
    expect(mayMoveTo(state, 0, grid(1, 1))).toBeNull();
  });

  it('lines that cross without a vertex are joined', () => {
    const crossing: Pattern = {
      ...SQUARE,
      creases: [...SQUARE.creases, { from: 0, to: 2, kind: 'M' }, { from: 1, to: 3, kind: 'V' }],
    };
    expect(checkPlanarGraph(crossing)).not.toEqual([]);
    const state = apply(deskWith(crossing), { what: 'join' });
    expectPlanar(state);
    expect(state.pattern.creases).toHaveLength(8);
  });
});

describe('any steps in any order', () => {
  const place = fc.tuple(fc.integer({ min: 0, max: 8 }), fc.integer({ min: 0, max: 8 }));
  const kinds = fc.constantFrom('M', 'V', 'F') as fc.Arbitrary<'M' | 'V' | 'F'>;
  const steps = fc.array(
    fc.oneof(
      { weight: 4, arbitrary: fc.record({ what: fc.constant('draw'), from: place, to: place, kind: kinds }) },
      { weight: 2, arbitrary: fc.record({ what: fc.constant('erase'), pick: fc.nat() }) },
      { weight: 2, arbitrary: fc.record({ what: fc.constant('move'), pick: fc.nat(), to: place }) },
    ),
    { minLength: 1, maxLength: 14 },
  );

  it('leave a planar graph with exact places, and undo goes all the way back', () => {
    fc.assert(
      fc.property(steps, (list) => {
        let history = openHistory(workWith(readingWith(SQUARE)));
        const first = stateNow(history);
        let taken = 0;
        for (const one of list) {
          const state = stateNow(history);
          const edit = editOf(one, state);
          if (!edit) continue;
          history = step(history, edit);
          taken++;
          expectPlanar(stateNow(history));
        }
        const last = stateNow(history);
        for (let i = 0; i < taken; i++) history = undo(history);
        expect(stateNow(history)).toBe(first);
        expect(undo(history)).toBe(history);
        for (let i = 0; i < taken; i++) history = redo(history);
        expect(stateNow(history)).toBe(last);
        // Kept and opened again, the same steps lead to the same state.
        expect(stateNow(openHistory(JSON.parse(JSON.stringify(history.work))))).toEqual(last);
      }),
      { seed: 5, numRuns: 120 },
    );
  });

  type One =
    | { what: 'draw'; from: [number, number]; to: [number, number]; kind: 'M' | 'V' | 'F' }
    | { what: 'erase'; pick: number }
    | { what: 'move'; pick: number; to: [number, number] };

  function editOf(value: object, state: DeskState): Edit | null {
    const one = value as One;
    const { creases, vertices } = state.pattern;
    if (one.what === 'draw') {
      return one.from.join() === one.to.join() ? null : draw(grid(...one.from, 8), grid(...one.to, 8), one.kind);
    }
    if (one.what === 'erase') {
      const folds = creases.flatMap(({ kind }, c) => (kind === 'B' ? [] : [c]));
      return folds.length === 0 ? null : { what: 'erase', crease: folds[one.pick % folds.length] };
    }
    const inner = vertices.flatMap((_, v) =>
      creases.some((c) => c.kind === 'B' && (c.from === v || c.to === v)) ? [] : [v],
    );
    if (inner.length === 0) return null;
    return { what: 'move', vertex: inner[one.pick % inner.length], to: grid(...one.to, 8) };
  }
});

describe('history', () => {
  const base = traditionalBases()[0].pattern;

  it('a step after an undo takes the place of what was undone', () => {
    let history = openHistory(workWith(readingWith(base)));
    history = step(history, { what: 'kinds', kinds: [[0, 'F']] });
    history = undo(history);
    history = step(history, { what: 'swap' });
    expect(history.work.edits).toEqual([{ what: 'swap' }]);
    expect(redo(history)).toBe(history);
  });

  it('keeps a thousand steps', () => {
    let history = openHistory(workWith(readingWith(base)));
    const crease = base.creases.findIndex(({ kind }) => kind !== 'B');
    for (let i = 0; i < 1000; i++) history = step(history, { what: 'kinds', kinds: [[crease, i % 2 ? 'M' : 'V']] });
    for (let i = 0; i < 1000; i++) history = undo(history);
    expect(stateNow(history).pattern).toBe(base);
  });

  it('swapping twice changes nothing', () => {
    const state = apply(deskWith(base), { what: 'swap' });
    expect(state.pattern.creases).not.toEqual(base.creases);
    expect(apply(state, { what: 'swap' }).pattern.creases).toEqual(base.creases);
  });

  it('carries answers into a new reading where the same crease is found', () => {
    const { pattern } = makePattern('grid', 3);
    const crease = pattern.creases.findIndex(({ kind }) => kind === 'M');
    const other = { ...pattern, creases: [...pattern.creases].reverse() };
    let history = openHistory(workWith(readingWith(pattern)));
    history = step(history, { what: 'kinds', kinds: [[crease, 'F']] });
    history = readAgain(history, readingWith(other, [{ crease: pattern.creases.length - 1 - crease }]));
    const now = stateNow(history);
    const { from, to } = pattern.creases[crease];
    const same = now.pattern.creases.findIndex((c) => c.from === from && c.to === to);
    expect(now.pattern.creases[same].kind).toBe('F');
    expect(now.evidence[same].origin).toBe('edited');
    expect(now.doubts.map(({ settled }) => settled)).toEqual([true]);
    expect(now.pattern.creases.filter(({ kind }) => kind === 'M')).toHaveLength(
      pattern.creases.filter(({ kind }) => kind === 'M').length - 1,
    );
    expect(stateNow(undo(history)).pattern.creases).toHaveLength(pattern.creases.length);
  });

  it('doubts follow their creases when others are erased', () => {
    const state = apply(deskWith(SQUARE), draw(grid(0, 2), grid(4, 2)), draw(grid(2, 0), grid(2, 4), 'V'));
    const valley = state.pattern.creases.findIndex(({ kind }) => kind === 'V');
    const mountain = state.pattern.creases.findIndex(({ kind }) => kind === 'M');
    const doubted: DeskState = {
      ...state,
      doubts: [valley, mountain].map((crease, id) => ({
        ...readingWith(SQUARE, [{ crease }]).doubts[0],
        id,
        settled: false,
      })),
    };
    const after = apply(doubted, { what: 'erase', crease: mountain });
    const [one, other] = after.doubts;
    expect(after.pattern.creases[one.crease!].kind).toBe('V');
    expect(one.settled).toBe(false);
    expect(other).toMatchObject({ crease: undefined, settled: true });
  });
});
