/** One ink; creases told apart by how the line is broken. */
import { describe, expect, it } from 'vitest';
import { BLACK } from '../ink/painted.ts';
import { inked, lettersOf, type Pen } from './inked.ts';

const mixed = (line: number, along: number, upright: boolean): number =>
  (line * 2 + along * 3 + (upright ? 1 : 0) + ((line * along) % 3)) % 2;

/** Line types of ISO 128-2, lengths in line widths (dash 12, long dash 24, short dash 6, dot half a width, gap 3) as read on public tables. */
const TYPES = {
  '02 dashed': [12, 3],
  '04 long-dashed dotted': [24, 3, 0.5, 3],
  '05 long-dashed double-dotted': [24, 3, 0.5, 3, 0.5, 3],
  '08 long-dashed short-dashed': [24, 3, 6, 3],
  '10 dashed dotted': [12, 3, 0.5, 3],
  '12 dashed double-dotted': [12, 3, 0.5, 3, 0.5, 3],
} as const;
const pen = (name: keyof typeof TYPES): Pen => ({ colour: BLACK, rhythm: TYPES[name] });
const SOLID: Pen = { colour: BLACK };

// Valley dashed, mountain dash-dot or dash-dot-dot: Yoshizawa-Randlett system (from memory).
describe('the notation: dashed is valley, dash-dot is mountain', () => {
  it.each([
    '04 long-dashed dotted',
    '10 dashed dotted',
    '12 dashed double-dotted',
    '05 long-dashed double-dotted',
  ] as const)('dashed against %s', (dotted) => {
    for (const swap of [false, true]) {
      const pens = swap ? [pen(dotted), pen('02 dashed')] : [pen('02 dashed'), pen(dotted)];
      const drawn = inked(pens, mixed);
      expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(swap ? ['M', 'V'] : ['V', 'M']);
      const rhythms = drawn.reading.legend.filter((e) => e.kind !== 'B').map((e) => `${e.kind} ${e.rhythm}`);
      expect(rhythms.sort()).toEqual(['M dashdot', 'V dashed']);
    }
  });

  it.each(['02 dashed'] as const)('solid against %s: the broken line is valley', (broken) => {
    const drawn = inked([SOLID, pen(broken)], mixed);
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['M', 'V']);
    const rhythms = drawn.reading.legend.filter((e) => e.kind !== 'B').map((e) => `${e.kind} ${e.rhythm}`);
    expect(rhythms.sort()).toEqual(['M solid', 'V dashed']);
  });

  it('is overruled by the legend', () => {
    const drawn = inked([pen('02 dashed'), pen('10 dashed dotted')], mixed, {
      legend: [
        { kind: 'mountain', rhythm: 'dashed' },
        { kind: 'valley', rhythm: 'dashdot' },
      ],
    });
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['M', 'V']);
  });
});

describe.each([1.5, 2, 2.5])('at %f px wide strokes', (widthPx) => {
  it.each([
    '04 long-dashed dotted',
    '10 dashed dotted',
    '12 dashed double-dotted',
    '05 long-dashed double-dotted',
  ] as const)('dots half a width long are seen: dashed against %s', (dotted) => {
    const pens = [pen('02 dashed'), pen(dotted)].map((p) => ({ ...p, widthPx }));
    const drawn = inked(pens, mixed);
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['V', 'M']);
  });

  // Both kinds are needed where creases meet (Maekawa's theorem), so one rhythm tells neither.
  it.each(Object.keys(TYPES) as (keyof typeof TYPES)[])('%s alone is one ink, undecided', (only) => {
    const drawn = inked([{ ...pen(only), widthPx }], () => 0);
    expect(lettersOf(drawn, 0)).toBe('U');
  });

  it.each([
    [12, 3],
    [15, 4],
    [20, 5],
    [30, 8],
  ])('a grid all dashed, %d px of ink and %d px of gap, is one ink, undecided', (ink, gap) => {
    const drawn = inked([{ colour: BLACK, widthPx, rhythm: [ink / widthPx, gap / widthPx] }], () => 0);
    expect(lettersOf(drawn, 0)).toBe('U');
  });
});

describe('one colour in two widths', () => {
  const pens: Pen[] = [
    { colour: BLACK, widthPx: 2 },
    { colour: BLACK, widthPx: 4 },
  ];

  it('are two kinds; thick is mountain (common practice, no source)', () => {
    const drawn = inked(pens, mixed);
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['V', 'M']);
  });

  it('mean what the legend says', () => {
    const drawn = inked(pens, mixed, {
      legend: [
        { kind: 'mountain', width: 'thin' },
        { kind: 'valley', width: 'thick' },
      ],
    });
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['M', 'V']);
  });
});
