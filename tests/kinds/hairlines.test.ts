/** Strokes too thin to show their gaps: dashed valley is the trade's notation (Yoshizawa-Randlett), but a line that looks solid may be its dash-dot mountain or not. */
import { describe, expect, it } from 'vitest';
import type { Ink } from '../../pipeline/kinds/ink-groups.ts';
import { readMeanings } from '../../pipeline/kinds/meaning.ts';

const PAPER = [250, 250, 250] as const;
const BLACK = { direction: [0.577, 0.577, 0.577] as const, strength: 1, crest: 0.9, share: 0.5 };
const SOLID = { ...BLACK, rhythm: 'solid' as const, named: null, filled: 1 };
const DASHED = { ...BLACK, rhythm: 'dashed' as const, named: 1, filled: 0.6 };
const DASHDOT = { ...BLACK, rhythm: 'dashdot' as const, named: 1, filled: 0.7 };

const meant = (inks: readonly Ink[], hidesGaps: boolean) =>
  readMeanings({ inks, by: 'rhythm', odds: [] }, PAPER, false, [], true, null, hidesGaps);

describe('of hairlines', () => {
  it('a solid line against a dashed one is hardly likelier the mountain than not', () => {
    const plain = meant([SOLID, DASHED], false);
    const thin = meant([SOLID, DASHED], true);
    expect(thin.map(({ kind }) => kind)).toEqual(plain.map(({ kind }) => kind));
    for (const { probability } of plain) expect(probability).toBeGreaterThan(0.9);
    for (const { probability } of thin) expect(probability).toBeLessThan(0.75);
  });

  it('dashes against dash-dots, both of which show their gaps, are as sure as ever', () => {
    const plain = meant([DASHDOT, DASHED], false);
    expect(meant([DASHDOT, DASHED], true)).toEqual(plain);
  });
});
