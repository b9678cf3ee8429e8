/** Pale lines are guides where the dark ones alone keep the folding laws, and creases where both do together. */
import { describe, expect, it } from 'vitest';
import { BLACK, type Colour } from '../ink/painted.ts';
import { inked, lettersOf, type Pen } from './inked.ts';

const PALE: Colour = [196, 196, 196];
const GUIDE_LINE = 3;

/** A map of level lines that keep their kind and upright ones that change at each of them (Maekawa's theorem); the third line each way is a guide. */
const folded = (line: number, along: number, upright: boolean): number => {
  if (line === GUIDE_LINE) return 2;
  const crossed = upright ? along - (along > GUIDE_LINE - 1 ? 1 : 0) : 0;
  return (line + crossed) % 2;
};

const letters = (pens: readonly Pen[], penAt: typeof folded): string[] => {
  const drawn = inked(pens, penAt);
  return pens.map((_, pen) => lettersOf(drawn, pen));
};

describe('pale lines', () => {
  it('are guides under a drawing in one ink', () => {
    const penAt = (line: number): number => (line === GUIDE_LINE ? 1 : 0);
    expect(letters([{ colour: BLACK }, { colour: PALE }], penAt)).toEqual(['U', 'F']);
  });

  it('are guides under a drawing in two rhythms of one ink', () => {
    const pens: Pen[] = [{ colour: BLACK }, { colour: BLACK, rhythm: [6, 3] }, { colour: PALE }];
    expect(letters(pens, folded)).toEqual(['M', 'V', 'F']);
  });

  it('are guides under a drawing in two colours', () => {
    const pens: Pen[] = [{ colour: [200, 20, 20] }, { colour: [20, 40, 190] }, { colour: PALE }];
    expect(letters(pens, folded)).toEqual(['M', 'V', 'F']);
  });

  it('are creases where dark and pale together keep to Maekawa', () => {
    const penAt = (line: number, along: number, upright: boolean): number => (upright ? line + along : line) % 2;
    expect(letters([{ colour: BLACK }, { colour: PALE }], penAt)).toEqual(['M', 'V']);
  });

  it('are the dark ink under gloss where it folds with them and not without, beside a colour', () => {
    const isGlossy = (line: number, along: number): boolean => line > 2 && along > 2;
    const penAt = (line: number, along: number, upright: boolean): number => {
      const isDark = (upright ? line + along : line) % 2 === 1;
      return isDark ? (isGlossy(line, along) ? 2 : 1) : 0;
    };
    const pens: Pen[] = [{ colour: [200, 90, 40] }, { colour: [36, 60, 44] }, { colour: [170, 182, 174] }];
    expect(letters(pens, penAt)).toEqual(['M', 'V', 'V']);
  });
});
