/** Gaps of a line that pressure makes stronger and weaker, and what is none: a line that fades, and the grain of the paper. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { inkAlong } from '../../pipeline/kinds/local-ink.ts';
import { quantile } from '../../pipeline/kinds/quantile.ts';
import { nameRhythm, readBeat } from '../../pipeline/kinds/rhythm.ts';

const WIDTH = 5;
const SIZE = 900;
/** Pressure swings from 1 to 0.3 and back over so many px. */
const SWING_PX = 310;

const pressure = (s: number): number => 0.65 + 0.35 * Math.cos((2 * Math.PI * s) / SWING_PX);

/** Means over a px and its neighbours, as blur and paper fibres make them; `reach` in px. */
function smooth(values: readonly number[], reach: number): number[] {
  return values.map((_, s) => {
    const near = values.slice(Math.max(0, s - reach), s + reach + 1);
    return near.reduce((sum, v) => sum + v, 0) / near.length;
  });
}

/** Grain of paper: noise of so much (standard deviation) of the stroke, as broad as half a stroke width. */
function grain(seed: number, spread: number): number[] {
  const random = makeRandom(seed);
  const noise = smooth(
    Array.from({ length: SIZE }, () => random.range(-1, 1)),
    1,
  );
  const deviation = Math.sqrt(noise.reduce((sum, v) => sum + v * v, 0) / SIZE);
  return noise.map((v) => 1 + (spread * v) / deviation);
}

/** A line of pencil; `gapAt` tells where it is lifted. */
function pencil(seed: number, spread: number, gapAt: (s: number) => boolean): Float64Array {
  const texture = grain(seed, spread);
  const line = smooth(
    texture.map((t, s) => (gapAt(s) ? 0 : 2 * t * pressure(s))),
    1,
  );
  return Float64Array.from(line, (v) => Math.max(0, v));
}

const beatOf = (amount: Float64Array): Uint8Array => inkAlong(amount, quantile(amount, 0.75), WIDTH);
const rhythmOf = (amount: Float64Array): string => nameRhythm(readBeat(beatOf(amount), WIDTH));

// ISO 128-2, as read on public tables: type 01 has no gap; the gaps of types 02 and 10 are 3 line widths of bare paper.
const DASHED = (s: number): boolean => s % (15 * WIDTH) >= 12 * WIDTH;
const DASHDOT = (s: number): boolean => {
  const at = (s % (20 * WIDTH)) / WIDTH;
  return (at >= 12 && at < 15) || at >= 17;
};
const SOLID = (): boolean => false;
const SEEDS = Array.from({ length: 12 }, (_, i) => i + 1);

describe.each([0, 0.05, 0.1])('pencil whose pressure swings threefold, of grain %f', (spread) => {
  it.each([
    ['solid', SOLID],
    ['dashed', DASHED],
    ['dashdot', DASHDOT],
  ] as const)('is %s where it is drawn so', (name, gapAt) => {
    for (const seed of SEEDS) expect(rhythmOf(pencil(seed, spread, gapAt))).toBe(name);
  });

  it('has its gaps where it was lifted, in its weak parts as in its strong ones', () => {
    for (const seed of SEEDS) {
      const beat = beatOf(pencil(seed, spread, DASHED));
      let wrong = 0;
      beat.forEach((b, s) => {
        if ((b === 0) !== DASHED(s)) wrong++;
      });
      // A px at both ends of each dash may fall either way.
      expect(wrong).toBeLessThan(3 * (SIZE / (15 * WIDTH)));
    }
  });
});

describe('coarse grain', () => {
  it('is no gap, for deep dips are rarer than shallow ones (normal distribution)', () => {
    for (const spread of [0.15, 0.2])
      for (const seed of SEEDS) expect(rhythmOf(pencil(seed, spread, SOLID))).toBe('solid');
  });
});

// A blurred edge is a normal distribution function: a stroke blurred to this width at half its height has a standard deviation of 1 / 2.355 of it.
describe('a gap that blur has filled', () => {
  const normal = (z: number): number => 1 / (1 + Math.exp(-1.702 * z));
  const blurred = (gap: number, dash: number): Float64Array => {
    const sigma = WIDTH / 2.355;
    return Float64Array.from({ length: 300 }, (_, s) => {
      let ink = 0;
      for (let from = -dash; from < 300 + dash; from += dash + gap)
        ink += normal((s - from) / sigma) - normal((s - from - dash) / sigma);
      return ink;
    });
  };

  it.each([4, 5, 7])('is a gap still: %d px at 5 px wide', (gap) => {
    const amount = blurred(gap, 20);
    expect(Math.min(...amount)).toBeGreaterThan(gap < 7 ? 0.2 : 0.05);
    expect(nameRhythm(readBeat(beatOf(amount), WIDTH))).toBe('dashed');
  });

  it('is shorter than two widths: a longer thin part with much ink is drawn', () => {
    const thin = Float64Array.from({ length: 600 }, (_, s) => (s % 75 < 15 ? 0.55 : 1));
    expect(rhythmOf(thin)).toBe('solid');
    const bare = thin.map((v) => (v < 1 ? 0.1 : 1));
    expect(rhythmOf(bare)).toBe('dashed');
  });
});
