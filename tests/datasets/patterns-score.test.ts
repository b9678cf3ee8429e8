import { describe, expect, it } from 'vitest';
import { makePattern } from '../../datasets/patterns/patterns.ts';
import { makeRandom } from '../../datasets/patterns/random.ts';
import type { Crease, Kind, Pattern } from '../../pipeline/types.ts';
import { scorePattern, VERTEX_TOLERANCE } from '../../scripts/bench/score.ts';

// The score follows definitions: precision, recall and F1 as in van Rijsbergen 1979; the expected numbers below are
// counted by hand on small sheets.

function pattern(points: [number, number][], creases: [number, number, Kind][]): Pattern {
  return {
    vertices: points,
    exact: points.map(() => null),
    creases: creases.map(([from, to, kind]): Crease => ({ from, to, kind })),
    lattice: null,
  };
}

const CORNERS: [number, number][] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const BORDER: [number, number, Kind][] = [
  [0, 1, 'B'],
  [1, 2, 'B'],
  [2, 3, 'B'],
  [3, 0, 'B'],
];
const diagonal = pattern(CORNERS, [...BORDER, [0, 2, 'V']]);

function jitter(p: Pattern, by: number, seed: number): Pattern {
  const random = makeRandom(seed);
  return {
    ...p,
    vertices: p.vertices.map(([x, y]) => {
      const angle = random.range(0, 2 * Math.PI);
      return [x + by * Math.cos(angle), y + by * Math.sin(angle)];
    }),
  };
}

describe('exactness', () => {
  it.each(['pleat', 'grid', 'angle22', 'free', 'base'] as const)('%s: a pattern is exact against itself', (family) => {
    const truth = makePattern(family, 31).pattern;
    const score = scorePattern(truth, truth, []);
    expect(score).toMatchObject({ exact: true, geometryExact: true, f1: 1, wrong: 0, missed: 0, wrongDoubtedShare: 1 });
  });

  it('numbering, direction and small moves of vertices do not matter', () => {
    const truth = makePattern('base', 6).pattern;
    const n = truth.vertices.length;
    const turned: Pattern = {
      ...truth,
      vertices: truth.vertices.toReversed(),
      creases: truth.creases.toReversed().map(({ from, to, kind }) => ({ from: n - 1 - to, to: n - 1 - from, kind })),
    };
    expect(scorePattern(truth, jitter(turned, VERTEX_TOLERANCE * 0.9, 3), []).exact).toBe(true);
    expect(scorePattern(truth, jitter(turned, VERTEX_TOLERANCE * 1.1, 3), []).exact).toBe(false);
  });

  it('a straight line cut into pieces of one kind is the same line, whichever pattern is cut', () => {
    const cut = pattern(
      [...CORNERS, [0.3, 0.301], [0.5, 0]],
      [[0, 5, 'B'], [5, 1, 'B'], ...BORDER.slice(1), [0, 4, 'V'], [4, 2, 'V']],
    );
    expect(scorePattern(diagonal, cut, []).exact).toBe(true);
    expect(scorePattern(cut, diagonal, []).exact).toBe(true);
  });

  it('a change of kind along a line is a vertex', () => {
    const changes = pattern([...CORNERS, [0.3, 0.3]], [...BORDER, [0, 4, 'V'], [4, 2, 'M']]);
    expect(scorePattern(changes, diagonal, [])).toMatchObject({
      exact: false,
      geometryExact: false,
      missed: 2,
      wrong: 1,
    });
  });

  it('an extra vertex, an extra crease and a doubled crease are not exact', () => {
    const extraVertex = pattern([...CORNERS, [0.5, 0.2]], [...BORDER, [0, 2, 'V']]);
    const extraCrease = pattern(CORNERS, [...BORDER, [0, 2, 'V'], [1, 3, 'V']]);
    const doubled = pattern(CORNERS, [...BORDER, [0, 2, 'V'], [2, 0, 'V']]);
    for (const got of [extraVertex, extraCrease, doubled]) {
      expect(scorePattern(diagonal, got, [])).toMatchObject({
        exact: false,
        geometryExact: false,
        exactUpToSwap: false,
      });
    }
  });

  it('guides of the truth count', () => {
    const guided = pattern(CORNERS, [...BORDER, [0, 2, 'F']]);
    expect(scorePattern(guided, pattern(CORNERS, BORDER), [])).toMatchObject({
      exact: false,
      missed: 1,
      recall: 4 / 5,
    });
  });

  it('mountain and valley swapped everywhere is told apart from exact', () => {
    const truth = makePattern('pleat', 3).pattern;
    const swap = (c: Crease): Crease => ({ ...c, kind: c.kind === 'M' ? 'V' : c.kind === 'V' ? 'M' : c.kind });
    const all = { ...truth, creases: truth.creases.map(swap) };
    const folds = truth.creases.findIndex((c) => c.kind === 'M');
    const one = { ...truth, creases: truth.creases.map((c, i) => (i === folds ? swap(c) : c)) };
    // The border keeps its kind in a swap, so the count of swapped creases must include it.
    expect(scorePattern(truth, all, [])).toMatchObject({ exact: false, geometryExact: true, exactUpToSwap: true });
    expect(scorePattern(truth, one, [])).toMatchObject({ exact: false, geometryExact: true, exactUpToSwap: false });
  });
});

describe('counts by hand', () => {
  const truth = pattern([...CORNERS, [0.5, 0.5]], [...BORDER, [0, 4, 'V'], [1, 4, 'V'], [2, 4, 'V'], [3, 4, 'M']]);
  // One kind wrong (crease 5), one crease missing, one crease extra with a vertex of its own (crease 7).
  const got = pattern(
    [...CORNERS, [0.5, 0.5], [0.7, 0.9]],
    [...BORDER, [0, 4, 'V'], [1, 4, 'M'], [2, 4, 'V'], [4, 5, 'M']],
  );

  it('recall, precision, F1, wrong and missed creases', () => {
    const score = scorePattern(truth, got, []);
    expect(score).toMatchObject({ recall: 6 / 8, precision: 6 / 8, f1: 6 / 8, f1Geometry: 7 / 8, wrong: 2, missed: 1 });
  });

  it('wrong creases that the doubt list names, and its length', () => {
    expect(scorePattern(truth, got, [])).toMatchObject({ wrongDoubted: 0, wrongDoubtedShare: 0, doubtLength: 0 });
    expect(scorePattern(truth, got, [5, 0, 5])).toMatchObject({ wrongDoubtedShare: 0.5, doubtLength: 2 });
    expect(scorePattern(truth, got, [5, 7])).toMatchObject({ wrongDoubtedShare: 1, doubtLength: 2 });
  });

  it('an empty answer has recall 0 and a missed crease for each true one', () => {
    expect(scorePattern(truth, pattern([], []), [])).toMatchObject({ recall: 0, f1: 0, missed: 8, wrong: 0 });
  });
});

describe('matching of vertices', () => {
  it('finds the full matching where taking the nearest pair first would strand a vertex', () => {
    // Got 0 is nearest to truth 1, got 1 reaches truth 1 only.
    const t = VERTEX_TOLERANCE;
    const line = (a: number, b: number): Pattern =>
      pattern([...CORNERS, [0.5, 0.5 + a], [0.5, 0.5 + b]], [...BORDER, [4, 0, 'M'], [5, 2, 'V']]);
    expect(scorePattern(line(0, t), line(0.6 * t, 1.5 * t), []).exact).toBe(true);
  });
});
