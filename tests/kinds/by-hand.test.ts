/** Rhythms drawn by hand: dashes, gaps and dots of uneven length, broken up by a pencil's grain. */
import { describe, expect, it } from 'vitest';
import { makeRandom, type Random } from '../../datasets/patterns/random.ts';
import { featuresOf } from '../../pipeline/kinds/features.ts';
import { type PossibleSorting, possibleSortings } from '../../pipeline/kinds/inks.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';
import { type HandRhythm, runReader } from '../../pipeline/kinds/run-lengths.ts';
import { runReaderOf, sortByRuns } from '../../pipeline/kinds/sort-by-runs.ts';
import { pieceOf } from './stretches.ts';

const WIDTH = 4;

/** Lengths stray evenly about the usual ones, by up to this share. */
function uneven(random: Random, usual: number, by: number): number {
  return usual * random.range(1 - by, 1 + by);
}

/** Ink along a line begun anywhere in its rhythm, blurred a little; grain takes a third of the ink of some px and all of a few. */
function drawn(random: Random, lengths: readonly number[], size: number, by: number, grain: number): Float32Array {
  const sharp = new Float64Array(size);
  let at = -random.range(0, lengths[0]);
  for (let k = 0; at < size; k++) {
    const to = at + uneven(random, lengths[k % lengths.length], by);
    if (k % 2 === 0) sharp.fill(1, Math.max(0, Math.round(at)), Math.max(0, Math.round(to)));
    at = to;
  }
  for (let s = 0; s < size; s++) {
    const left = random.chance(grain) ? 0 : random.chance(4 * grain) ? 0.65 : 1;
    for (let k = s; k < Math.min(size, s + 3); k++) sharp[k] *= left;
  }
  return Float32Array.from(sharp, (v, s) => {
    const [before, after] = [sharp[Math.max(0, s - 1)], sharp[Math.min(size - 1, s + 1)]];
    return (before + 2 * v + after) / 4;
  });
}

const DASHED = [26, 11];
const DASHDOT = [36, 10, 7, 10];
const DASHDOTDOT = [36, 10, 7, 10, 7, 10];
const SOLID = [10_000, 1];

/** Pieces of two lines by turns. */
function drawing(seed: number, lines: readonly (readonly number[])[], by: number, grain: number): PieceInk[] {
  const random = makeRandom(seed);
  return Array.from({ length: 14 }, (_, i) => {
    const size = 180 + ((i * 37) % 300);
    return pieceOf(drawn(random, lines[i % lines.length], size, by, grain), i);
  });
}

/** The sorting for which the ink speaks most. */
function clearest(pieces: readonly PieceInk[]): PossibleSorting {
  const inner = pieces.map(() => true);
  return possibleSortings(pieces, inner, WIDTH).reduce((a, b) => (b.favour > a.favour ? b : a));
}

// Dash-dot is mountain, dashed is valley: Yoshizawa-Randlett system (from memory).
describe.each([
  ['dash-dot', DASHDOT],
  ['dash-dot-dot', DASHDOTDOT],
] as const)('dashed against %s', (_, dotted) => {
  it.each([
    [0.25, 0],
    [0.25, 0.02],
    [0.4, 0.01],
    [0.15, 0.03],
  ])('lengths uneven by %f, grain %f', (by, grain) => {
    for (const seed of [1, 2]) {
      const { sorting } = clearest(drawing(seed, [DASHED, dotted], by, grain));
      const names = sorting.inks.map(({ rhythm }) => rhythm);
      expect([...names].sort()).toEqual(['dashdot', 'dashed']);
      expect(Math.min(...sorting.inks.map(({ named }) => named ?? 0))).toBeGreaterThan(0.9);
      sorting.odds.forEach((odds, i) => {
        expect(odds[names.indexOf(i % 2 ? 'dashdot' : 'dashed')]).toBeGreaterThan(0.5);
      });
    }
  });
});

it('a dashed line beside a solid one has no dots for its grain', () => {
  for (const seed of [1, 2]) {
    const { sorting } = clearest(drawing(seed, [SOLID, DASHED], 0.25, 0.02));
    expect(sorting.inks.map(({ rhythm }) => rhythm).sort()).toEqual(['dashed', 'solid']);
  }
});

describe('one rhythm by an uneven hand is told as well by one as by two', () => {
  it.each([
    ['dashed', DASHED],
    ['dash-dot', DASHDOT],
  ] as const)('%s', (_, line) => {
    for (const seed of [1, 2]) {
      const features = featuresOf(drawing(seed, [line], 0.3, 0.01), WIDTH);
      const reader = runReaderOf(features, [...features.keys()], WIDTH);
      expect(reader && sortByRuns(reader)).toBeNull();
      expect(reader).not.toBeNull();
    }
  });
});

describe('a line read as a chain of parts', () => {
  const part = (length: number) => ({ length, spread: 0.25 });
  const rhythm = (dots: HandRhythm['dots']): HandRhythm => ({ dash: part(12), gap: part(4), dot: part(3), dots });
  /** Sums of what speaks for ink, +1 or -1 a step. */
  const sumsOf = (text: string): Float64Array => {
    const sums = new Float64Array(text.length + 1);
    for (let s = 0; s < text.length; s++) sums[s + 1] = sums[s] + (text[s] === '#' ? 1 : -1);
    return sums;
  };
  const read = (text: string, dots: HandRhythm['dots']) => runReader(rhythm(dots), 1, text.length)(sumsOf(text));
  const dashed = '######....############....###########....#############...####';
  const dashdot = '######....###....############....###....###########....##....####';

  it('is likeliest in its own rhythm', () => {
    expect(read(dashed, 0).log).toBeGreaterThan(read(dashed, 1).log + 5);
    expect(read(dashdot, 1).log).toBeGreaterThan(read(dashdot, 0).log + 5);
    expect(read(dashdot, 1).log).toBeGreaterThan(read(dashdot, 2).log + 5);
  });

  it('tells its parts, those at the ends cut', () => {
    const { parts } = read(dashdot, 1);
    const inOrder = [...parts].reverse();
    expect(inOrder.map(({ name, length }) => `${name} ${length}`)).toEqual([
      'dash 6',
      'gap 4',
      'dot 3',
      'gap 4',
      'dash 12',
      'gap 4',
      'dot 3',
      'gap 4',
      'dash 11',
      'gap 4',
      'dot 2',
      'gap 4',
      'dash 4',
    ]);
    expect(inOrder.map(({ whole }) => whole)).toEqual([false, ...Array(11).fill(true), false]);
  });

  it('survives a crumb in a gap and a hole in a dash', () => {
    const worn = dashed.replace('....', '..#.').replace('############', '######.#####');
    expect(read(worn, 0).log).toBeGreaterThan(read(worn, 1).log + 3);
  });

  it('says little where less than a dash is seen', () => {
    const short = '########';
    expect(Math.abs(read(short, 0).log - read(short, 1).log)).toBeLessThan(1);
  });
});
