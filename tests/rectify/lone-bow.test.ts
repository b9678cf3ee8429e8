/**
 * A side that bows because a hand wavered, and a sheet that bends with all its creases: constructed, with strokes whose true course is
 * known. A straight line stays straight in a flat picture (perspective maps lines to lines).
 */
import { describe, expect, it } from 'vitest';
import { evaluate } from '../../pipeline/rectify/curve.ts';
import { withoutLoneBow } from '../../pipeline/rectify/lone-bow.ts';
import type { PatternPoint, PicturePoint } from '../../pipeline/types.ts';

const VIEW = { width: 1400, height: 1400 };
const SIDE = 1000;
const SQUARE: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const flat = ([x, y]: PatternPoint): PicturePoint => [200 + SIDE * x, 200 + SIDE * (1 - y)];
const BOW_PX = 12;
/** Outward on a chord, highest in its middle. */
const BOWED = [0, 4 * BOW_PX, -4 * BOW_PX];
const STRAIGHT = [0];

/** Points along the line between two places, as the map shows them. */
function stroke(a: PatternPoint, b: PatternPoint, see: (p: PatternPoint) => PicturePoint): PicturePoint[] {
  return Array.from({ length: 41 }, (_, k) => see([a[0] + (k / 40) * (b[0] - a[0]), a[1] + (k / 40) * (b[1] - a[1])]));
}

const LINES: readonly (readonly [PatternPoint, PatternPoint])[] = [
  [
    [0, 0],
    [1, 1],
  ],
  [
    [0, 0.75],
    [1, 0.75],
  ],
  [
    [0, 0.5],
    [1, 0.5],
  ],
];

describe('sides that bow', () => {
  const corners = SQUARE.map(flat);

  it('are laid straight where the creases run straight without them', () => {
    const ring = { corners, bows: [STRAIGHT, STRAIGHT, BOWED, STRAIGHT] };
    const found = withoutLoneBow(
      ring,
      SQUARE,
      LINES.map(([a, b]) => stroke(a, b, flat)),
      VIEW,
    );
    for (const bow of found.bows) expect(evaluate(bow, 0.5)).toBe(0);
    expect(found.corners).toEqual(corners);
  });

  it('stay where the creases bow with them', () => {
    // The lower side bows inward as much as the upper one outward: the whole sheet is moved up in its middle.
    const ring = { corners, bows: [BOWED.map((c) => -c), STRAIGHT, BOWED, STRAIGHT] };
    const bent = (p: PatternPoint): PicturePoint => [flat(p)[0], flat(p)[1] - evaluate(BOWED, p[0])];
    const strokes = LINES.map(([a, b]) => stroke(a, b, bent));
    expect(withoutLoneBow(ring, SQUARE, strokes, VIEW)).toBe(ring);
  });

  it('stay where too few creases tell', () => {
    const ring = { corners, bows: [STRAIGHT, STRAIGHT, BOWED, STRAIGHT] };
    expect(withoutLoneBow(ring, SQUARE, [stroke([0.1, 0.7], [0.5, 0.7], flat)], VIEW)).toBe(ring);
  });
});
