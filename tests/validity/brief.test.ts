import { describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { checkVertices } from '../../pipeline/laws/laws.ts';
import { briefVerdict } from '../../pipeline/validity/brief.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';
import { mapOf, movedBy, withKinds } from './patterns.ts';

const bird = traditionalBases().find(({ name }) => name === 'bird')!.pattern;
const NONE = { forced: 0, free: 0, unclear: 0 };

describe('the verdict in brief', () => {
  it('of a base that folds is that of the full check', async () => {
    const full = checkFoldability(bird);
    expect(await briefVerdict(bird, [])).toEqual({
      foldability: {
        verdict: 'folds',
        states: { count: String(full.states!.count), atLeast: false },
        settled: NONE,
        undecided: null,
      },
      laws: [],
    });
  });

  it('says of undecided creases whether folding settles them', async () => {
    const open = withKinds(bird, (kind) => (kind === 'M' || kind === 'V' ? 'U' : kind));
    const number = open.creases.filter(({ kind }) => kind === 'U').length;
    const { foldability } = await briefVerdict(open, []);
    // Turned over, every fold has the other kind: nothing is forced.
    expect(foldability).toMatchObject({ verdict: 'folds', settled: { forced: 0, free: number, unclear: 0 } });
  });

  // Justin 1986, Maekawa: mountains and valleys differ by two. The bird base with one kind turned over does not.
  it('names each law at a vertex once', async () => {
    const wrong = withKinds(bird, (kind, c) => (c === 12 ? (kind === 'M' ? 'V' : 'M') : kind));
    const laws = checkVertices(wrong);
    expect(laws.length).toBeGreaterThan(0);
    const { foldability, laws: all } = await briefVerdict(wrong, laws);
    expect(foldability.verdict).toBe('does-not');
    expect(all).toEqual(laws);
  });

  // Hull 1994 and Bern & Hayes 1996: laws that hold at every vertex do not suffice.
  it('adds what only the whole sheet shows', async () => {
    // A strip of widths 3, 1, 3 has no vertex inside at all; rolled up, each end would have to lie inside the other.
    const at = [0, 3 / 7, 4 / 7, 1];
    const even = mapOf(3, 1, 'V');
    const rolled = movedBy(even, ([x, y]) => [at[Math.round(3 * x)], y]);
    expect(checkVertices(rolled)).toEqual([]);
    const { foldability, laws } = await briefVerdict(rolled, []);
    expect(foldability.verdict).toBe('does-not');
    expect(laws.map(({ law }) => law)).toEqual(['layer-order']);
    expect((await briefVerdict(even, [])).foldability.verdict).toBe('folds');
  });

  it('of a sheet too large is left open, unless a law is known to be broken', async () => {
    const large = mapOf(60, 60, 'U');
    expect(large.creases.length).toBeGreaterThan(6000);
    expect((await briefVerdict(large, [])).foldability).toMatchObject({
      verdict: 'undecided',
      undecided: { why: 'size' },
    });
    const law = { law: 'maekawa', vertex: 7, at: [0.5, 0.5], amount: 4 } as const;
    const known = await briefVerdict(large, [law]);
    expect(known).toMatchObject({ foldability: { verdict: 'does-not', undecided: null }, laws: [law] });
  });

  it('of a hard one ends with an answer that is not wrong', async () => {
    // A map with all creases open folds flat: pleat it one way and then the other.
    const { foldability, laws } = await briefVerdict(mapOf(45, 45, 'U'), []);
    expect(laws).toEqual([]);
    expect(foldability.verdict).not.toBe('does-not');
    if (foldability.verdict === 'undecided') expect(foldability.undecided!.why).toBe('time');
  });

  it('of a pattern that is none says that it failed, and does not throw', async () => {
    const nowhere = { ...bird, creases: [...bird.creases, { from: 0, to: 999, kind: 'M' } as const] };
    expect((await briefVerdict(nowhere, [])).foldability).toMatchObject({
      verdict: 'undecided',
      undecided: { why: 'failed' },
    });
  });
});
