import { describe, expect, it } from 'vitest';
import { readPrintedLegend } from '../../pipeline/legend/legend.ts';
import type { SampleInk } from '../../pipeline/legend/measure-sample.ts';
import { startTextReader } from '../../pipeline/legend/read-text.ts';
import { recover } from '../../pipeline/recover.ts';
import type { LegendRule } from '../../pipeline/types.ts';
import { drawing, legendsBeside } from './drawn.ts';

const filled = ({ beat }: SampleInk) => beat.reduce((sum, b) => sum + b, 0) / beat.length;
const strongest = ({ colour }: SampleInk) => colour.indexOf(Math.max(...colour));

describe('the legend beside the pattern', () => {
  it('below it, in two colours', async () => {
    const legend = await readPrintedLegend(await legendsBeside('below'));
    expect(legend?.samples.map(({ kind, word }) => `${kind} ${word}`)).toEqual(['mountain mountain', 'valley valley']);
    // Blue ink takes most of the red light, red ink much of the blue and green.
    const [blue, red] = legend!.samples;
    expect(strongest(blue.ink)).toBe(0);
    expect(strongest(red.ink)).not.toBe(0);
    expect(legend?.probability).toBeGreaterThan(0.95);
  });

  it('right of it, solid and dashed, in German', async () => {
    const legend = await readPrintedLegend(await legendsBeside('beside'));
    const words = legend?.samples.map(({ kind, word }) => `${kind} ${word}`);
    expect(words?.sort()).toEqual(['mountain bergfalte', 'valley talfalte']);
    const inkOf = (kind: string) => legend!.samples.find((sample) => sample.kind === kind)!.ink;
    expect(filled(inkOf('valley'))).toBeGreaterThan(0.95);
    // The dashes are 9 px long and 15 px apart.
    expect(filled(inkOf('mountain'))).toBeGreaterThan(0.5);
    expect(filled(inkOf('mountain'))).toBeLessThan(0.75);
  });

  it('is none where strokes stand beside other words, or words beside no strokes', async () => {
    const possible = await legendsBeside('caption');
    expect(possible.length).toBeGreaterThan(0);
    expect(await readPrintedLegend(possible)).toBeNull();
  });

  it('is none where nothing may be one: no thread is started', async () => {
    expect(await readPrintedLegend([])).toBeNull();
  });

  it('is none where Tesseract fails', async () => {
    const reader = startTextReader();
    const nothing = { width: 0, height: 0, grey: new Uint8Array(0), isLetter: false };
    expect(await reader.read([nothing])).toBeNull();
    expect(await reader.read([nothing])).toBeNull();
    await reader.end();
  });
});

describe('a recovery', () => {
  /** Colour or rhythm of the ink that is mountain, and why. */
  async function mountainOf(name: string, legend?: readonly LegendRule[]) {
    const { legend: inks, doubts } = await recover(drawing(name), { legend });
    const { colour, rhythm, why } = inks.find(({ kind }) => kind === 'M')!;
    const [red, , blue] = [1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16));
    return { isBlue: blue > red, rhythm, why, doubts: doubts.map(({ what }) => what) };
  }

  it('believes the legend against custom, without a doubt', async () => {
    const { isBlue, why, doubts } = await mountainOf('below');
    expect(isBlue).toBe(true);
    expect(why).toContain('legend beside the pattern: "mountain"');
    expect(doubts).not.toContain('mountain-valley-swap');
    expect(doubts).not.toContain('convention-unknown');
  });

  it('believes a person more', async () => {
    const { isBlue, why } = await mountainOf('below', [
      { kind: 'mountain', colour: '#dd2222' },
      { kind: 'valley', colour: '#2244dd' },
    ]);
    expect(isBlue).toBe(false);
    expect(why).toBe('given by the legend');
  });

  it('goes by custom where the legend says nothing', async () => {
    const { isBlue, why } = await mountainOf('caption');
    expect(isBlue).toBe(false);
    expect(why).toContain('custom');
  });
});
