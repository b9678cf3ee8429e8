/** Which inks the samples of a printed legend are. */
import { describe, expect, it } from 'vitest';
import type { Ink } from '../../pipeline/kinds/ink-groups.ts';
import type { InkSorting } from '../../pipeline/kinds/inks.ts';
import { readMeanings } from '../../pipeline/kinds/meaning.ts';
import { isOfInks, namedInks } from '../../pipeline/kinds/printed.ts';
import type { PrintedLegend } from '../../pipeline/legend/legend.ts';
import type { SampleInk } from '../../pipeline/legend/measure-sample.ts';
import type { Colour } from '../ink/painted.ts';

const STROKE_PX = 2;
const SURE = 0.98;
// What the inks take of the paper's light.
const [RED, BLUE, BLACK]: Colour[] = [
  [0.1, 0.85, 0.85],
  [0.85, 0.6, 0.1],
  [0.9, 0.9, 0.9],
];

function inkOf(taken: Colour, more: Partial<Ink> = {}): Ink {
  const size = Math.hypot(...taken);
  const direction = [taken[0] / size, taken[1] / size, taken[2] / size] as const;
  return { direction, strength: 2, crest: 0.6, rhythm: 'solid', named: 1, filled: 1, share: 0.4, ...more };
}

/** A sample of 90 px; `dashes` are the lengths of ink and gap in turn. */
function sampleOf(colour: Colour, strength = 2, dashes: readonly number[] = [90]): SampleInk {
  const beat = new Uint8Array(90);
  for (let at = 0, k = 0; at < beat.length; at += dashes[k++ % dashes.length])
    if (k % 2 === 0) beat.fill(1, at, at + dashes[k % dashes.length]);
  return { colour, strength, beat };
}

function legendOf(mountain: SampleInk, valley: SampleInk, guide?: SampleInk): PrintedLegend {
  const samples = [
    { kind: 'mountain', word: 'mountain', ink: mountain } as const,
    { kind: 'valley', word: null, ink: valley } as const,
    ...(guide ? [{ kind: 'guide', word: 'guide', ink: guide } as const] : []),
  ];
  return { samples, strokePx: STROKE_PX, probability: SURE };
}

const sorted = (by: InkSorting['by'], inks: readonly Ink[]): InkSorting => ({ inks, by, odds: [] });

function kindsOf(sorting: InkSorting, legend: PrintedLegend): string | null {
  const named = namedInks(sorting, legend);
  return named && sorting.inks.map((_, i) => named.get(i)?.kind ?? '-').join('');
}

describe('the samples are', () => {
  it('of the colours that are nearest', () => {
    const inks = sorted('colour', [inkOf(RED), inkOf(BLUE)]);
    expect(kindsOf(inks, legendOf(sampleOf(BLUE), sampleOf(RED)))).toBe('VM');
    expect(kindsOf(inks, legendOf(sampleOf(RED), sampleOf(BLUE)))).toBe('MV');
  });

  it('of two colours out of three, and a guide', () => {
    const inks = sorted('colour', [inkOf(RED), inkOf(BLACK), inkOf(BLUE)]);
    expect(kindsOf(inks, legendOf(sampleOf(BLACK), sampleOf(RED)))).toBe('VM-');
    expect(kindsOf(inks, legendOf(sampleOf(BLACK), sampleOf(RED), sampleOf(BLUE)))).toBe('VMF');
  });

  it('of strengths that differ as theirs do, if all are somewhat bolder', () => {
    const inks = sorted('strength', [inkOf(BLACK, { strength: 1 }), inkOf(BLACK, { strength: 3 })]);
    expect(kindsOf(inks, legendOf(sampleOf(BLACK, 1.4), sampleOf(BLACK, 4)))).toBe('MV');
    expect(kindsOf(inks, legendOf(sampleOf(BLACK, 2), sampleOf(BLACK, 2.1)))).toBeNull();
  });

  it('as broken as the inks', () => {
    const inks = sorted('rhythm', [inkOf(BLACK, { rhythm: 'dashed', filled: 0.6 }), inkOf(BLACK)]);
    expect(kindsOf(inks, legendOf(sampleOf(BLACK, 2, [9, 6]), sampleOf(BLACK)))).toBe('MV');
  });

  it('of the rhythms whose names they have', () => {
    const inks = sorted('rhythm', [
      inkOf(BLACK, { rhythm: 'dashed', filled: 0.65, named: 0.9 }),
      inkOf(BLACK, { rhythm: 'dashdot', filled: 0.65, named: 0.9 }),
    ]);
    const legend = legendOf(sampleOf(BLACK, 2, [8, 4]), sampleOf(BLACK, 2, [14, 5, 2, 5]));
    expect(kindsOf(inks, legend)).toBe('MV');
    // No surer than the rhythms are of their names.
    expect(namedInks(inks, legend)?.get(0)?.probability).toBeCloseTo(0.9 * SURE);
  });

  it('not of inks that they do not differ as', () => {
    const inks = sorted('colour', [inkOf(RED), inkOf(BLUE)]);
    expect(kindsOf(inks, legendOf(sampleOf(BLACK, 1), sampleOf(BLACK, 3)))).toBeNull();
    expect(isOfInks(inks, [sampleOf(BLACK, 1), sampleOf(BLACK, 3)], STROKE_PX)).toBe(false);
    expect(isOfInks(inks, [sampleOf(BLACK), sampleOf(BLUE), sampleOf(RED)], STROKE_PX)).toBe(true);
  });
});

describe('the printed legend', () => {
  const inks = sorted('colour', [inkOf(RED), inkOf(BLUE)]);
  const printed = legendOf(sampleOf(BLUE), sampleOf(RED));
  const meant = (legend: Parameters<typeof readMeanings>[3], beside: PrintedLegend | null) =>
    readMeanings(inks, [255, 255, 255], false, legend, true, beside);

  // Common practice, no source: red is mountain.
  it('is believed against custom', () => {
    expect(meant([], null).map(({ kind }) => kind)).toEqual(['M', 'V']);
    const read = meant([], printed);
    expect(read.map(({ kind }) => kind)).toEqual(['V', 'M']);
    expect(read.map(({ probability }) => probability)).toEqual([SURE, SURE]);
  });

  it('says which word was read', () => {
    const [red, blue] = meant([], printed);
    expect(blue.why).toBe('read in the legend beside the pattern: "mountain"');
    expect(red.why).toBe('read in the legend beside the pattern, where the other sample is named');
  });

  it('gives way to what a person says of an ink', () => {
    const [red, blue] = meant([{ kind: 'guide', colour: '#dd2222' }], printed);
    expect([red.kind, blue.kind]).toEqual(['F', 'M']);
  });
});
