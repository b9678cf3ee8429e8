import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makePattern, patternFamilies } from '../../datasets/patterns/patterns.ts';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { PlicaError } from '../../pipeline/errors.ts';
import type { Kind, Pattern } from '../../pipeline/types.ts';
import { selectableStates } from '../../pipeline/validity/choose-state.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';
import { mapOf, mapPattern, movedBy, starOf, swapKinds, withKinds } from './patterns.ts';

/** Patterns that fold flat by construction or by tradition, not too large for a test. */
const sound = patternFamilies.flatMap((family) =>
  [1, 2, 3, 4, 5, 6]
    .map((seed) => makePattern(family, seed))
    .filter(({ lawful, pattern }) => lawful !== 'local' && pattern.creases.length < 400),
);
const quick = { countLimitMs: 0, repairs: false } as const;

describe('sound patterns', () => {
  it('are many, of several families', () => {
    expect(sound.length).toBeGreaterThan(30);
    expect(new Set(sound.map(({ family }) => family)).size).toBeGreaterThan(5);
  });

  it.each(sound.map((named) => [named.name, named.pattern] as const))('%s folds flat', (_, pattern) => {
    const verdict = checkFoldability(pattern, quick);
    expect(verdict.broken).toEqual([]);
    expect(verdict.verdict).toBe('folds');
    expect(verdict.folded).not.toBeNull();
  });
});

describe('the same pattern, seen otherwise', () => {
  const small = sound.filter(({ pattern }) => pattern.creases.length < 90);
  const counted = { countLimitMs: 300, repairs: false } as const;
  // By number, so that a failing case prints as a number.
  const pick = fc.nat(small.length - 1);

  it('is taken from many', () => {
    expect(small.length).toBeGreaterThan(12);
  });

  it('mirrored, turned and scaled patterns have the same answer and as many states', () => {
    fc.assert(
      fc.property(
        pick,
        fc.integer({ min: 0, max: 359 }),
        fc.integer({ min: 2, max: 10 }),
        fc.boolean(),
        (n, degrees, tenths, mirror) => {
          const { pattern } = small[n];
          const [turn, scale] = [(degrees * Math.PI) / 180, tenths / 10];
          const [cos, sin] = [Math.cos(turn) * scale, Math.sin(turn) * scale];
          const moved = movedBy(pattern, ([x, y]) => {
            const u = mirror ? -x : x;
            return [cos * u - sin * y, sin * u + cos * y];
          });
          const [before, after] = [checkFoldability(pattern, counted), checkFoldability(moved, counted)];
          expect(after.verdict).toBe(before.verdict);
          expect(after.facts.faces).toBe(before.facts.faces);
          if (!before.states?.atLeast && !after.states?.atLeast) expect(after.states).toEqual(before.states);
        },
      ),
      { numRuns: 25, seed: 11 },
    );
  });

  it('with all kinds swapped it is the same sheet turned over', () => {
    fc.assert(
      fc.property(pick, (n) => {
        const { pattern } = small[n];
        const [before, after] = [checkFoldability(pattern, counted), checkFoldability(swapKinds(pattern), counted)];
        expect(after.verdict).toBe(before.verdict);
        if (!before.states?.atLeast && !after.states?.atLeast) expect(after.states).toEqual(before.states);
      }),
      { numRuns: 20, seed: 13 },
    );
  });

  it('with all kinds open it still folds, and its own kinds are among the answers', () => {
    fc.assert(
      fc.property(pick, (n) => {
        const { pattern } = small[n];
        const open = withKinds(pattern, (kind) => (kind === 'M' || kind === 'V' ? 'U' : kind));
        const verdict = checkFoldability(open, quick);
        expect(verdict.verdict).toBe('folds');
        // Turned over, every fold has the other kind: nothing is forced.
        expect(verdict.kinds.every(({ how }) => how === 'free')).toBe(true);
        const answer = withKinds(open, (kind, c) => verdict.kinds.find(({ crease }) => crease === c)?.kind ?? kind);
        expect(checkFoldability(answer, quick).verdict).toBe('folds');
      }),
      { numRuns: 15, seed: 17 },
    );
  });

  it('measured with a small error it is not called wrong', () => {
    fc.assert(
      fc.property(pick, fc.nat(), (n, seed) => {
        const random = makeRandom(seed);
        const noise = (): number => 2e-6 * (random.next() - 0.5);
        const measured = movedBy(small[n].pattern, ([x, y]) => [x + noise(), y + noise()]);
        expect(checkFoldability(measured, quick).verdict).not.toBe('does-not');
      }),
      { numRuns: 30, seed: 19 },
    );
  });
});

describe('undecided creases', () => {
  it('are told apart: forced by the rest, or free', () => {
    // Degree 4, equal angles: with M, M, M given the last must be V; with M, V given one of each is left.
    const forced = checkFoldability(starOf([0, 90, 180, 270], 'MMMU'));
    expect(forced.kinds).toEqual([{ crease: 3, kind: 'V', how: 'forced' }]);
    const free = checkFoldability(starOf([0, 90, 180, 270], 'MVUU'));
    expect(free.kinds.map(({ how }) => how)).toEqual(['free', 'free']);
    expect(new Set(free.kinds.map(({ kind }) => kind)).size).toBeGreaterThan(0);
  });

  it('make no pattern fold that cannot', () => {
    // All-mountain creases of degree 4 leave M - V = 4.
    expect(checkFoldability(starOf([0, 90, 180, 270], 'MMMM')).verdict).toBe('does-not');
    expect(checkFoldability(starOf([0, 80, 180, 270], 'UUUU')).broken.map(({ law }) => law)).toEqual(['kawasaki']);
  });
});

describe('what is no sheet', () => {
  const square = mapOf(2, 2, 'U');
  it.each<[string, Pattern, string]>([
    ['an edge drawn as a crease', withKinds(square, (kind, c) => (c === 0 ? 'M' : kind)), 'closed-outline'],
    ['an edge inside', withKinds(square, (kind, c) => (c === 2 ? 'B' : kind)), 'closed-outline'],
    [
      'creases that cross without a vertex',
      {
        ...square,
        creases: [...square.creases, { from: 1, to: 3, kind: 'M' as Kind }, { from: 0, to: 4, kind: 'M' as Kind }],
      },
      'planar',
    ],
  ])('%s breaks a law and is no error', (_, pattern, law) => {
    const { verdict, broken } = checkFoldability(pattern, { repairs: false });
    expect(verdict).toBe('does-not');
    expect(broken.map((b) => b.law)).toContain(law);
  });

  it('indices that name nothing are bad input', () => {
    const wrong = { ...square, creases: [{ from: 0, to: 99, kind: 'M' as Kind }] };
    expect(() => checkFoldability(wrong)).toThrow(PlicaError);
  });

  it('a sheet without folds folds in one way', () => {
    expect(checkFoldability(mapOf(1, 1, 'U'))).toMatchObject({
      verdict: 'folds',
      states: { count: 1n, atLeast: false },
    });
  });

  it('guides are not folded', () => {
    const guided = withKinds(square, (kind) => (kind === 'U' ? 'F' : kind));
    expect(checkFoldability(guided)).toMatchObject({ verdict: 'folds', facts: { faces: 1 } });
  });
});

describe('time', () => {
  it('is kept: a pattern too large for it is undecided, with what is known', () => {
    const verdict = checkFoldability(mapOf(40, 40, 'U'), { timeLimitMs: 1, repairs: false });
    expect(verdict.verdict).toBe('undecided');
    expect(verdict.undecided?.why).toBe('time');
    expect(verdict.undecided?.faces.length).toBeGreaterThan(2);
    expect(verdict.undecided!.certainPairs).toBeLessThan(verdict.undecided!.pairs);
  });

  it('without any for counting there is at least one state, and it can be shown', () => {
    const verdict = checkFoldability(
      mapPattern(6, 1, () => 'U'),
      { countLimitMs: 0 },
    );
    expect(verdict.states?.atLeast).toBe(true);
    expect(verdict.states!.count).toBeGreaterThanOrEqual(1n);
    expect(selectableStates(verdict.folded!)).toBe(1n);
  });
});

describe('sheets with notches', () => {
  // An L-shaped sheet folded along a line that meets the notch: one face is not convex.
  const points: [number, number][] = [
    [0, 0],
    [1, 0],
    [1, 0.4],
    [0.4, 0.4],
    [0.4, 1],
    [0, 1],
    [0.8, 0],
    [0.8, 0.4],
  ];
  const notched = (kind: Kind): Pattern => ({
    vertices: points,
    exact: points.map(() => null),
    creases: [
      [0, 6, 'B'],
      [6, 1, 'B'],
      [1, 2, 'B'],
      [2, 7, 'B'],
      [7, 3, 'B'],
      [3, 4, 'B'],
      [4, 5, 'B'],
      [5, 0, 'B'],
      [6, 7, kind],
    ].map(([from, to, letter]) => ({ from, to, kind: letter }) as Pattern['creases'][number]),
    lattice: null,
  });
  it.each<Kind>(['M', 'V'])('fold as well (%s)', (kind) => {
    expect(checkFoldability(notched(kind))).toMatchObject({
      verdict: 'folds',
      facts: { faces: 2 },
      states: { count: 1n },
    });
  });
});
