/** Rhythms of which one is drawn on short creases only, as the squares of a square-twist tessellation are (traditional). */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { type InkSorting, possibleSortings } from '../../pipeline/kinds/inks.ts';
import { inkOf, pieceOf } from './stretches.ts';

const WIDTH_PX = 4;
const LONG_PX = 280;
const SHORT_PX = 70;
const BLUR_PX = 0.6;
const EACH = 30;

const SOLID = [1];
// Long dashes and gaps, in stroke widths about what ISO 128-2 says of dashed lines.
const DASHED = [28, 7];

/** The sorting by rhythm that ink alone speaks for, of long strokes of one rhythm and short ones of another, each begun anywhere. */
function byRhythm(long: readonly number[], short: readonly number[]): InkSorting | undefined {
  const random = makeRandom(11);
  const drawn = (lengths: readonly number[], px: number, from: number) =>
    Array.from({ length: EACH }, (_, i) => pieceOf(inkOf(lengths, random.range(0, 500), px, BLUR_PX), from + i));
  const pieces = [...drawn(long, LONG_PX, 0), ...drawn(short, SHORT_PX, EACH)];
  const inner = pieces.map(() => true);
  return possibleSortings(pieces, inner, WIDTH_PX).find(({ sorting, favour }) => sorting.by === 'rhythm' && favour > 0)
    ?.sorting;
}

describe('long strokes of one rhythm and short ones of another', () => {
  it.each([
    ['long dashes, short solid strokes', DASHED, SOLID],
    ['long solid strokes, short dashes', SOLID, DASHED],
    ['long dashes and dots, short solid strokes', [24, 5, 3, 5], SOLID],
  ])('are two inks: %s', (_, long, short) => {
    const sorting = byRhythm(long, short);
    expect(sorting?.inks.length).toBe(2);
    const solid = sorting!.inks.findIndex(({ rhythm }) => rhythm === 'solid');
    const right = sorting!.odds.filter((odds, i) => odds[solid] > 0.5 === ((i < EACH ? long : short) === SOLID)).length;
    expect(right).toBeGreaterThanOrEqual(2 * EACH - 2);
  });

  it('are one ink where all are broken alike', () => {
    expect(byRhythm(DASHED, DASHED)).toBeUndefined();
  });

  it('are one ink where none is broken', () => {
    expect(byRhythm(SOLID, SOLID)).toBeUndefined();
  });
});
