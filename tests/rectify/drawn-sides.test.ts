/** A flat paper's map pulled to a border that a hand drew: near the sides the border counts, across them; all else the paper tells. Invented data. */
import { expect, it } from 'vitest';
import { alongDrawnSides } from '../../pipeline/rectify/drawn-sides.ts';
import type { PatternPoint, PicturePoint } from '../../pipeline/types.ts';

const paper = ([x, y]: PatternPoint): PicturePoint => [100 + 1000 * x, 1100 - 1000 * y];
/** Left and right sides waver by 6 px, and places along them are 15 px off at mid height. */
const waver = (y: number): number => 6 * Math.sin(9 * y);
const drawn = ([x, y]: PatternPoint): PicturePoint => {
  const [px, py] = paper([x, y]);
  return [px + waver(y), py + 15 * Math.sin(Math.PI * y)];
};
const map = alongDrawnSides(paper, drawn, { width: 0.7, height: 1 });

it('carries the sides to the drawn ones, without what is off along them', () => {
  for (const y of [0.2, 0.5, 0.8]) {
    for (const x of [0, 0.7]) {
      const [px, py] = map([x, y]);
      expect(px).toBeCloseTo(paper([x, y])[0] + waver(y), 6);
      expect(py).toBeCloseTo(paper([x, y])[1], 6);
    }
  }
});

it('leaves what lies deep within the sheet as the paper has it', () => {
  for (const p of [
    [0.2, 0.3],
    [0.35, 0.5],
    [0.5, 0.85],
  ] as const) {
    expect(map(p)).toEqual(paper(p));
  }
});
