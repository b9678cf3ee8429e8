/** Colours measured on a photographed display, whose bands of colour run on under the creases. */
import { describe, expect, it } from 'vitest';
import { featuresOf } from '../../pipeline/kinds/features.ts';
import type { Colour } from '../ink/painted.ts';
import { type Inked, inked } from './inked.ts';

const mixed = (line: number, along: number, upright: boolean): number =>
  (line * 2 + along * 3 + (upright ? 1 : 0) + ((line * along) % 3)) % 2;

/** The paper of a display that is not turned up full: bands above it are not cut off. */
const PAPER: Colour = [190, 190, 190];
const RED: Colour = [150, 60, 70];
const BLUE: Colour = [60, 80, 150];

/** Angles between the measured and the true ink of the creases, radians, sorted. */
function anglesOff({ reading, penOf }: Inked): number[] {
  const unit = (v: readonly number[]): number[] => v.map((x) => x / Math.hypot(...v));
  const out: number[] = [];
  penOf.forEach((pen, i) => {
    if (pen === null) return;
    const truth = unit([RED, BLUE][pen].map((v, c) => PAPER[c] - v));
    const got = unit(reading.measured[i].colour);
    out.push(Math.acos(Math.min(1, truth[0] * got[0] + truth[1] * got[1] + truth[2] * got[2])));
  });
  return out.sort((a, b) => a - b);
}

describe('the colours of creases under moire', () => {
  it.each([20, 45])('of %i grey levels are those of the inks', (moire) => {
    const off = anglesOff(inked([{ colour: RED }, { colour: BLUE }], mixed, { paper: PAPER, moire }));
    expect(off.length).toBe(60);
    // Red and blue are 0.7 apart; with bands of 20 left in, colours come out 0.5 off.
    expect(off[59]).toBeLessThan(0.08);
  });
});

describe('dark and pale strokes of one ink under moire', () => {
  it.each([20, 45])('of %i grey levels are apart in their mean ink', (moire) => {
    const pens = [{ colour: [90, 90, 90] }, { colour: [125, 125, 125] }] as const;
    const { reading, penOf } = inked(pens, mixed, { paper: PAPER, moire });
    const features = featuresOf(reading.measured, 3);
    const strengths = (pen: number) => features.flatMap(({ strength }, i) => (penOf[i] === pen ? [strength] : []));
    expect(Math.min(...strengths(0))).toBeGreaterThan(1.3 * Math.max(...strengths(1)));
  });
});
