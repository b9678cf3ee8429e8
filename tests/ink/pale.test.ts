/** A drawing that is pale all over is read as one, though pale level and upright lines beside dark ones may be a printed grid. */
import { afterAll, describe, expect, it } from 'vitest';
import { findInk } from '../../pipeline/ink/ink.ts';
import { releaseInkNetwork } from '../../pipeline/ink/learned.ts';
import { readInk } from '../../pipeline/ink/read-ink.ts';
import { stretchPale } from '../../pipeline/ink/stretch.ts';
import type { Sheet } from '../../pipeline/types.ts';
import { sheetWith } from '../unit-sheet.ts';
import { BLACK, bar, type Colour, type Patch, type Point, paint, pixels, WHITE } from './painted.ts';

afterAll(releaseInkNetwork);

const SIZE = 800;
const MARGIN = 24;
const SIDE = SIZE - 2 * MARGIN;

/** Ends of level and upright lines an eighth of the side apart, some left out, and of the two diagonals. */
const EIGHTHS = [1, 3, 4, 5, 7];
const at = (eighth: number): number => MARGIN + (eighth * SIDE) / 8;
const lines: (readonly [Point, Point])[] = [
  ...EIGHTHS.flatMap((k): (readonly [Point, Point])[] => [
    [
      [at(k), at(0)],
      [at(k), at(8)],
    ],
    [
      [at(0), at(k)],
      [at(8), at(k)],
    ],
  ]),
  [
    [at(0), at(0)],
    [at(8), at(8)],
  ],
  [
    [at(8), at(0)],
    [at(0), at(8)],
  ],
];

function drawn(colourOf: (line: number) => Colour, paper: Colour = WHITE, more: readonly Patch[] = []): Sheet {
  const patches = lines.map(([from, to], i) => bar(from, to, 1.1, colourOf(i)));
  return sheetWith(SIDE, MARGIN, pixels(SIZE, paint(SIZE, SIZE, [...patches, ...more], paper)));
}

const PINK: Colour = [235, 198, 192];
const PALE_BLUE: Colour = [200, 198, 228];
const pale = (line: number): Colour => (line % 2 ? PINK : PALE_BLUE);
const border = [0, 1, 2, 3].map((k): Patch => {
  const corners: Point[] = [
    [at(0), at(0)],
    [at(8), at(0)],
    [at(8), at(8)],
    [at(0), at(8)],
  ];
  return bar(corners[k], corners[(k + 1) % 4], 3);
});

/** Share of the lines' length, between crossings and away from the sides, where the network sees a crease. */
async function share(sheet: Sheet): Promise<number> {
  const { line } = await readInk(sheet, {});
  let [seen, all] = [0, 0];
  for (const [[x0, y0], [x1, y1]] of lines) {
    for (let t = 0.03; t < 0.97; t += 0.001) {
      const [x, y] = [Math.floor(x0 + t * (x1 - x0)), Math.floor(y0 + t * (y1 - y0))];
      let best = 0;
      for (let oy = -1; oy <= 1; oy++)
        for (let ox = -1; ox <= 1; ox++) best = Math.max(best, line[(y + oy) * SIZE + x + ox]);
      all++;
      if (best > 0.4) seen++;
    }
  }
  return seen / all;
}

/** The sheet as a scanner sees it: every pixel up to three grey levels off. */
function grained(sheet: Sheet): Sheet {
  const data = sheet.raster.data.map((v, i) =>
    Math.min(255, Math.max(0, v + ((Math.imul(i, 2654435761) >>> 8) % 7) - 3)),
  );
  return { ...sheet, raster: { ...sheet.raster, data } };
}

describe('a drawing that is pale all over', () => {
  it('is seen line by line in two pale inks on white', async () => {
    expect(await share(drawn(pale))).toBeGreaterThan(0.97);
  });

  it('is seen within a border that is drawn dark', async () => {
    expect(await share(drawn(pale, WHITE, border))).toBeGreaterThan(0.97);
  });

  it('is seen where pale lines stand on dark ground', async () => {
    expect(await share(drawn((line) => (line % 2 ? [58, 38, 40] : [38, 40, 62]), [24, 24, 28]))).toBeGreaterThan(0.97);
  });
});

describe('pale lines beside dark ones', () => {
  it('are seen where a program drew them', async () => {
    const sheet = drawn((line) => (line % 3 ? BLACK : [214, 214, 214]));
    expect(findInk(sheet).plain).toBe(true);
    expect(findInk(grained(sheet)).plain).toBe(false);
    expect(await share(sheet)).toBeGreaterThan(0.97);
  });
});

describe('contrast', () => {
  it('stays as it is where some creases are dark and the paper has grain', () => {
    const sheet = grained(drawn((line) => (line >= 2 * EIGHTHS.length ? BLACK : PINK)));
    expect(stretchPale(sheet, findInk(sheet))).toBe(sheet.raster);
  });

  it('is stretched away from the paper, which keeps its tone', () => {
    const paper: Colour = [244, 236, 214];
    const sheet = drawn((line) => (line % 2 ? [222, 190, 178] : [192, 190, 200]), paper);
    const out = stretchPale(sheet, findInk(sheet));
    const pixel = (raster: typeof out, x: number, y: number) =>
      [0, 1, 2].map((c) => raster.data[(y * SIZE + x) * 3 + c]);
    const bare = pixel(out, Math.floor(at(2)), Math.floor(at(2.5)));
    for (let c = 0; c < 3; c++) expect(Math.abs(bare[c] - paper[c])).toBeLessThanOrEqual(1);
    const place = [Math.floor(at(1)), Math.floor(at(2))] as const;
    const [before, after] = [pixel(sheet.raster, ...place), pixel(out, ...place)];
    const gains = [0, 1, 2].map((c) => (paper[c] - after[c]) / (paper[c] - before[c]));
    expect(Math.min(...gains)).toBeGreaterThan(1.5);
    // All channels alike: the hue stays.
    expect(Math.max(...gains) - Math.min(...gains)).toBeLessThan(0.25);
  });

  it('of a blank sheet is left alone', () => {
    const sheet = sheetWith(SIDE, MARGIN, pixels(SIZE, paint(SIZE, SIZE, [])));
    expect(stretchPale(sheet, findInk(sheet))).toBe(sheet.raster);
  });
});
