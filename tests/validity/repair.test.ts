import { describe, expect, it } from 'vitest';
import { makePattern, patternFamilies } from '../../datasets/patterns/patterns.ts';
import type { Pattern, PatternPoint } from '../../pipeline/types.ts';
import { checkFoldability, type Repair } from '../../pipeline/validity/validity.ts';
import { mapOf, withKinds } from './patterns.ts';

/** Sound patterns, each with one fold that has an end inside the sheet. */
const cases = patternFamilies.flatMap((family) =>
  [2, 3, 4].flatMap((seed) => {
    const { name, lawful, pattern } = makePattern(family, seed);
    if (lawful === 'local' || pattern.creases.length > 350) return [];
    const onEdge = new Set(pattern.creases.filter(({ kind }) => kind === 'B').flatMap(({ from, to }) => [from, to]));
    const inside = pattern.creases.flatMap(({ from, to, kind }, c) =>
      'MV'.includes(kind) && !(onEdge.has(from) && onEdge.has(to)) ? [c] : [],
    );
    if (inside.length === 0) return [];
    const crease = inside[(seed * 37) % inside.length];
    const { from, to } = pattern.creases[crease];
    return [{ name, pattern, crease, vertex: onEdge.has(from) ? to : from }];
  }),
);
const options = { countLimitMs: 0 } as const;
const near = (a: PatternPoint, b: PatternPoint): boolean => Math.hypot(a[0] - b[0], a[1] - b[1]) < 1e-6;

describe('seeded defects', () => {
  it('are tried on many patterns', () => {
    expect(cases.length).toBeGreaterThan(15);
  });

  it.each(cases)('$name: a wrong kind is found, and swapping it back is a proven repair', ({ pattern, crease }) => {
    const { kind, ...ends } = pattern.creases[crease];
    const wrong = kind === 'M' ? 'V' : 'M';
    const verdict = checkFoldability(
      { ...pattern, creases: pattern.creases.with(crease, { ...ends, kind: wrong }) },
      options,
    );
    expect(verdict.verdict).toBe('does-not');
    const back = verdict.repairs.filter(({ change }) => change.what === 'swap-kind' && change.creases[0] === crease);
    expect(back).toMatchObject([{ change: { to: kind }, result: 'folds' }]);
  });

  it.each(cases)('$name: a missing crease is found, with its place and kind', ({ pattern, crease }) => {
    const { from, to, kind } = pattern.creases[crease];
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    const without: Pattern = { ...pattern, creases: pattern.creases.filter((_, c) => c !== crease) };
    const verdict = checkFoldability(without, options);
    expect(verdict.verdict).toBe('does-not');
    expect(verdict.broken.map(({ law }) => law)).toContain('even-degree');
    const matches = ({ change }: Repair): boolean =>
      change.what === 'add-crease' &&
      change.kind === kind &&
      ((near(change.from, a) && near(change.to, b)) || (near(change.from, b) && near(change.to, a)));
    expect(verdict.repairs.find(matches)).toMatchObject({ result: 'folds' });
  });

  it.each(cases)('$name: a vertex out of its place is found wherever angles show it', ({ pattern, vertex }) => {
    const { lattice } = pattern;
    const step = lattice?.kind === 'square' ? 0.4 / Math.max(lattice.divisionsX, lattice.divisionsY) : 0.008;
    const [x, y] = pattern.vertices[vertex];
    // Two moves: one of them may slide along a crease.
    const found = [
      [x + step, y + step / 3],
      [x - step / 3, y + step],
    ].map((place) => {
      const moved = {
        ...pattern,
        vertices: pattern.vertices.with(vertex, place as [number, number]),
        exact: pattern.exact.with(vertex, null),
      };
      return checkFoldability(moved, options);
    });
    expect(found.map(({ verdict }) => verdict)).toContain('does-not');
    const moves = found.flatMap(({ repairs }) => repairs).filter(({ change }) => change.what === 'move-vertex');
    for (const { change } of moves) if (change.what === 'move-vertex') expect(change.to).toHaveLength(2);
  });

  it('on a grid, a misplaced vertex goes back to its grid point', () => {
    const grids = cases.filter(({ pattern }) => pattern.lattice?.kind === 'square');
    expect(grids.length).toBeGreaterThan(4);
    let mended = 0;
    for (const { pattern, vertex } of grids) {
      const home = pattern.vertices[vertex];
      const step = 0.4 / Math.max(pattern.lattice!.divisionsX, pattern.lattice!.divisionsY);
      const away: PatternPoint = [home[0] + step, home[1] + step / 3];
      const moved = {
        ...pattern,
        vertices: pattern.vertices.with(vertex, away),
        exact: pattern.exact.with(vertex, null),
      };
      const { repairs } = checkFoldability(moved, options);
      if (
        repairs.some(
          ({ change, result }) => change.what === 'move-vertex' && near(change.to, home) && result === 'folds',
        )
      )
        mended++;
    }
    // A vertex may have other places nearby that fold as well; most are put back where they were.
    expect(mended).toBeGreaterThanOrEqual(Math.ceil(grids.length * 0.75));
  });

  it('a crease too many is dropped', () => {
    // A square cross with a fifth crease into one corner.
    const cross = mapOf(2, 2, 'V');
    const sound = withKinds(cross, (kind, c) => (kind === 'V' && c === 2 ? 'M' : kind));
    expect(checkFoldability(sound, options).verdict).toBe('folds');
    const more: Pattern = { ...sound, creases: [...sound.creases, { from: 4, to: 0, kind: 'M' }] };
    const { verdict, repairs } = checkFoldability(more, options);
    expect(verdict).toBe('does-not');
    expect(repairs).toContainEqual({
      change: { what: 'drop-crease', crease: sound.creases.length },
      result: 'folds',
      mends: [0],
    });
  });
});
