/** Which of two readings of one picture is believed. Sound vertices are those of Maekawa's and Kawasaki's theorems (Kasahara & Takahama 1985; Kawasaki 1989; from memory). */
import { describe, expect, it } from 'vitest';
import { checkPlanarGraph, planarLaws } from '../../pipeline/graph/check.ts';
import { checkVertices } from '../../pipeline/laws/laws.ts';
import { hasOddVertices, isDoubtful, likelier } from '../../pipeline/resolve/likelier.ts';
import type { Crease, Doubt, Kind, LegendEntry, Pattern, PatternPoint } from '../../pipeline/types.ts';

const CORNERS: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];

/** The unit square with creases from its middle, or from beside it, to the places given. */
function readingOf(ends: readonly (readonly [number, number, Kind])[], middle: PatternPoint = [0.5, 0.5]) {
  const vertices: PatternPoint[] = [...CORNERS, middle];
  const creases: Crease[] = CORNERS.map((_, i) => ({ from: i, to: (i + 1) % 4, kind: 'B' }));
  for (const [x, y, kind] of ends) {
    const known = vertices.findIndex(([a, b]) => a === x && b === y);
    if (known < 0) vertices.push([x, y]);
    creases.push({ from: 4, to: known < 0 ? vertices.length - 1 : known, kind });
  }
  const pattern: Pattern = { vertices, creases, exact: vertices.map(() => null), lattice: null };
  const doubts: Doubt[] = [];
  return { pattern, laws: [...checkVertices(pattern), ...planarLaws(checkPlanarGraph(pattern))], doubts };
}

/** The preliminary fold's four: Maekawa's three and one, right angles as Kawasaki wants them. */
const SOUND = readingOf([
  [0, 0, 'V'],
  [1, 0, 'V'],
  [1, 1, 'V'],
  [0, 1, 'M'],
]);
const ONE_LOST = readingOf([
  [0, 0, 'V'],
  [1, 0, 'V'],
  [1, 1, 'V'],
]);
const ALL_LOST = readingOf([]);
/** One of the four is drawn through the middle from corner to corner, with no vertex where it crosses another. */
const CROSSED = ((): typeof SOUND => {
  const { pattern } = ALL_LOST;
  const creases: Crease[] = [...pattern.creases, { from: 0, to: 2, kind: 'V' }, { from: 1, to: 3, kind: 'V' }];
  const crossed: Pattern = { ...pattern, creases };
  return { ...ALL_LOST, pattern: crossed, laws: [...checkVertices(crossed), ...planarLaws(checkPlanarGraph(crossed))] };
})();

/** The same reading, all of whose places are on a grid. */
function onGrid<R extends { readonly pattern: Pattern }>(reading: R): R {
  const lattice = { kind: 'square', divisionsX: 2, divisionsY: 2, halfUnits: false, residual: 0, fit: 1 } as const;
  const exact = reading.pattern.vertices.map(([x, y]) => [String(x), String(y)] as const);
  return { ...reading, pattern: { ...reading.pattern, lattice, exact } };
}

describe('a reading', () => {
  it('is odd where a vertex breaks a law, and only there', () => {
    expect(hasOddVertices(SOUND)).toBe(false);
    expect(hasOddVertices(ONE_LOST)).toBe(true);
    expect(hasOddVertices(ALL_LOST)).toBe(false);
  });

  it('is odd where creases cross without a vertex', () => {
    expect(hasOddVertices(CROSSED)).toBe(true);
    expect(likelier(CROSSED, SOUND)).toBe(SOUND);
  });

  it('gives way to one that breaks fewer laws, and not to one that breaks as many', () => {
    expect(likelier(ONE_LOST, SOUND)).toBe(SOUND);
    expect(likelier(SOUND, ONE_LOST)).toBe(SOUND);
    expect(likelier(ONE_LOST, { ...ONE_LOST })).toBe(ONE_LOST);
  });

  it('gives way to one of which clearly fewer creases are doubted, if it breaks no more laws', () => {
    const faint = (crease: number, probability: number) => ({ what: 'crease-faint', crease, probability }) as Doubt;
    const unsure = { ...SOUND, doubts: [faint(4, 0.5), faint(5, 0.5)] };
    const surer = { ...SOUND, doubts: [faint(4, 0.5)] };
    expect(likelier(unsure, surer)).toBe(surer);
    expect(likelier(surer, unsure)).toBe(surer);
    expect(likelier(unsure, { ...SOUND, doubts: [faint(4, 0.3)] })).toBe(unsure);
    expect(likelier(unsure, ONE_LOST)).toBe(unsure);
  });

  it('does not give way to one that breaks no law because it saw nothing', () => {
    expect(likelier(ONE_LOST, ALL_LOST)).toBe(ONE_LOST);
  });

  it('does not give way to one that lost the grid', () => {
    const lost = onGrid(ONE_LOST);
    expect(likelier(lost, SOUND)).toBe(lost);
  });
});

describe('a closer look', () => {
  const doubted = (doubt: Partial<Doubt>) => ({
    ...onGrid(SOUND),
    doubts: [{ probability: 0.5, facts: {}, ...doubt } as Doubt],
    legend: [],
  });

  it('is taken where a crease is doubted, not where only the meaning of the inks is, or what was left out', () => {
    expect(isDoubtful({ ...onGrid(SOUND), doubts: [], legend: [] })).toBe(false);
    expect(isDoubtful({ ...onGrid(ONE_LOST), doubts: [], legend: [] })).toBe(true);
    expect(isDoubtful(doubted({ what: 'crease-faint' }))).toBe(true);
    expect(isDoubtful(doubted({ what: 'convention-unknown' }))).toBe(false);
    expect(isDoubtful(doubted({ what: 'stray-ink' }))).toBe(false);
  });

  it('is taken where the ink hardly tells a kind, not where it is rather sure', () => {
    expect(isDoubtful(doubted({ what: 'kind-unclear', probability: 0.7 }))).toBe(true);
    expect(isDoubtful(doubted({ what: 'kind-unclear', probability: 0.9 }))).toBe(false);
  });

  it('is taken where one broken ink is all there is', () => {
    const inked = (rhythm: LegendEntry['rhythm'], kind: Kind) => ({
      ...onGrid(SOUND),
      doubts: [],
      legend: [{ kind, rhythm } as LegendEntry],
    });
    expect(isDoubtful(inked('dashdot', 'U'))).toBe(true);
    expect(isDoubtful(inked('solid', 'U'))).toBe(false);
    expect(isDoubtful(inked('dashed', 'V'))).toBe(false);
  });

  it('that is as sound as the first is believed', () => {
    const closer = readingOf([
      [0, 0, 'V'],
      [1, 0, 'V'],
      [1, 1, 'V'],
      [0, 1, 'M'],
    ]);
    expect(likelier(closer, SOUND)).toBe(closer);
  });
});
