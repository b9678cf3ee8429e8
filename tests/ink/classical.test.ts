/** Ink by colour statistics: how much there is, of what hue, how wide, on whatever paper and in whatever light. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { findInk, type InkField } from '../../pipeline/ink/ink.ts';
import type { Sheet } from '../../pipeline/types.ts';
import { sheetWith } from '../unit-sheet.ts';
import { BLACK, bar, type Colour, type Patch, paint, pixels, WHITE } from './painted.ts';

const SIZE = 400;
const MARGIN = 20;

/** The painting as a straightened sheet, the outline 20 px inside its raster. */
function sheetOf(light: Float32Array, grain?: () => number): Sheet {
  return sheetWith(SIZE - 2 * MARGIN, MARGIN, pixels(SIZE, light, grain));
}

/** A pattern's worth of lines: level, upright and slanted, all of one width and colour. */
function lines(widthPx: number, colour: Colour = BLACK): Patch[] {
  const patches: Patch[] = [];
  for (let k = 1; k <= 6; k++) {
    const at = 23.4 + 53 * k;
    patches.push(
      bar([MARGIN, at], [SIZE - MARGIN, at], widthPx, colour),
      bar([at, MARGIN], [at, SIZE - MARGIN], widthPx, colour),
    );
  }
  patches.push(bar([40, 60], [340, 377], widthPx, colour), bar([60, 370], [361, 60], widthPx, colour));
  return patches;
}

function lit(light: Float32Array, factor: (x: number, y: number) => number): Float32Array {
  return light.map((v, i) => v * factor(Math.floor(i / 3) % SIZE, Math.floor(i / 3 / SIZE)));
}

/** What the density is by definition: root mean square of the share of the paper's light that is missing. */
function trueDensity(light: Float32Array, paper: Colour): Float32Array {
  return Float32Array.from({ length: light.length / 3 }, (_, i) =>
    Math.sqrt([0, 1, 2].reduce((sum, c) => sum + (1 - light[i * 3 + c] / paper[c]) ** 2, 0) / 3),
  );
}

/** Greatest and mean difference from the truth over the inside of the sheet. */
function misses(ink: InkField, truth: Float32Array): { worst: number; mean: number } {
  let [worst, sum, n] = [0, 0, 0];
  for (let y = MARGIN; y < SIZE - MARGIN; y++) {
    for (let x = MARGIN; x < SIZE - MARGIN; x++) {
      const miss = Math.abs(ink.density[y * SIZE + x] - truth[y * SIZE + x]);
      worst = Math.max(worst, miss);
      sum += miss;
      n++;
    }
  }
  return { worst, mean: sum / n };
}

describe('density', () => {
  it.each<[string, Colour, Colour]>([
    ['black on white', WHITE, BLACK],
    ['red on white', WHITE, [220, 30, 40]],
    ['pale blue on white', WHITE, [150, 175, 240]],
    ['black on yellowed paper', [236, 224, 190], BLACK],
    ['black on grey paper', [170, 170, 170], BLACK],
  ])("is the share of the paper's light that is missing: %s, to 0.03", (_, paper, colour) => {
    const light = paint(SIZE, SIZE, lines(3, colour), paper);
    const ink = findInk(sheetOf(light));
    const truth = trueDensity(light, paper);
    expect(truth.some((v) => v > 0.25)).toBe(true);
    expect(misses(ink, truth).worst).toBeLessThan(0.03);
    expect(ink.lightOnDark).toBe(false);
    for (let c = 0; c < 3; c++) expect(Math.abs(ink.paperColour[c] - paper[c])).toBeLessThan(3);
  });

  it('does not change with the light: a lamp from one side, and a shadow with an edge', () => {
    const light = paint(SIZE, SIZE, lines(3, [220, 30, 40]));
    const truth = trueDensity(light, WHITE);
    const slope = findInk(sheetOf(lit(light, (x) => 0.55 + (0.45 * x) / SIZE)));
    expect(misses(slope, truth).worst).toBeLessThan(0.06);
    expect(misses(slope, truth).mean).toBeLessThan(0.01);
    const shadow = findInk(sheetOf(lit(light, (x, y) => (x + 0.4 * y < 260 ? 1 : 0.6))));
    expect(misses(shadow, truth).mean).toBeLessThan(0.02);
    // A stroke in the shadow is as dark as one in the light.
    const [bright, dim] = [shadow.density[(100 * SIZE + 76) | 0], shadow.density[(330 * SIZE + 341) | 0]];
    expect(truth[330 * SIZE + 341]).toBeGreaterThan(0.3);
    expect(Math.abs(dim / bright - truth[330 * SIZE + 341] / truth[100 * SIZE + 76])).toBeLessThan(0.1);
  });

  it('of light lines on dark ground is the share of what lies above the ground', () => {
    const ground: Colour = [30, 34, 48];
    const chalk: Colour = [230, 235, 240];
    const light = paint(SIZE, SIZE, lines(3, chalk), ground);
    const ink = findInk(sheetOf(light));
    expect(ink.lightOnDark).toBe(true);
    const truth = Float32Array.from({ length: SIZE * SIZE }, (_, i) =>
      Math.sqrt([0, 1, 2].reduce((sum, c) => sum + ((light[i * 3 + c] - ground[c]) / (255 - ground[c])) ** 2, 0) / 3),
    );
    expect(misses(ink, truth).worst).toBeLessThan(0.03);
  });

  it('is nothing outside the outline: desk and captions are cleared away', () => {
    const caption = bar([2, 8], [390, 8], 6);
    const { density } = findInk(sheetOf(paint(SIZE, SIZE, [...lines(3), caption])));
    let outside = 0;
    for (let x = 0; x < SIZE; x++)
      for (let y = 0; y < 12; y++)
        outside = Math.max(outside, density[y * SIZE + x], density[(SIZE - 1 - y) * SIZE + x]);
    expect(outside).toBe(0);
  });
});

describe('hue', () => {
  it("is the ink's at the rim of a stroke as in its middle: coverage changes how much, not which way", () => {
    const colour: Colour = [200, 60, 120];
    const { diff, density } = findInk(sheetOf(paint(SIZE, SIZE, lines(2.6, colour))));
    const missing = colour.map((v) => 1 - v / 255);
    const size = Math.hypot(...missing);
    let [faint, checked] = [0, 0];
    for (let i = 0; i < density.length; i++) {
      if (density[i] < 0.08) continue;
      const d = [0, 1, 2].map((c) => diff[i * 3 + c]);
      const cosine = d.reduce((sum, v, c) => sum + v * missing[c], 0) / (Math.hypot(...d) * size);
      expect(cosine).toBeGreaterThan(0.995);
      checked++;
      if (density[i] < 0.2) faint++;
    }
    expect(checked).toBeGreaterThan(5000);
    expect(faint).toBeGreaterThan(300);
  });
});

describe('stroke width', () => {
  it.each([1.5, 2, 3, 4, 5.5, 7, 9, 12])('of %f px lines is that, to three quarters of a px', (width) => {
    const { strokeWidthPx, ridge } = findInk(sheetOf(paint(SIZE, SIZE, lines(width))));
    expect(Math.abs(strokeWidthPx - width)).toBeLessThanOrEqual(0.75);
    expect(ridge.widthPx).toBe(strokeWidthPx);
  });

  it.each<[string, Colour]>([
    ['pale', [200, 200, 200]],
    ['red', [230, 60, 60]],
  ])('of %s lines is found as well', (_, colour) => {
    expect(Math.abs(findInk(sheetOf(paint(SIZE, SIZE, lines(4, colour)))).strokeWidthPx - 4)).toBeLessThanOrEqual(0.75);
  });
});

describe('noise', () => {
  it.each([2, 5, 10])('of %i grey levels on the paper is measured as that, to a third', (levels) => {
    const random = makeRandom(levels);
    const normal = () => levels * Math.sqrt(-2 * Math.log(1 - random.next())) * Math.cos(2 * Math.PI * random.next());
    // Middle grey paper, so that nothing is cut off at white.
    const { noise } = findInk(sheetOf(paint(SIZE, SIZE, lines(3), [200, 200, 200]), normal));
    expect(noise / (levels / 200)).toBeGreaterThan(2 / 3);
    expect(noise / (levels / 200)).toBeLessThan(4 / 3);
  });

  it('of a clean drawing is next to nothing', () => {
    expect(findInk(sheetOf(paint(SIZE, SIZE, lines(3)))).noise).toBeLessThan(0.005);
  });
});

describe('crest', () => {
  it.each<[number, Colour]>([
    [4, BLACK],
    [4, [128, 128, 128]],
    [1, BLACK],
  ])('is how dark strokes of %f px get', (width, colour) => {
    const light = paint(SIZE, SIZE, lines(width, colour));
    const truth = [...trueDensity(light, WHITE)].filter((v) => v > 0.1).sort((a, b) => a - b);
    const dark = truth[Math.floor(0.95 * truth.length)];
    expect(Math.abs(findInk(sheetOf(light)).crest - dark)).toBeLessThan(0.05);
  });
});

describe('light lines on dark ground', () => {
  const GROUND: Colour = [24, 48, 44];

  it('are ink, however few and thin they are, and dark ones on the same ground too', () => {
    for (const [colour, isLight] of [
      [[235, 235, 235], true],
      [[0, 6, 4], false],
    ] as const) {
      const few = paint(SIZE, SIZE, [bar([60, 60], [330, 341], 1.5, colour)], GROUND);
      const { lightOnDark, density } = findInk(sheetOf(few));
      expect(lightOnDark).toBe(isLight);
      expect(density.reduce((most, v) => Math.max(most, v), 0)).toBeGreaterThan(0.4);
    }
  });

  it('are not made of a light desk beside a dark sheet', () => {
    const desk: Patch = {
      corners: [
        [0, 0],
        [SIZE, 0],
        [SIZE, 14],
        [0, 14],
      ],
      colour: [230, 225, 215],
    };
    const dark = paint(SIZE, SIZE, [desk, ...lines(3, BLACK)], [90, 70, 50]);
    expect(findInk(sheetOf(dark)).lightOnDark).toBe(false);
  });
});
