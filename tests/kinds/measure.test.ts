/** Samples along pieces: what is the stroke's own, and what its neighbours' where they meet. */
import { describe, expect, it } from 'vitest';
import { measurePieces } from '../../pipeline/kinds/measure.ts';
import type { Profile } from '../../pipeline/kinds/profile.ts';

const WIDTH = 2;
const RED = [0.1, 0.9, 0.8] as const;
const BLUE = [0.9, 0.7, 0.1] as const;

/** A piece whose samples hold so much ink each, of the first colour up to `own` and of the second above. */
function profile(amount: readonly number[], own = Infinity): Profile {
  const rows = amount.flatMap((v) => {
    const [base, over] = [Math.min(v, own), Math.max(0, v - own)];
    return [0, 1, 2].map((c) => base * RED[c] + over * BLUE[c]);
  });
  return {
    rows: Float64Array.from(rows),
    amount: Float64Array.from(amount),
    crest: Float64Array.from(amount, (v) => v / 4),
    core: Float64Array.from(amount),
    ridge: null,
    net: false,
    middle: [0.5, 0.5],
    ends: 3,
    length: amount.length + 6,
  };
}

const repeat = (n: number, v: number): number[] => Array(n).fill(v);
/** A thin stroke (1) of 9 px between thick ones (4) that reach into its ends. */
const between = profile([...repeat(3, 4), ...repeat(5, 1), ...repeat(2, 4)], 1);
const long = Array.from({ length: 8 }, (_, i) => profile(repeat(100, i % 2 ? 4 : 1)));
const dashed = Array.from({ length: 8 }, () =>
  profile([0, 1, 2, 3].flatMap(() => [...repeat(18, 4), ...repeat(6, 0.2)])),
);

describe('a short piece between thicker strokes', () => {
  it('is as thin as its middle and has the colour of its middle, in a drawing without dashes', () => {
    const [{ strength, colour, beat }] = measurePieces([between, ...long], WIDTH);
    expect(strength).toBeCloseTo(1, 9);
    expect([...beat]).toEqual(repeat(10, 1));
    for (let c = 0; c < 3; c++) expect(colour[c]).toBeCloseTo(RED[c], 9);
  });

  it('is a hole between dashes in a drawing of dashes', () => {
    const [{ strength, beat }] = measurePieces([between, ...dashed], WIDTH);
    expect(strength).toBeCloseTo(4, 9);
    expect([...beat]).toEqual([...repeat(3, 1), ...repeat(5, 0), ...repeat(2, 1)]);
  });
});

// A crease that stops half-way: beyond is bare paper, whose own texture has a colour too.
describe('a piece of which more than half is bare paper, in a drawing without dashes', () => {
  it('has the strength and the colour of its stroke, and no ink on the paper', () => {
    const half = profile([...repeat(40, 3), ...Array.from({ length: 60 }, (_, i) => 0.1 + 0.2 * (i % 2))]);
    for (let i = 40; i < 100; i++) for (let c = 0; c < 3; c++) half.rows[3 * i + c] = half.amount[i] * BLUE[c];
    const [{ strength, colour, beat }] = measurePieces([half, ...long], WIDTH);
    expect(strength).toBeCloseTo(3, 9);
    expect([...beat]).toEqual([...repeat(40, 1), ...repeat(60, 0)]);
    for (let c = 0; c < 3; c++) expect(colour[c]).toBeCloseTo(3 * RED[c], 9);
  });
});

describe('long pieces', () => {
  it('keep their strength and their holes', () => {
    for (const [i, { strength, beat }] of measurePieces(long, WIDTH).entries()) {
      expect(strength).toBeCloseTo(i % 2 ? 4 : 1, 9);
      expect(beat.every((b) => b === 1)).toBe(true);
    }
    for (const { strength, beat } of measurePieces(dashed, WIDTH)) {
      expect(strength).toBeCloseTo(4, 9);
      expect([...beat].filter((b) => b === 0).length).toBe(24);
    }
  });
});
