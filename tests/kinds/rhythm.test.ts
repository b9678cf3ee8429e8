/** Whether holes along a stroke are drawn or skips of the pen. */
import { describe, expect, it } from 'vitest';
import { nameRhythm, readBeat } from '../../pipeline/kinds/rhythm.ts';

const WIDTH = 2;

/** Ink and gaps by turns, px, from somewhere within the first; `wobble` is how far each length strays at most, as a share. */
function beatOf(lengths: readonly number[], start: number, size: number, wobble = 0, seed = 1): Uint8Array {
  const random = seeded(seed);
  const out = new Uint8Array(size);
  for (let at = -start, i = 0; at < size; i++) {
    const length = lengths[i % lengths.length] * (1 + wobble * (2 * random() - 1));
    if (i % 2 === 0) out.fill(1, Math.max(0, Math.round(at)), Math.max(0, Math.min(size, Math.round(at + length))));
    at += length;
  }
  return out;
}

/** Skips of a dry pen: holes come independently of each other (a Poisson process), so distances are exponential. */
function skips(mean: number, size: number, seed: number): Uint8Array {
  const random = seeded(seed);
  const out = new Uint8Array(size).fill(1);
  for (let at = 0; at < size; ) {
    at += -mean * Math.log(1 - random());
    const hole = 4 + 10 * random();
    out.fill(0, Math.min(size, Math.round(at)), Math.min(size, Math.round(at + hole)));
    at += hole;
  }
  return out;
}

/** Park & Miller 1988. */
function seeded(seed: number): () => number {
  let state = seed * 7919 + 1;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

// ISO 128-2 line types in line widths (dash 12, long dash 24, dot 0.5, gap 3), the dots a px longer for blur.
const ISO: [string, number[], string][] = [
  ['02 dashed', [24, 6], 'dashed'],
  ['10 dashed dotted', [24, 6, 2, 6], 'dashdot'],
  ['12 dashed double-dotted', [24, 6, 2, 6, 2, 6], 'dashdot'],
  ['04 long-dashed dotted', [48, 6, 2, 6], 'dashdot'],
];

describe.each(ISO)('%s', (_, lengths, name) => {
  it('is regular and has its name wherever a piece begins, drawn by rule or by hand', () => {
    let judged = 0;
    for (let start = 0; start < 30; start += 3) {
      for (const wobble of [0, 0.2]) {
        const beat = readBeat(beatOf(lengths, start, 400, wobble, start + 1), WIDTH);
        expect(nameRhythm(beat)).toBe(name);
        if (beat.irregular === null) continue;
        judged++;
        expect(beat.irregular).toBeLessThan(0.15);
      }
    }
    expect(judged).toBeGreaterThan(10);
  });
});

describe('skips of the pen', () => {
  it('are irregular, and the worst of such lines are called solid by themselves', () => {
    const lines = Array.from({ length: 40 }, (_, seed) => readBeat(skips(30, 900, seed + 1), WIDTH));
    expect(lines.every(({ holeRate }) => holeRate > 0.02)).toBe(true);
    expect(lines.filter(({ irregular }) => (irregular ?? 0) > 0.15).length).toBeGreaterThan(36);
    expect(lines.filter((beat) => nameRhythm(beat) === 'solid').length).toBeGreaterThan(15);
  });
});
