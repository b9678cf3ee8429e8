/** Dashed against dash-dot where holes and dots mislead: blur closes some, long dashes show few, colours or paler strokes come between. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import type { Ink } from '../../pipeline/kinds/ink-groups.ts';
import { type PossibleSorting, possibleSortings } from '../../pipeline/kinds/inks.ts';
import { readMeanings } from '../../pipeline/kinds/meaning.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';
import { inkOf, pieceOf } from './stretches.ts';

const PAPER = [255, 255, 255] as const;
/** Ink: what it takes of the paper's light, three channels. */
const RED = [0.1, 0.8, 0.7] as const;
const BLUE = [0.8, 0.6, 0.2] as const;

/** Pieces of a dashed and of a dash-dot line by turns, begun anywhere. */
function drawing(
  dashed: readonly number[],
  dashdot: readonly number[],
  sizes: readonly number[],
  blurOf: (i: number) => number,
): PieceInk[] {
  const random = makeRandom(7);
  return sizes.map((size, i) => pieceOf(inkOf(i % 2 ? dashdot : dashed, random.range(0, 500), size, blurOf(i)), i));
}

const sortingsOf = (pieces: readonly PieceInk[], widthPx: number): PossibleSorting[] =>
  possibleSortings(
    pieces,
    pieces.map(() => true),
    widthPx,
  );

/** Readings that part the pieces in two rhythms, each piece as drawn; not those that stand only where laws speak clearly for them. */
function asDrawn(pieces: readonly PieceInk[], widthPx: number): PossibleSorting[] {
  return sortingsOf(pieces, widthPx).filter(({ sorting: { by, inks, odds }, favour }) => {
    const names = inks.map(({ rhythm }) => rhythm);
    return (
      by === 'rhythm' &&
      favour > 0 &&
      [...names].sort().join() === 'dashdot,dashed' &&
      odds.every((o, i) => o[names.indexOf(i % 2 ? 'dashdot' : 'dashed')] > 0.9)
    );
  });
}

// Valley dashed, mountain dash-dot: Yoshizawa-Randlett system (from memory). Against custom here: the mountains are blue.
describe('hairlines of two colours, both broken', () => {
  it.each([
    [[3, 1.4], 0.6],
    [[3, 1.4], 0.8],
    [[4, 1.6], 0.6],
    [[4, 1.6], 0.8],
    [[3, 1.2], 0.8],
    [[4, 1.2], 0.8],
  ] as const)('dashed %j under a blur of %f px against dash-dot: what repeats names them', (dashed, blur) => {
    const sizes = Array.from({ length: 60 }, (_, i) => 110 + ((i * 37) % 80));
    const pieces = drawing(dashed, [8, 1.5, 1, 1.5], sizes, () => blur).map((piece, i) => ({
      ...piece,
      colour: i % 2 ? BLUE : RED,
    }));
    const [{ sorting }] = sortingsOf(pieces, 1);
    expect(sorting.by).toBe('colour');
    const meanings = readMeanings(sorting, PAPER, false, [], true, null);
    sorting.odds.forEach((odds, i) => {
      const ink = odds.indexOf(Math.max(...odds));
      expect(sorting.inks[ink].rhythm).toBe(i % 2 ? 'dashdot' : 'dashed');
      expect(meanings[ink].kind).toBe(i % 2 ? 'M' : 'V');
    });
  });

  const ink = (direction: Ink['direction'], rhythm: Ink['rhythm'], filled: number, named: number | null): Ink => ({
    direction,
    strength: 1,
    crest: 0.8,
    rhythm,
    named,
    filled,
    share: 0.5,
  });
  const kindsOf = (filled: readonly [number, number], named: number | null) =>
    readMeanings(
      {
        inks: [ink(RED, 'dashed', filled[0], named), ink(BLUE, 'dashdot', filled[1], named)],
        by: 'colour',
        odds: [],
      },
      PAPER,
      false,
      [],
      true,
      null,
    ).map(({ kind }) => kind);

  it('mean what the notation says where their names are sure, however little of them is blank', () => {
    expect(kindsOf([0.7, 0.7], 0.95)).toEqual(['V', 'M']);
    expect(kindsOf([0.94, 0.92], 0.95)).toEqual(['V', 'M']);
  });

  it('mean what colours do by custom where their names are not (common practice, no source: red is mountain)', () => {
    expect(kindsOf([0.7, 0.7], 0.6)).toEqual(['M', 'V']);
  });
});

describe('two broken rhythms are a reading', () => {
  it('where blur has closed all the gaps of some dash-dot lines: they are not solid', () => {
    const sizes = Array.from({ length: 80 }, (_, i) => 110 + ((i * 37) % 80));
    // One piece in four lies where the picture is less sharp.
    const pieces = drawing([14, 6], [14, 2, 2, 2], sizes, (i) => ((i >> 1) % 4 === 0 ? 1.7 : 1.3));
    const closed = pieces.filter(({ beat }, i) => i % 2 === 1 && !beat.includes(0)).length;
    expect(closed).toBeGreaterThan(5);
    expect(asDrawn(pieces, 2)).not.toEqual([]);
  });

  it('where some strokes of either came out half as strong', () => {
    const sizes = Array.from({ length: 48 }, (_, i) => 110 + ((i * 37) % 80));
    const pieces = drawing([12, 6], [12, 4, 2, 4], sizes, () => 0.7).map((piece, i) =>
      (i >> 1) % 4 === 1 ? { ...piece, strength: piece.strength / 2, core: piece.core.map((v) => v / 2) } : piece,
    );
    expect(asDrawn(pieces, 2)).not.toEqual([]);
  });

  it('where their dashes are so long that many a piece shows one gap only', () => {
    const sizes = Array.from({ length: 40 }, (_, i) => 90 + ((i * 37) % 210));
    const pieces = drawing([60, 14], [60, 10, 4, 10], sizes, () => 0.8);
    expect(asDrawn(pieces, 2)).not.toEqual([]);
  });
});
