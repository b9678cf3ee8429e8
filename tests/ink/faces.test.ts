/** Faces that a program filled with a colour are paper to their edges and corners, and lines between them are ink. */
import { describe, expect, it } from 'vitest';
import { paperTone } from '../../pipeline/ink/paper-tone.ts';
import { bar, paint, pixels } from './painted.ts';

const SIZE = 480;
const STRAW = [246, 230, 168] as const;
const [LEFT, RIGHT] = [120, 360];

describe('a face filled with straw on white paper', () => {
  // A triangle with corners of 45 degrees, filled by bars side by side, and black lines along its sides.
  const fill = Array.from({ length: RIGHT - LEFT }, (_, k) =>
    bar([LEFT, LEFT + k + 0.5], [LEFT + k + 0.5, LEFT + k + 0.5], 1.2, STRAW),
  );
  const lines = [
    bar([LEFT, LEFT], [LEFT, RIGHT], 3),
    bar([LEFT, RIGHT], [RIGHT, RIGHT], 3),
    bar([LEFT, LEFT], [RIGHT, RIGHT], 3),
  ];
  const raster = pixels(SIZE, paint(SIZE, SIZE, [...fill, ...lines]));
  const { paper } = paperTone(raster, true);
  const blueAt = (x: number, y: number): number => paper[3 * (y * SIZE + x) + 2];

  it.each([
    [130, 250],
    [125, 350],
    [350, 354],
    [129, 144],
    [180, 300],
  ])('is paper at %i, %i', (x, y) => {
    expect(Math.abs(blueAt(x, y) - STRAW[2])).toBeLessThan(4);
  });

  it('leaves the paper beside it white, and that under the lines as light as one of both', () => {
    expect(blueAt(60, 240)).toBeGreaterThan(250);
    expect(blueAt(300, 200)).toBeGreaterThan(250);
    expect(blueAt(LEFT, 240)).toBeGreaterThan(STRAW[2] - 4);
  });
});

describe('broad strokes that meet in a corner', () => {
  it('are ink to their ends, however large the blot where they meet', () => {
    const CORNER = [60, 420] as const;
    const RED = [238, 0, 0] as const;
    // Four strokes of 14 px within a right angle, as of the fish base (traditional), at multiples of 22.5 degrees.
    const ends = [0, 22.5, 45, 67.5, 90].map((degrees) => {
      const angle = (degrees * Math.PI) / 180;
      return [CORNER[0] + 300 * Math.cos(angle), CORNER[1] - 300 * Math.sin(angle)] as const;
    });
    const raster = pixels(
      SIZE,
      paint(
        SIZE,
        SIZE,
        ends.map((end) => bar(CORNER, end, 14, RED)),
      ),
    );
    const { paper } = paperTone(raster, true);
    for (const [x, y] of ends) {
      const middle = [Math.round((CORNER[0] + 2 * x) / 3), Math.round((CORNER[1] + 2 * y) / 3)];
      expect(paper[3 * (middle[1] * SIZE + middle[0]) + 1]).toBeGreaterThan(230);
    }
  });
});
