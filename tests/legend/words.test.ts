import { describe, expect, it } from 'vitest';
import { maySay, readLabel, readLetter } from '../../pipeline/legend/words.ts';

// Words of the trade in each language: common practice, no source.
describe('a label', () => {
  it.each([
    ['mountain', 'mountain'],
    ['Mountain folds', 'mountain'],
    ['valley fold', 'valley'],
    ['Bergfalte', 'mountain'],
    ['Talfalte', 'valley'],
    ['pli montagne', 'mountain'],
    ['vallée', 'valley'],
    ['monte', 'mountain'],
    ['valle', 'valley'],
    ['paper edge', 'edge'],
    ['auxiliary crease (left flat)', 'guide'],
  ])('%s', (text, kind) => expect(readLabel(text)).toMatchObject({ kind, wrong: 0 }));

  it('with letters read wrong: one in four', () => {
    expect(readLabel('mounlain')).toMatchObject({ kind: 'mountain', wrong: 1 });
    expect(readLabel('va11ey')).toBeNull();
    expect(readLabel('valtey')).toMatchObject({ kind: 'valley', wrong: 1 });
  });

  it.each(['', 'page', 'seven', 'miura 9 x 6', 'mountain or valley', 'rally', 'total'])(
    'that names no kind: %s',
    (text) => expect(readLabel(text)).toBeNull(),
  );

  it('is no sentence', () => {
    expect(readLabel('fold all of these as a mountain please')).toBeNull();
  });

  it('of one letter', () => {
    expect(readLetter('M')?.kind).toBe('mountain');
    expect(readLetter('Vv')?.kind).toBe('valley');
    expect(readLetter('MV')).toBeNull();
    expect(readLetter('V 2')?.kind ?? null).toBe('valley');
    expect(readLetter('B')).toBeNull();
  });

  it('that is half read may still be the other word', () => {
    expect(maySay('wa//ey', 'valley')).toBe(false);
    expect(maySay('ualtey', 'valley')).toBe(true);
    expect(maySay('symmetry axis', 'valley')).toBe(false);
  });
});
