/** Beats of a display's subpixels are told on bare paper, beside the coloured lines. */
import { describe, expect, it } from 'vitest';
import { bareGrain, hasColouredGrain } from '../../pipeline/ink/coloured-grain.ts';
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

describe('coloured grain', () => {
  it('is measured on bare paper: an amplitude A in three phases spreads two differences by A times the root of 3', () => {
    expect(bareGrain(sheetOf(20))).toBeGreaterThan(0.85 * 20 * Math.sqrt(3));
    expect(bareGrain(sheetOf(20))).toBeLessThan(1.05 * 20 * Math.sqrt(3));
    expect(bareGrain(sheetOf(0))).toBe(0);
  });

  it('is what tells a photographed display from a quiet sheet, however coloured its lines', () => {
    expect(hasColouredGrain(sheetOf(20))).toBe(true);
    expect(hasColouredGrain(sheetOf(1))).toBe(false);
  });
});
