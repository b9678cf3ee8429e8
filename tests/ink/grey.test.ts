/** What of a display the network sees. */
import { describe, expect, it } from 'vitest';
import { greyed } from '../../pipeline/ink/grey.ts';

const SIDE = 60;

describe('a display in grey', () => {
  it('is without beats: three waves a third of a period apart sum to nothing at every place', () => {
    const data = new Uint8Array(3 * SIDE * SIDE);
    for (let i = 0; i < SIDE * SIDE; i++) {
      const phase = 0.7 * (i % SIDE) + 0.2 * Math.floor(i / SIDE);
      for (let c = 0; c < 3; c++) data[3 * i + c] = Math.round(170 + 60 * Math.cos(phase + (2 * Math.PI * c) / 3));
    }
    const { data: grey } = greyed({ width: SIDE, height: SIDE, channels: 3, data });
    for (const v of grey) expect(Math.abs(v - 170)).toBeLessThanOrEqual(1);
  });

  it('keeps ink of every colour darker than white paper', () => {
    const inks = [0, 0, 0, 220, 30, 30, 30, 60, 220, 20, 150, 40];
    const { data: grey } = greyed({ width: 4, height: 1, channels: 3, data: Uint8Array.from(inks) });
    expect([...grey].filter((_, i) => i % 3 === 0).every((v) => v < 0.5 * 255)).toBe(true);
  });
});
