/** Ground of middling light: the lines say whether they are lighter or darker than it. */
import { describe, expect, it } from 'vitest';
import { paperTone } from '../../pipeline/ink/paper-tone.ts';
import { bar, type Colour, paint, pixels } from './painted.ts';

const SIZE = 400;

function isLightOnDark(ground: Colour, line: Colour): boolean {
  const lines = [60, 130, 200, 270, 340].flatMap((at) => [
    bar([20, at], [380, at], 2.5, line),
    bar([at, 20], [at, 380], 2.5, line),
  ]);
  return paperTone(pixels(SIZE, paint(SIZE, SIZE, lines, ground))).lightOnDark;
}

describe('on ground of middling light', () => {
  it.each<[Colour, Colour]>([
    [
      [63, 143, 79],
      [255, 255, 255],
    ],
    [
      [63, 143, 79],
      [255, 255, 0],
    ],
    [
      [120, 140, 170],
      [255, 255, 255],
    ],
  ])('%j light lines %j are ink', (ground, line) => {
    expect(isLightOnDark(ground, line)).toBe(true);
  });

  it.each<[Colour, Colour]>([
    [
      [190, 150, 100],
      [20, 20, 20],
    ],
    [
      [150, 150, 150],
      [90, 90, 90],
    ],
    [
      [63, 143, 79],
      [10, 20, 10],
    ],
  ])('%j dark lines %j are ink', (ground, line) => {
    expect(isLightOnDark(ground, line)).toBe(false);
  });
});

describe('on flat tinted ground', () => {
  it('lines lighter than it in one channel and darker in the others leave the paper as it is', () => {
    const lines = [60, 75, 90, 200, 270].flatMap((at) => [
      bar([20, at], [380, at], 2.5, [204, 0, 0]),
      bar([at, 20], [at, 380], 2.5, [0, 0, 204]),
    ]);
    const { paper } = paperTone(pixels(SIZE, paint(SIZE, SIZE, lines, [136, 136, 136])));
    for (const v of paper) if (Math.abs(v - 136) > 2) expect(v).toBe(136);
  });
});
