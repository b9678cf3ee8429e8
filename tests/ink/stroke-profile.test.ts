/** The width of strokes is measured however a display's dots break them up. */
import { describe, expect, it } from 'vitest';
import { profileWidth } from '../../pipeline/ink/stroke-profile.ts';

const SIZE = 220;
const plane = { width: SIZE, height: SIZE };
const [C, S] = [Math.cos(0.003), Math.sin(0.003)];

/** Distances to a level, an upright and a slanted line, px. */
const distances = (x: number, y: number): number[] => [
  C * (y - 60) - S * x,
  C * (x - 160) + S * y,
  (x - y) / Math.SQRT2 + 4,
];

/** Strokes of that width; `dots` is the ink's share at a pixel. */
function drawn(widthPx: number, dots: (x: number, y: number) => number): [line: Float32Array, density: Float32Array] {
  const line = new Float32Array(SIZE * SIZE);
  const density = new Float32Array(SIZE * SIZE);
  for (let y = 0; y < SIZE; y++) {
    for (let x = 0; x < SIZE; x++) {
      const off = distances(x, y).map(Math.abs);
      line[y * SIZE + x] = Math.max(...off.map((d) => Math.exp(-(d * d) / 2)));
      const cover = Math.max(...off.map((d) => Math.min(1, Math.max(0, widthPx / 2 + 0.5 - d))));
      density[y * SIZE + x] = cover * dots(x, y);
    }
  }
  return [line, density];
}

describe('the width of strokes', () => {
  it.each([3, 5, 8])('of %d px is measured in full ink and in dots', (widthPx) => {
    expect(profileWidth(...drawn(widthPx, () => 0.9), plane)).toBeCloseTo(widthPx, 0);
    const dotted = profileWidth(...drawn(widthPx, (x, y) => (x % 3 === y % 2 ? 0.9 : 0.25)), plane);
    expect(Math.abs(dotted! - widthPx)).toBeLessThan(0.6);
  });

  it('is not guessed where nothing is drawn', () => {
    const bare = new Float32Array(SIZE * SIZE);
    expect(profileWidth(bare, bare, plane)).toBeNull();
  });
});
