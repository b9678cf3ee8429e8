/** What marks are lines of a drawing, and what is clutter: chains as they would be linked, their bends from how they were made. */
import { describe, expect, it } from 'vitest';
import { isCluttered } from '../../pipeline/rectify/candidates.ts';
import type { Chain } from '../../pipeline/rectify/chains.ts';

const LONGEST = 1000;
const chain = (length: number, bend: number): Chain => ({
  ax: 100,
  ay: 100,
  bx: 100 + length,
  by: 100,
  inkLength: length,
  contrast: 120,
  bend,
  pieces: [],
});
/** Two lines of one length, one after the other at an angle: their corner is off the chord from end to end by half of it times the tangent of half the angle. */
const atAngle = (length: number, degrees: number): Chain =>
  chain(length, (length / 2) * Math.tan((degrees * Math.PI) / 360));

describe('chains', () => {
  it.each([2.5, 4.5, 6])('of two long lines at %f degrees are lines', (degrees) => {
    const chains = [220, 400, 760].map((length) => atAngle(length, degrees));
    expect(isCluttered(chains, LONGEST)).toBe(false);
  });

  it('that bend more are clutter, and so are shorter ones that bend as much', () => {
    expect(
      isCluttered(
        [220, 400, 760].map((length) => atAngle(length, 9)),
        LONGEST,
      ),
    ).toBe(true);
    expect(
      isCluttered(
        Array.from({ length: 20 }, (_, k) => atAngle(120 + 3 * k, 6)),
        LONGEST,
      ),
    ).toBe(true);
  });
});
