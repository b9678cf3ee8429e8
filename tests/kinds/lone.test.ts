/** One ink, and creases that never meet: they may all be of one kind, and its colour may say which. */
import { describe, expect, it } from 'vitest';
import { readMeanings } from '../../pipeline/kinds/meaning.ts';
import type { Colour } from '../ink/painted.ts';

const PAPER: Colour = [245, 244, 238];

/** What an ink of this colour means; `depth` is how much of it a pale stroke lays on the paper. */
function kindOf(colour: Colour, depth: number, meets: boolean): string {
  const spent = PAPER.map((p, c) => (p - colour[c]) / p);
  const size = Math.hypot(...spent);
  const ink = {
    direction: [spent[0] / size, spent[1] / size, spent[2] / size] as const,
    strength: 2 * depth,
    crest: (depth * size) / Math.sqrt(3),
    rhythm: 'solid' as const,
    named: 1,
    filled: 1,
    share: 1,
  };
  const [meaning] = readMeanings({ inks: [ink], by: 'nothing', odds: [] }, PAPER, false, [], meets, null);
  return meaning.kind;
}

// Common practice, no source: red mountain, blue valley.
describe.each([1, 0.5, 0.25, 0.12])('%f of an ink on the paper', (depth) => {
  it('is still red or blue where that is its hue', () => {
    expect(kindOf([220, 40, 40], depth, false)).toBe('M');
    expect(kindOf([40, 70, 210], depth, false)).toBe('V');
  });

  it('says nothing where it is grey, or neither red nor blue', () => {
    expect(kindOf([30, 30, 32], depth, false)).toBe('U');
    expect(kindOf([40, 150, 60], depth, false)).toBe('U');
  });

  it('cannot be the one kind of creases that meet (Maekawa: both are needed)', () => {
    expect(kindOf([220, 40, 40], depth, true)).toBe('U');
  });
});
