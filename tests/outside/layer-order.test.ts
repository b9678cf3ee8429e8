import { describe, expect, it } from 'vitest';
import { toFoldedFold } from '../../pipeline/fold/folded-fold.ts';
import { legalAssignments } from '../../pipeline/laws/laws.ts';
import { foldedState } from '../../pipeline/validity/choose-state.ts';
import { withSolvedKinds } from '../../pipeline/validity/solved-kinds.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';
import { checkLayers } from '../validity/layer-checker.ts';
import { layersOf } from '../validity/layers-of.ts';
import { mapOf, mapPattern, starOf } from '../validity/patterns.ts';

const FULL_COUNT = { timeLimitMs: 60_000, countLimitMs: 60_000, repairs: false };

describe('a strip of stamps', () => {
  // OEIS A000136: number of ways of folding a strip of n labelled stamps.
  it.each([1, 2, 6, 16, 50, 144, 462, 1392, 4536, 14060].map((states, i) => [i + 1, states]))(
    '%i stamps fold in %i ways',
    (stamps, states) => {
      const verdict = checkFoldability(mapOf(stamps, 1, 'U'), FULL_COUNT);
      expect(verdict.verdict).toBe('folds');
      expect(verdict.states).toEqual({ count: BigInt(states), atLeast: false });
    },
  );

  // Arkin et al. 2004: with letters given, a strip of equal stamps always folds (crimp or fold the end).
  it('folds with any letters, and the ways add up to the count without letters', () => {
    const stamps = 6;
    let total = 0n;
    for (let bits = 0; bits < 2 ** (stamps - 1); bits++) {
      const strip = mapPattern(stamps, 1, (_, i) => ((bits >> i) & 1 ? 'M' : 'V'));
      const verdict = checkFoldability(strip, FULL_COUNT);
      expect(verdict.verdict).toBe('folds');
      total += verdict.states!.count;
    }
    expect(total).toBe(144n);
  });

  it('shows every state by its number, each sound and none twice', () => {
    const strip = mapOf(5, 1, 'U');
    const verdict = checkFoldability(strip, FULL_COUNT);
    const seen = new Set<string>();
    for (let k = 0n; k < 50n; k++) {
      const sheet = foldedState(verdict.folded!, k);
      const file = toFoldedFold(withSolvedKinds(strip, sheet), sheet, 'strip');
      const [frame] = file.file_frames as Parameters<typeof checkLayers>[0][];
      expect(checkLayers(frame, 40)).toEqual([]);
      seen.add(JSON.stringify(frame.faceOrders));
    }
    expect(seen.size).toBe(50);
  });
});

describe('one vertex, by layers', () => {
  // Hull 2003; the crimp test and the layer solver know nothing of each other.
  it.each([
    [[0, 60, 130, 250], 4],
    [[0, 60, 120, 240], 6],
    [[0, 90, 180, 270], 8],
    [[0, 60, 120, 180, 240, 300], 30],
    [[0, 45, 90, 135, 180, 270], 20],
  ])('directions %j fold with %i assignments', (directions, count) => {
    const n = directions.length;
    const foldable: string[] = [];
    for (let bits = 0; bits < 2 ** n; bits++) {
      const letters = directions.map((_, i) => ((bits >> i) & 1 ? 'M' : 'V')).join('');
      if (layersOf(starOf(directions, letters)).end === 'found') foldable.push(letters);
    }
    expect(foldable).toHaveLength(count);
    const sectors = directions.map((d, i) => (((i + 1 < n ? directions[i + 1] : 360) - d) * Math.PI) / 180);
    const byCrimps = legalAssignments(sectors, new Array(n).fill('U')).map((l) => l.join(''));
    expect(new Set(foldable)).toEqual(new Set(byCrimps));
  });
});

describe('laws at vertices do not suffice', () => {
  // Hull 1994 and Bern & Hayes 1996: Kawasaki, Maekawa and crimps may hold everywhere and the sheet still not fold.
  it('a pattern that passes at every vertex and yet passes through itself', () => {
    // A strip of widths 3, 1, 3 has no vertex inside at all; rolled up, each end would have to lie inside the other.
    const rolled = strip([3, 1, 3], 'VV');
    const verdict = checkFoldability(rolled);
    expect(verdict.verdict).toBe('does-not');
    expect(verdict.broken.map(({ law }) => law)).toEqual(['layer-order']);
    expect(checkFoldability(strip([3, 1, 3], 'VM')).verdict).toBe('folds');
    expect(checkFoldability(strip([1, 3, 1], 'VV')).verdict).toBe('folds');
  });

  it('says which creases clash and what would mend it', () => {
    const { broken, repairs } = checkFoldability(strip([3, 1, 3], 'VV'));
    expect(broken[0].creases).toHaveLength(2);
    expect(repairs[0]).toMatchObject({ change: { what: 'set-kinds' }, result: 'folds' });
    expect(repairs[0].change.what === 'set-kinds' && repairs[0].change.kinds).toHaveLength(1);
  });
});

/** A strip of the given widths, one unit high. */
function strip(widths: readonly number[], letters: string): ReturnType<typeof mapPattern> {
  const plain = mapPattern(widths.length, 1, (_, i) => letters[i] as 'M' | 'V');
  const total = widths.reduce((a, b) => a + b, 0);
  const at = [0];
  for (const width of widths) at.push(at[at.length - 1] + width);
  return {
    ...plain,
    vertices: plain.vertices.map(([x, y]) => [
      at[Math.round(x * widths.length)] / total,
      y * widths.length * (1 / total),
    ]),
    exact: plain.vertices.map(() => null),
  };
}
