import { describe, expect, it } from 'vitest';
import { makePattern, type PatternFamily } from '../../datasets/patterns/patterns.ts';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { crimpGroups } from '../../pipeline/laws/crimp.ts';
import { legalAssignments } from '../../pipeline/laws/laws.ts';
import { makeDraft } from '../../pipeline/resolve/draft.ts';
import { kindsByLaw, SURE } from '../../pipeline/resolve/kinds-by-law.ts';
import { mendStructure, placeSpreadOf } from '../../pipeline/resolve/structure.ts';
import { vertexSums } from '../../pipeline/resolve/vertex-sums.ts';
import type { Crease } from '../../pipeline/types.ts';
import { blurred, oddsOf, partOf } from './drafts.ts';
import { innerPieces, inputOf } from './inputs.ts';

const DEGREE = Math.PI / 180;
const PLACE_SPREAD = 0.0005;

describe('sums over the legal letterings of a vertex', () => {
  // Hull 2003: a vertex of 2n equal angles folds flat in 2·C(2n, n-1) ways: 8, 30, 112.
  it.each([
    [4, 8],
    [6, 30],
    [8, 112],
  ])('%i equal angles have %i ways (Hull 2003)', (degree, ways) => {
    const groups = crimpGroups(new Array(degree).fill((360 / degree) * DEGREE), 1e-9)!;
    const { asMountain, asValley } = vertexSums(groups, new Array(degree).fill(0.5));
    for (let i = 0; i < degree; i++) expect((asMountain[i] + asValley[i]) * 2 ** (degree - 1)).toBeCloseTo(ways, 9);
  });

  it('agree with writing all letterings out', () => {
    for (const sectors of [
      [60, 30, 120, 150],
      [45, 22.5, 67.5, 45, 67.5, 112.5],
      [10, 20, 30, 40, 50, 30, 90, 90],
      [180, 180],
    ]) {
      const radians = sectors.map((s) => s * DEGREE);
      const weights = sectors.map((_, i) => 0.1 + ((i * 37) % 80) / 100);
      const sums = vertexSums(crimpGroups(radians, 1e-9)!, weights);
      const all = legalAssignments(
        radians,
        sectors.map(() => 'U'),
        1e-9,
      );
      expect(all.length).toBeGreaterThan(0);
      sectors.forEach((_, i) => {
        for (const letter of ['M', 'V'] as const) {
          const direct = all
            .filter((a) => a[i] === letter)
            .map((a) => a.reduce((p, l, j) => (j === i ? p : p * (l === 'M' ? weights[j] : 1 - weights[j])), 1))
            .reduce((sum, p) => sum + p, 0);
          expect((letter === 'M' ? sums.asMountain : sums.asValley)[i]).toBeCloseTo(direct, 12);
        }
      });
    }
  });
});

describe('kinds from ink and laws', () => {
  const families: readonly PatternFamily[] = ['pleat', 'grid', 'box', 'angle22', 'reverse', 'miura', 'twist'];

  it.each(families)('%s: unclear creases come back better than by ink alone', (family) => {
    let [byInk, byBoth, all] = [0, 0, 0];
    for (let seed = 700; seed < 706; seed++) {
      const { pattern } = makePattern(family, seed);
      const { draft, truth, weak } = blurred(pattern, 0.3, seed);
      const before = draft.parts.map(({ kind }) => kind);
      kindsByLaw(draft, PLACE_SPREAD);
      for (const p of weak) {
        all++;
        if (before[p] === truth[p]) byInk++;
        if (draft.parts[p].kind === truth[p]) byBoth++;
      }
      draft.parts.forEach(({ kind }, p) => {
        if (!weak.includes(p)) expect(kind).toBe(truth[p]);
      });
    }
    expect(all).toBeGreaterThan(40);
    expect(byBoth).toBeGreaterThan(byInk);
    expect(1 - byBoth / all).toBeLessThan(0.6 * (1 - byInk / all));
  });

  it('says how sure it is: stated probabilities are met', () => {
    const bins = [0.5, 0.7, 0.9, 0.98, 1.0001].map((top) => ({ top, count: 0, stated: 0, right: 0 }));
    for (const family of families) {
      for (let seed = 720; seed < 726; seed++) {
        const { draft, truth, weak } = blurred(makePattern(family, seed).pattern, 0.5, seed);
        const { byBoth } = kindsByLaw(draft, PLACE_SPREAD);
        for (const p of weak) {
          const stated = Math.max(byBoth[p], 1 - byBoth[p]);
          const bin = bins.find(({ top }) => stated < top)!;
          bin.count++;
          bin.stated += stated;
          if ((byBoth[p] > 0.5 ? 'M' : 'V') === truth[p]) bin.right++;
        }
      }
    }
    for (const { count, stated, right } of bins.slice(1)) {
      expect(count).toBeGreaterThan(50);
      // Loops make message passing a little off; three standard errors on top.
      const error = 3 * Math.sqrt(0.25 / count);
      expect(Math.abs(stated / count - right / count)).toBeLessThan(0.05 + error);
    }
  });

  it('a crease that the ink is sure of is never turned, and the belief tells of the conflict', () => {
    const { pattern } = makePattern('box', 701);
    const { draft } = blurred(pattern, 0, 1);
    const inner = (v: number) => {
      const [x, y] = pattern.vertices[v];
      return x > 0.01 && x < 0.99 && y > 0.01 && y < 0.99;
    };
    const p = draft.parts.findIndex((part) => part.kind === 'M' && inner(part.from) && inner(part.to));
    const odds = oddsOf('V', Math.log((1 - SURE) / SURE) - 0.1);
    draft.parts[p] = { ...draft.parts[p], kind: 'V', odds, belief: odds };
    const { byBoth } = kindsByLaw(draft, PLACE_SPREAD);
    expect(draft.parts[p].kind).toBe('V');
    expect(byBoth[p]).toBeGreaterThan(0.5);
  });
});

// Maekawa's theorem holds at each vertex of these, yet a straight crease goes on in the kind of its neighbours on the side of both acute angles, where a flat
// fold needs the other one (big-little-big lemma: Hull 1994, from memory).
describe('a Miura-ori whose straight creases are lettered the wrong way round', () => {
  function wrongWayRound() {
    const { pattern } = makePattern('miura', 701);
    const isLevel = ({ from, to }: Crease): boolean => {
      const [[ax, ay], [bx, by]] = [pattern.vertices[from], pattern.vertices[to]];
      return Math.min(Math.abs(ax - bx), Math.abs(ay - by)) < 1e-9;
    };
    const creases = pattern.creases.map((crease) => {
      if (crease.kind === 'B' || !isLevel(crease)) return crease;
      return { ...crease, kind: crease.kind === 'M' ? ('V' as const) : ('M' as const) };
    });
    return { ...pattern, creases };
  }

  it('breaks the laws nearly everywhere, and keeps the kinds that it was drawn with', () => {
    const { draft, truth } = blurred(wrongWayRound(), 0, 1);
    const { agreement } = kindsByLaw(draft, PLACE_SPREAD, false);
    expect(agreement).toBe(1);
    expect(draft.parts.map(({ kind }) => kind)).toEqual(truth);
  });

  it('strewn as letters by chance it tells of no kinds', () => {
    const pattern = wrongWayRound();
    const random = makeRandom(5);
    const creases = pattern.creases.map((crease) =>
      crease.kind === 'B' ? crease : { ...crease, kind: random.chance(0.5) ? ('M' as const) : ('V' as const) },
    );
    const { draft } = blurred({ ...pattern, creases }, 0, 1);
    const { agreement, strewn } = kindsByLaw(draft, PLACE_SPREAD, false);
    expect(agreement).toBeLessThan(0.2);
    expect(strewn).toBeGreaterThan(2);
  });
});

describe('lines of the pattern from ink and laws', () => {
  it('leaves sound patterns as they are', () => {
    for (const family of ['pleat', 'box', 'angle22', 'free', 'twist'] as const) {
      const { pattern } = makePattern(family, 710);
      const { draft } = blurred(pattern, 0, 1);
      expect(mendStructure(draft, placeSpreadOf(draft, 0.0003))).toEqual([]);
    }
  });

  it('drops a faint stroke that meets nothing, and takes up a hardly seen crease that mends both its ends', () => {
    const { pattern } = makePattern('pleat', 711);
    const { draft } = blurred(pattern, 0, 1);
    const isEdge = new Set(draft.parts.filter((p) => p.border).flatMap((p) => [p.from, p.to]));
    const missing = draft.parts.findIndex((p) => !p.border && !isEdge.has(p.from) && !isEdge.has(p.to));
    draft.parts[missing] = { ...draft.parts[missing], odds: oddsOf('M', 0, 0.8), present: false, origin: 'inferred' };
    const ends = new Set([draft.parts[missing].from, draft.parts[missing].to]);
    const joined = new Set(draft.parts.map((p) => `${p.from} ${p.to}`));
    const far = [...draft.vertices.keys()].filter((v) => !isEdge.has(v) && !ends.has(v));
    const [a, b] = far
      .flatMap((v) => far.map((w) => [v, w]))
      .find(([v, w]) => v !== w && !joined.has(`${v} ${w}`) && !joined.has(`${w} ${v}`))!;
    const stray = partOf({ from: a, to: b, carrier: 0, t0: 9, t1: 9.1 }, 'M', oddsOf('M', 2, 0.1));
    draft.parts.push(stray);
    mendStructure(draft, placeSpreadOf(draft, 0.0003));
    expect(stray.present).toBe(false);
    expect(draft.parts[missing].present).toBe(true);
    expect(draft.parts.filter((p) => !p.present)).toEqual([stray]);
  });
});

describe('how present a piece is', () => {
  it('much paler than its ink is hardly a stroke of it; a little paler is nothing', () => {
    const drawing = inputOf(makePattern('grid', 712).pattern);
    const [pale, lighter] = innerPieces(drawing);
    drawing.measured[pale] = { ...drawing.measured[pale], strength: 0.12 };
    drawing.measured[lighter] = { ...drawing.measured[lighter], strength: 0.75 };
    const { parts } = makeDraft(drawing.input.graph, drawing.input.kinds, 0.001);
    expect(parts[pale].odds.absent).toBeGreaterThan(0.9);
    expect(parts[lighter].odds.absent).toBeLessThan(0.01);
    for (const { odds } of parts) {
      const { mountain, valley, edge, guide, absent } = odds;
      expect(mountain + valley + edge + guide + absent).toBeCloseTo(1, 9);
    }
  });
});
