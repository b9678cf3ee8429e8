/** Strokes that the network lost around the sheet's border come back from the ink; marks elsewhere that it took for no lines do not. */
import { describe, expect, it } from 'vitest';
import type { InkField } from '../../pipeline/ink/ink.ts';
import { regainBorder } from '../../pipeline/ink/lost-border.ts';
import type { Sheet } from '../../pipeline/types.ts';
import { bar, fieldOf, type Patch, type Point, paint } from './painted.ts';

const SIZE = 400;
const UNIT = 300;
const STROKE = 3;
/** The pattern's corners on the paper, counterclockwise from the bottom left: both lower ones are slanted. */
const CORNERS: readonly Point[] = [
  [125, 350],
  [275, 350],
  [350, 200],
  [275, 50],
  [125, 50],
  [50, 200],
];
const RED = [224, 0, 0] as const;
/** A crease across the lower left corner, ... */
const CUT = [
  [110, 320],
  [190, 350],
] as const;
/** ... a mark inside, and where the network sees nothing. */
const MARK = [
  [180, 150],
  [220, 150],
] as const;
const BLIND_PX = 45;

const sheet = {
  pxPerUnit: UNIT,
  originPx: [50, 350],
  polygon: CORNERS.map(([x, y]) => [(x - 50) / UNIT, (350 - y) / UNIT]),
} as Pick<Sheet, 'pxPerUnit' | 'originPx' | 'polygon'> as Sheet;

/** The drawing, seen in full but around the lower left corner and where the mark is. */
function seen(plain: boolean): InkField {
  const strokes: Patch[] = CORNERS.map((p, i) => bar(p, CORNERS[(i + 1) % CORNERS.length], STROKE));
  const light = paint(SIZE, SIZE, [bar(...CUT, STROKE, RED), bar(...MARK, STROKE), ...strokes]);
  const field = fieldOf(SIZE, light, STROKE);
  const line = field.density.map((d, i) => {
    const [x, y] = [i % SIZE, Math.floor(i / SIZE)];
    const isBlind = Math.hypot(x - CORNERS[0][0], y - CORNERS[0][1]) < BLIND_PX;
    return isBlind || (Math.abs(y - MARK[0][1]) < 9 && x > 170 && x < 230) ? 0.1 * d : d;
  });
  return { ...field, line, plain };
}

const heightAt = ({ line }: InkField, x: number, y: number): number => line[y * SIZE + x];

describe('a corner that the network lost', () => {
  const regained = regainBorder(seen(true), sheet);

  it.each([
    ['the border', 125, 350],
    ['the border on the slant', 115, 330],
    ['the crease where it meets the border', 113, 321],
    ['the crease farther in', 140, 331],
  ])('has %s again', (_, x, y) => {
    const around = [-1, 0, 1].flatMap((v) => [-1, 0, 1].map((u) => heightAt(regained, x + u, y + v)));
    expect(Math.max(...around)).toBeGreaterThan(0.6);
  });

  it('brings no paper and no other mark with it', () => {
    expect(heightAt(regained, 200, 150)).toBeLessThan(0.2);
    expect(heightAt(regained, 140, 341)).toBeLessThan(0.1);
  });

  it('is left as the network saw it on paper with grain', () => {
    const grainy = seen(false);
    expect(regainBorder(grainy, sheet)).toBe(grainy);
  });
});
