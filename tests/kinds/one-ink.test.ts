/** One ink, however it came out, is not parted into two of which one draws nothing. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { possibleSortings } from '../../pipeline/kinds/inks.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';

const PIECES = 48;
const PIECE_PX = 60;

/** Solid strokes of one grey; compression tints a few a little, and hides the hue of the short ones. */
function strokes(seed: number): PieceInk[] {
  const random = makeRandom(seed);
  return Array.from({ length: PIECES }, (_, i): PieceInk => {
    const isClear = i % 4 > 0;
    const isTinted = i % 5 === 2;
    const off = () => random.range(-1, 1) * (isClear ? 0.003 : 0.3);
    const tint = isTinted ? 0.08 : 0;
    return {
      colour: [1 + tint + off(), 1 + off(), 1 - tint + off()],
      colourError: isClear ? 0.01 : 0.3,
      strength: 1.7 * random.range(0.95, 1.05),
      crest: 0.6,
      beat: new Uint8Array(PIECE_PX).fill(1),
      core: new Float32Array(PIECE_PX).fill(1),
      ridge: null,
      net: null,
      ends: 0,
      middle: [random.next(), random.next()],
      samples: isClear ? PIECE_PX : 3 * PIECE_PX,
      change: null,
    };
  });
}

describe('strokes of one ink in many tints', () => {
  it('are never sorted into inks of which one has no stroke of its own', () => {
    let parted = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const pieces = strokes(seed);
      const sortings = possibleSortings(
        pieces,
        pieces.map(() => true),
        3,
      );
      expect(sortings[0].sorting.inks.length).toBe(1);
      for (const { sorting } of sortings.slice(1)) {
        parted++;
        sorting.inks.forEach((_, ink) => {
          expect(sorting.odds.some((odds) => odds[ink] >= 0.5)).toBe(true);
        });
      }
    }
    expect(parted).toBeGreaterThan(5);
  });
});

describe('a few strokes', () => {
  // Of two numbers each is a group of its own, whatever they are.
  it.each([2, 3, 4])('%d of nearly one tint are one ink', (count) => {
    const pieces = strokes(3)
      .slice(0, count)
      .map((p, i): PieceInk => ({ ...p, colour: [1, 1, 1 - 0.08 * i], colourError: 0.01, samples: PIECE_PX }));
    const inner = pieces.map(() => true);
    const clear = possibleSortings(pieces, inner, 3).filter(({ favour }) => favour > 0);
    expect(clear).toEqual([]);
  });
});

// A sensor's full channel holds no more light (clipping; general knowledge of photography, no source): pale yellow paper there lends grey strokes its complement.
describe('six strokes of two clear tints', () => {
  /** The spokes of a waterbomb base, of which some are tinted. */
  const spokes = (isTinted: (x: number, y: number) => boolean): PieceInk[] => {
    const middles = [-1, 0, 1].flatMap((y) => [-1, 1].map((x): [number, number] => [0.5 + x / 4, 0.5 + y / 4]));
    return strokes(3)
      .slice(0, middles.length)
      .map((p, i): PieceInk => {
        const tint = isTinted(...middles[i]) ? 0.1 : 0;
        return { ...p, colour: [1 - tint, 1, 1 + tint], colourError: 0.004, samples: 900, middle: middles[i] };
      });
  };
  const clearOnes = (pieces: PieceInk[]) =>
    possibleSortings(
      pieces,
      pieces.map(() => true),
      6,
    ).filter(({ sorting, favour }) => sorting.by === 'colour' && favour > 0);

  it('are one ink where one half of the sheet is tinted, unless folding laws speak for two', () => {
    expect(clearOnes(spokes((x) => x > 0.5))).toEqual([]);
    expect(clearOnes(spokes((_, y) => y > 0.6))).toEqual([]);
  });

  it('are two inks where the tints are mixed', () => {
    const found = clearOnes(spokes((x, y) => Math.abs(y - 0.5) > 0.1 === x > 0.5));
    expect(found.map(({ sorting }) => sorting.inks.length)).toEqual([2]);
  });
});

describe('dark and pale strokes on grainy paper', () => {
  /** Grain adds to what lies in the wide window, by as much as it likes; on the strokes' own width there is their ink. */
  const drawn = (grain: number): PieceInk[] =>
    strokes(5).map((p, i): PieceInk => {
      const ink = i % 2 === 0 ? 0.9 : 0.5;
      return {
        ...p,
        colour: [1, 1, 1],
        colourError: 0.01,
        samples: PIECE_PX,
        core: new Float32Array(PIECE_PX).fill(ink),
        strength: 1.1 * ink + (grain * ((i >> 1) % 5)) / 4,
      };
    });

  it.each([0, 0.8])('are two inks, whatever the grain adds beside them: %d', (grain) => {
    const pieces = drawn(grain);
    const inner = pieces.map(() => true);
    const sorting = possibleSortings(pieces, inner, 3).find(({ sorting: { by } }) => by === 'strength')?.sorting;
    expect(sorting?.inks.length).toBe(2);
    pieces.forEach((_, i) => {
      const [pale, dark] = sorting!.odds[i];
      expect(i % 2 === 0 ? dark : pale).toBeGreaterThan(0.9);
    });
  });
});

// A pen or pencil is pressed stroke by stroke, and a few come out paler (general knowledge of drawing, no source).
describe('strokes that are paler than the others', () => {
  const byStrength = (paleEvery: number) => {
    const pieces = strokes(7).map((p, i): PieceInk => {
      const ink = i % paleEvery === 0 ? 0.5 : 0.95;
      const core = new Float32Array(PIECE_PX).fill(ink);
      return { ...p, colour: [1, 1, 1], colourError: 0.01, samples: PIECE_PX, strength: 1.8 * ink, core };
    });
    const inner = pieces.map(() => true);
    return possibleSortings(pieces, inner, 3).filter(({ sorting: { by } }) => by === 'strength');
  };

  it('and few may be an ink, but only the laws of folding speak for it', () => {
    const found = byStrength(12);
    expect(found.length).toBeGreaterThan(0);
    found.forEach(({ favour }) => {
      expect(favour).toBeLessThanOrEqual(0);
    });
  });

  it('and many are an ink by themselves', () => {
    expect(byStrength(3).some(({ favour }) => favour > 0)).toBe(true);
  });
});
