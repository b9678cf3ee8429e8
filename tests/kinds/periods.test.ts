/** Rhythms told by what repeats, on pieces not much longer than one period. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { beginsOf } from '../../pipeline/kinds/begins.ts';
import { possibleSortings } from '../../pipeline/kinds/inks.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';
import { inkOf, pieceOf } from './stretches.ts';

/** Pieces of rhythms by turns, begun anywhere; `sizes` are their lengths, px. */
function drawing(rhythms: readonly (readonly number[])[], sizes: readonly number[], blur: number): PieceInk[] {
  const random = makeRandom(7);
  return sizes.map((size, i) => pieceOf(inkOf(rhythms[i % rhythms.length], random.range(0, 500), size, blur), i));
}

function sortedBy(pieces: readonly PieceInk[], widthPx: number) {
  const inner = pieces.map(() => true);
  const found = possibleSortings(pieces, inner, widthPx).find(({ sorting }) => sorting.by === 'rhythm');
  expect(found).toBeDefined();
  const { inks, odds } = found!.sorting;
  return { rhythms: inks.map(({ rhythm }) => rhythm), inkOf: odds.map((o) => (o[0] > o[1] ? 0 : 1)), inks };
}

// Programs begin a dashed line anew with each path (SVG 2, stroke-dashoffset: 0 at the start of every subpath).
describe('where strokes begin in their rhythm', () => {
  const lengths = [12, 8];
  const period = { dash: 12, gap: 8, dot: 0.5, dots: 0, blur: 0.8 };
  const SIZE = 34;
  const ENDS = 3;
  /** A crease drawn from its start, or from its end. */
  const drawn = (start: number, fromEnd: boolean) => {
    const ink = inkOf(lengths, start + ENDS, SIZE, 0.8);
    return { ink: fromEnd ? ink.reverse() : ink, ends: ENDS };
  };
  const gainOf = (strokes: { ink: Float32Array; ends: number }[], whole: { ink: Float32Array; ends: number }) => {
    const { likelihood } = beginsOf(strokes, period, 20, 0.2);
    return likelihood(whole.ink, whole) - likelihood(whole.ink, null);
  };

  it('is learnt where all begin anew, whichever way they were drawn', () => {
    const anew = Array.from({ length: 60 }, (_, i) => drawn(0, i % 3 === 0));
    for (const fromEnd of [false, true]) {
      expect(gainOf(anew, drawn(0, fromEnd))).toBeGreaterThan(1);
      // Begun 9 px into the period it begins anew at neither end.
      expect(gainOf(anew, drawn(9, fromEnd))).toBeLessThan(-1);
    }
  });

  it('says nothing where they run on from each other', () => {
    const onward = Array.from({ length: 60 }, (_, i) => drawn((i * 7.3) % 20, false));
    for (const start of [0, 5, 9, 14]) expect(Math.abs(gainOf(onward, drawn(start, false)))).toBeLessThan(0.5);
  });
});

describe('a line of many periods', () => {
  it.each([-0.02, -0.01, 0.01, 0.02])(
    'that was drawn longer by %f is about as likely as one that was not',
    (longer) => {
      // Dots of 2 px, gaps of 3 px: fourteen of them, the last of which is off by up to a quarter of a period.
      const { likelihood } = beginsOf([], { dash: 2, gap: 3, dot: 0.5, dots: 0, blur: 0.6 }, 20, 0.2);
      const drawn = (factor: number) =>
        likelihood(
          inkOf(
            [2, 3].map((l) => l * factor),
            1.3,
            70,
            0.6,
          ),
          null,
        );
      expect(drawn(1 + longer)).toBeGreaterThan(drawn(1) - 3);
    },
  );
});

const LONG = 12;
const SHORT = 80;

// ISO 128-2, lengths in line widths: dash 12, gap 3, dot half a width, as read on public tables.
describe.each([2, 3])('line types of ISO 128-2 at %d px wide', (width) => {
  it.each([
    ['10 dashed dotted', [12, 3, 0.5, 3]],
    ['12 dashed double-dotted', [12, 3, 0.5, 3, 0.5, 3]],
  ] as const)('pieces of 20 widths are of 02 dashed or of %s, as drawn', (_, dotted) => {
    const rhythms = [[12, 3], dotted].map((r) => r.map((l) => l * width));
    const sizes = Array.from({ length: LONG + SHORT }, (_, i) => (i < LONG ? 90 * width : 20 * width + (i % 5)));
    const { rhythms: names, inkOf: found } = sortedBy(drawing(rhythms, sizes, 0.8), width);
    expect([...names].sort()).toEqual(['dashdot', 'dashed']);
    const dashed = names.indexOf('dashed');
    const right = found.filter((ink, i) => (ink === dashed) === (i % 2 === 0)).length;
    expect(right / (LONG + SHORT)).toBeGreaterThan(0.98);
  });
});

// ISO 128-20, junctions: lines of the broken types should meet at a dash (from memory); so programs end each line on one, and stretch the period to that end.
describe('where every line ends on a half dash', () => {
  /** A whole number of periods, from the middle of a dash to the middle of a dash. */
  const fitted = (rhythm: readonly number[], size: number): Float32Array => {
    const period = rhythm.reduce((sum, l) => sum + l, 0);
    const factor = size / (period * Math.max(1, Math.round(size / period)));
    return inkOf(
      rhythm.map((l) => l * factor),
      (rhythm[0] * factor) / 2,
      size,
      1,
    );
  };

  it.each([
    ['10 dashed dotted', [20, 6, 4, 6]],
    ['12 dashed double-dotted', [20, 6, 4, 6, 4, 6]],
  ] as const)('pieces of a few periods are of 02 dashed or of %s, as drawn', (_, dotted) => {
    const rhythms = [[13, 7.5], dotted];
    // Half of the pieces are long enough to count their dots, and teach the periods.
    const pieces = Array.from({ length: 80 }, (_, i) =>
      pieceOf(fitted(rhythms[i % 2], i % 4 < 2 ? 290 + ((i * 7) % 40) : 108 + ((i * 5) % 24)), i),
    );
    const found = possibleSortings(
      pieces,
      pieces.map(() => true),
      4,
    ).find(({ sorting }) => sorting.by === 'rhythm')!.sorting;
    const dashdot = found.inks.findIndex(({ rhythm }) => rhythm === 'dashdot');
    expect(dashdot).toBeGreaterThan(-1);
    found.odds.forEach((odds, i) => {
      expect(odds[i % 2 === 1 ? dashdot : 1 - dashdot]).toBeGreaterThan(0.9);
    });
  });
});

describe('dots that blur has closed up', () => {
  it('leave a hole shallower than a gap that lacks as much ink', () => {
    // The fold's hole lacks 1.6 px of ink, the dash's 1.4: by their amount alone both are gaps.
    const sizes = Array.from({ length: 40 }, () => 110);
    const {
      rhythms,
      inkOf: found,
      inks,
    } = sortedBy(
      drawing(
        [
          [4.2, 1.4],
          [6.2, 0.8, 0.6, 0.8],
        ],
        sizes,
        0.7,
      ),
      1,
    );
    const dashdot = rhythms.indexOf('dashdot');
    expect(found.every((ink, i) => (ink === dashdot) === (i % 2 === 1))).toBe(true);
    for (const { named } of inks) {
      expect(named).toBeGreaterThan(0.6);
      expect(named).toBeLessThan(1);
    }
  });
});

/** A solid line that a dry pen skips at random (a Poisson process), leaving some ink, about so often a px. */
function skipping(size: number, often: number, seed: number): Float32Array {
  const random = makeRandom(seed);
  const ink = new Float32Array(size).fill(1);
  for (let at = -Math.log(1 - random.next()) / often; at < size; at += 3 - Math.log(1 - random.next()) / often) {
    ink.fill(random.range(0.3, 0.7), Math.floor(at), Math.floor(at) + random.int(2, 6));
  }
  return ink;
}

describe('solid lines that skip', () => {
  const sizes = Array.from({ length: 60 }, (_, i) => 60 + ((i * 37) % 120));

  it('more and less are one rhythm: nothing in them repeats', () => {
    for (const [few, many] of [
      [0.005, 0.04],
      [0.02, 0.08],
    ]) {
      const pieces = sizes.map((size, i) => pieceOf(skipping(size, i % 2 ? many : few, i + 1), i));
      const inner = pieces.map(() => true);
      const holed = pieces.filter(({ beat }) => beat.includes(0)).length;
      expect(holed).toBeGreaterThan(30);
      const clear = possibleSortings(pieces, inner, 3).filter(({ favour }) => favour > 0);
      expect(clear.map(({ sorting }) => sorting.by)).not.toContain('rhythm');
    }
  });

  it('are told from 02 dashed of ISO 128-2 (dash 12 widths, gap 3)', () => {
    const dashed = drawing([[36, 9]], sizes, 1);
    const pieces = sizes.map((size, i) => (i % 2 ? dashed[i] : pieceOf(skipping(size, 0.02, i + 1), i)));
    const { rhythms, inkOf: found } = sortedBy(pieces, 3);
    expect([...rhythms].sort()).toEqual(['dashed', 'solid']);
    const right = found.filter((ink, i) => (rhythms[ink] === 'dashed') === (i % 2 === 1)).length;
    expect(right / sizes.length).toBeGreaterThan(0.93);
  });
});

/** The same rhythm by an uneven hand: each length strays by up to this share. */
function byHand(rhythm: readonly number[], size: number, stray: number, seed: number): Float32Array {
  const random = makeRandom(seed);
  const lengths: number[] = [];
  for (let sum = 0; sum < 2 * size + 400; sum += lengths[lengths.length - 1])
    lengths.push(rhythm[lengths.length % rhythm.length] * (1 + random.range(-stray, stray)));
  return inkOf(lengths.slice(0, 2 * (lengths.length >> 1)), random.range(0, 200), size, 1);
}

// ISO 128-2, types 02 and 10, lengths as hands draw them.
describe('a broken line beside solid ones, by a hand that keeps to no period', () => {
  it.each([
    ['dashed', [28, 11]],
    ['dashdot', [28, 10, 7, 10]],
  ] as const)('is %s by its dots', (name, rhythm) => {
    const sizes = Array.from({ length: 24 }, (_, i) => 280 + ((i * 37) % 120));
    const pieces = sizes.map((size, i) =>
      pieceOf(i % 2 ? byHand(rhythm, size, 0.45, i + 1) : new Float32Array(size).fill(1), i),
    );
    const { rhythms, inkOf: found } = sortedBy(pieces, 5);
    expect([...rhythms].sort()).toEqual([name, 'solid'].sort());
    expect(found.every((ink, i) => (rhythms[ink] === name) === (i % 2 === 1))).toBe(true);
  });
});

describe('a short piece that fades as a line laid askew does', () => {
  it('is not surely of either rhythm: neither solid lines nor dashes fade so slowly', () => {
    const sizes = Array.from({ length: 40 }, () => 120);
    const dashed = drawing([[24, 8]], sizes, 0.8);
    const pieces = sizes.map((size, i) => (i % 2 ? dashed[i] : pieceOf(new Float32Array(size).fill(1), i)));
    const fading = Float32Array.from({ length: 11 }, (_, s) => 1 - s / 20);
    const { odds } = possibleSortings(
      [...pieces, pieceOf(fading, 1), pieceOf(fading.slice().reverse(), 2)],
      [...pieces.map(() => true), true, true],
      3,
    ).find(({ sorting }) => sorting.by === 'rhythm')!.sorting;
    for (const odd of odds.slice(pieces.length)) expect(Math.max(...odd)).toBeLessThan(0.9);
    odds.slice(0, pieces.length).forEach((o, i) => {
      expect(Math.max(...o)).toBeGreaterThan(0.97);
      expect(o.indexOf(Math.max(...o))).toBe(odds[i % 2].indexOf(Math.max(...odds[i % 2])));
    });
  });
});
