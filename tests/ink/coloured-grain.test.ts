/** Beats of a display's subpixels are taken out of the colour and leave the brightness alone; quiet sheets are left alone. */
import { describe, expect, it } from 'vitest';
import { bareGrain, withoutColouredGrain } from '../../pipeline/ink/coloured-grain.ts';
import type { Raster } from '../../pipeline/types.ts';
import { bar, paint } from './painted.ts';

const SIDE = 180;

/** A black and a red line on pale grey paper; `beat` grey levels of colour that sum to nothing at every pixel, as three subpixels a third of a period apart do. */
function sheetOf(beat: number): Raster<Uint8Array> {
  const light = paint(
    SIDE,
    SIDE,
    [bar([0, 60.5], [SIDE, 60.5], 3), bar([0, 120.5], [SIDE, 120.5], 3, [200, 0, 0])],
    [180, 180, 180],
  );
  const data = new Uint8Array(light.length);
  for (let i = 0; i < SIDE * SIDE; i++) {
    const phase = 2.1 * (i % SIDE) + 0.3 * Math.floor(i / SIDE);
    for (let c = 0; c < 3; c++) {
      const v = light[3 * i + c] + beat * Math.cos(phase + (2 * Math.PI * c) / 3);
      data[3 * i + c] = Math.min(255, Math.max(0, Math.round(v)));
    }
  }
  return { width: SIDE, height: SIDE, channels: 3, data };
}

const mean = ({ data }: Raster<Uint8Array>, x: number, y: number): number => {
  const p = 3 * (y * SIDE + x);
  return (data[p] + data[p + 1] + data[p + 2]) / 3;
};

describe('coloured grain', () => {
  it('is measured on bare paper: an amplitude A in three phases spreads two differences by A times the root of 3', () => {
    expect(bareGrain(sheetOf(20))).toBeGreaterThan(0.85 * 20 * Math.sqrt(3));
    expect(bareGrain(sheetOf(20))).toBeLessThan(1.05 * 20 * Math.sqrt(3));
    expect(bareGrain(sheetOf(0))).toBe(0);
  });

  it('goes, while the brightness of every pixel stays', () => {
    const noisy = sheetOf(30);
    const calm = withoutColouredGrain(noisy);
    expect(bareGrain(calm)).toBeLessThan(0.1 * bareGrain(noisy));
    let most = 0;
    for (let y = 0; y < SIDE; y++) {
      // Pure black and the red's bare channels cut beats off at 0: brightness is not the paper's there, but stays too.
      for (let x = 0; x < SIDE; x++) most = Math.max(most, Math.abs(mean(calm, x, y) - mean(noisy, x, y)));
    }
    expect(most).toBeLessThan(10);
    for (const y of [20, 40, 90, 150]) {
      for (let x = 10; x < SIDE; x += 17) expect(Math.abs(mean(calm, x, y) - 180)).toBeLessThan(1);
    }
  });

  it('leaves lines as dark and as narrow as they were', () => {
    const calm = withoutColouredGrain(sheetOf(30));
    for (let x = 10; x < SIDE; x += 17) {
      expect(mean(calm, x, 60)).toBeLessThan(20);
      expect(mean(calm, x, 57)).toBeGreaterThan(175);
      expect(mean(calm, x, 120)).toBeLessThan(90);
      expect(mean(calm, x, 117)).toBeGreaterThan(175);
    }
  });

  it('of a quiet sheet is none: coloured lines come back as they are', () => {
    const quiet = sheetOf(1);
    expect(withoutColouredGrain(quiet)).toBe(quiet);
  });
});
