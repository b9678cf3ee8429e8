/** A border that a hand drew wavers; a sheet that bends takes the lines on it along. */
import { describe, expect, it } from 'vitest';
import { mirrored } from '../../pipeline/rectify/curve.ts';
import { crookedness } from '../../pipeline/rectify/straightness.ts';
import { sheetMap } from '../../pipeline/rectify/warp.ts';
import type { PatternPoint, PicturePoint } from '../../pipeline/types.ts';
import { SQUARE } from '../unit-sheet.ts';

const VIEW = { width: 1600, height: 1400 };
const CORNERS: readonly PicturePoint[] = [
  [300, 1200],
  [1300, 1200],
  [1300, 200],
  [300, 200],
];
/** Each side bulges by 0.6 % of its length, as a sheet curled towards the camera bulges (invented data). */
const BULGE = [0, 24, -24];
const SIDES = SQUARE.map(() => mirrored(BULGE));

const LINES: readonly (readonly [PatternPoint, PatternPoint])[] = [
  [
    [0, 0],
    [1, 1],
  ],
  [
    [0, 1],
    [1, 0],
  ],
  [
    [0.25, 0],
    [0.25, 1],
  ],
  [
    [0.1, 0.6],
    [0.95, 0.4],
  ],
];
const along = ([a, b]: readonly [PatternPoint, PatternPoint], see: (p: PatternPoint) => PicturePoint): PicturePoint[] =>
  Array.from({ length: 21 }, (_, k) => see([a[0] + (k / 20) * (b[0] - a[0]), a[1] + (k / 20) * (b[1] - a[1])]));

/** A flat sheet seen straight on. */
const flat = ([x, y]: PatternPoint): PicturePoint => [300 + 1000 * x, 1200 - 1000 * y];

describe('sides that bend', () => {
  const bent = sheetMap(SQUARE, CORNERS, SIDES, VIEW);

  it('are a hand’s where the lines within are straight: the middle of the sheet stays where it is', () => {
    const map = sheetMap(
      SQUARE,
      CORNERS,
      SIDES,
      VIEW,
      LINES.map((line) => along(line, flat)),
    );
    expect(map.isByHand).toBe(true);
    for (const p of [
      [0.5, 0.5],
      [0.3, 0.7],
      [0.85, 0.4],
    ] as const) {
      const [x, y] = map.toPicture(p);
      const [u, v] = flat(p);
      expect(Math.hypot(x - u, y - v)).toBeLessThan(0.01);
    }
    // The border itself is followed.
    expect(map.toPicture([0.5, 0])[1]).toBeCloseTo(bent.toPicture([0.5, 0])[1], 6);
  });

  it('are those of the sheet where the lines within bend with them', () => {
    const map = sheetMap(
      SQUARE,
      CORNERS,
      SIDES,
      VIEW,
      LINES.map((line) => along(line, bent.toPicture)),
    );
    expect(map.isByHand).toBe(false);
    expect(map.toPicture([0.4, 0.6])).toEqual(bent.toPicture([0.4, 0.6]));
  });

  it('are those of the sheet where no line within is seen', () => {
    expect(sheetMap(SQUARE, CORNERS, SIDES, VIEW)).toMatchObject({ isByHand: false });
  });

  it('leave straight lines as crooked as they are far from straight on the sheet', () => {
    const sag = ([x, y]: PatternPoint): PicturePoint => flat([x, y + 0.01 * Math.sin(Math.PI * x)]);
    const line = along(
      [
        [0, 0.5],
        [1, 0.5],
      ],
      sag,
    );
    // Root mean square of a half wave about its mean, amplitude 0.01.
    const off = 0.01 * Math.sqrt(0.5 - (2 / Math.PI) ** 2);
    expect(crookedness(flat, sheetMap(SQUARE, CORNERS, SIDES, VIEW).homography, [line])).toBeCloseTo(off, 3);
  });
});
