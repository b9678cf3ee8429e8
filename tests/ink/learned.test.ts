import { readFile, stat } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { type LearnedInk, prepareInkNetwork, releaseInkNetwork, runInkNetwork } from '../../pipeline/ink/learned.ts';
import { INK_MODEL_FOLDER, loadInkNetwork } from '../../pipeline/ink/network.ts';
import { CHANCES, MEASURES } from '../../pipeline/ink/tile-reading.ts';
import type { Raster } from '../../pipeline/types.ts';

afterAll(releaseInkNetwork);

type Colour = readonly [number, number, number];
interface Line {
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
  readonly colour: Colour;
  readonly width: number;
  /** On and off lengths, px; none for a solid line. */
  readonly dash?: readonly [number, number];
}

/** White sheet with straight strokes by distance to the segment, one grey level of smoothing at the rim. */
function drawSheet(width: number, height: number, lines: readonly Line[]): Raster<Uint8Array> {
  const data = new Uint8Array(width * height * 3).fill(255);
  for (const { from, to, colour, width: thick, dash } of lines) {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const [c, s] = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const [dx, dy] = [x + 0.5 - from[0], y + 0.5 - from[1]];
        const along = dx * c + dy * s;
        if (along < 0 || along > length) continue;
        if (dash && along % (dash[0] + dash[1]) > dash[0]) continue;
        const cover = Math.min(1, Math.max(0, thick / 2 + 0.5 - Math.abs(dy * c - dx * s)));
        const at = (y * width + x) * 3;
        for (let k = 0; k < 3; k++) data[at + k] = Math.round(data[at + k] + cover * (colour[k] - data[at + k]));
      }
    }
  }
  return { width, height, channels: 3, data };
}

const red: Colour = [215, 30, 40];
const blue: Colour = [30, 60, 200];
const black: Colour = [0, 0, 0];

const frameOf = (size: number): Line[] => {
  const [a, b] = [20, size - 20];
  const corners = [
    [a, a],
    [b, a],
    [b, b],
    [a, b],
  ] as const;
  return corners.map((from, i) => ({ from, to: corners[(i + 1) % 4], colour: black, width: 3 }));
};

/** A square of 300 px with a red upright, a blue level line and a dashed falling diagonal. */
const SIZE = 300;
const drawn = drawSheet(SIZE, SIZE, [
  ...frameOf(SIZE),
  { from: [100, 20], to: [100, 280], colour: red, width: 2.5 },
  { from: [20, 200], to: [280, 200], colour: blue, width: 2.5 },
  { from: [120, 20], to: [280, 180], colour: black, width: 2.5, dash: [14, 8] },
]);

const at = (ink: LearnedInk, x: number, y: number): number => Math.floor(y) * ink.width + Math.floor(x);

describe('the shipped network is the trained one', () => {
  it('gives the stored outputs of the training program on stored tiles', async () => {
    const folder = fileURLToPath(new URL('./fixtures/', import.meta.url));
    const { count, width, height, outputs } = JSON.parse(await readFile(`${folder}check.json`, 'utf8'));
    const tiles = new Uint8Array(await readFile(`${folder}tiles.bin`));
    const bytes = await readFile(`${folder}outputs.bin`);
    const stored = new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
    const cells = (width * height) / 4;
    expect(outputs).toBe(CHANCES + MEASURES);
    expect(count).toBeGreaterThan(0);
    expect(tiles.length).toBe(count * width * height * 3);
    expect(stored.length).toBe(count * cells * outputs);
    const run = await loadInkNetwork();
    let worst = 0;
    for (let i = 0; i < count; i++) {
      const { chances, measures } = run(
        tiles.slice(i * width * height * 3, (i + 1) * width * height * 3),
        width,
        height,
      );
      expect(chances.length).toBe(cells * CHANCES);
      expect(measures.length).toBe(cells * MEASURES);
      for (let cell = 0; cell < cells; cell++) {
        const truth = stored.subarray((i * cells + cell) * outputs);
        for (let k = 0; k < CHANCES; k++) {
          worst = Math.max(worst, Math.abs(chances[cell * CHANCES + k] - 1 / (1 + Math.exp(-truth[k]))));
        }
        for (let k = 0; k < MEASURES; k++) {
          worst = Math.max(worst, Math.abs(measures[cell * MEASURES + k] - truth[CHANCES + k]));
        }
      }
    }
    // 32-bit sums in another order differ by some 1e-6; a wrong border or a layer left out by more than 1e-2.
    expect(worst).toBeLessThan(1e-4);
  });

  it('weighs less than 2 MB', async () => {
    const { size } = await stat(`${INK_MODEL_FOLDER}weights.bin`);
    expect(size).toBeGreaterThan(100_000);
    expect(size).toBeLessThan(2_000_000);
  });

  it('refuses tiles that do not divide by 16', async () => {
    const run = await loadInkNetwork();
    expect(() => run(new Uint8Array(24 * 16 * 3), 24, 16)).toThrow(/16/);
  });
});

describe('reading a drawn sheet', () => {
  it('finds centre lines to a third of a pixel', async () => {
    const { line, width } = await runInkNetwork(drawn);
    let checked = 0;
    for (let y = 120; y < 180; y++) {
      let [sum, mass] = [0, 0];
      for (let x = 96; x < 104; x++) {
        sum += (x + 0.5) * line[y * width + x];
        mass += line[y * width + x];
      }
      expect(mass).toBeGreaterThan(1);
      expect(Math.abs(sum / mass - 100)).toBeLessThan(0.34);
      checked++;
    }
    expect(checked).toBe(60);
  });

  it('keeps the line through the gaps of dashes and the ink out of them', async () => {
    const ink = await runInkNetwork(drawn);
    let [gaps, dashes] = [0, 0];
    for (let along = 44; along < 180; along += 22) {
      const onDash = at(ink, 120 + (along + 7) / Math.SQRT2, 20 + (along + 7) / Math.SQRT2);
      const inGap = at(ink, 120 + (along + 18) / Math.SQRT2, 20 + (along + 18) / Math.SQRT2);
      expect(ink.line[onDash]).toBeGreaterThan(0.5);
      expect(ink.line[inGap]).toBeGreaterThan(0.5);
      expect(ink.ink[onDash]).toBeGreaterThan(0.5);
      expect(ink.ink[inGap]).toBeLessThan(0.5);
      gaps++;
      dashes++;
    }
    expect(gaps + dashes).toBeGreaterThan(10);
  });

  it('tells directions with y down: upright (-1, 0), level (1, 0), falling diagonal (0, 1)', async () => {
    const ink = await runInkNetwork(drawn);
    const places = [
      [100.5, 150, -1, 0],
      [180, 200.5, 1, 0],
      [200, 100, 0, 1],
    ];
    for (const [x, y, cos2, sin2] of places) {
      expect(ink.dirCos2[at(ink, x, y)]).toBeCloseTo(cos2, 0);
      expect(ink.dirSin2[at(ink, x, y)]).toBeCloseTo(sin2, 0);
    }
  });

  it('gives the colour of the ink against the paper: (paper - ink) / max of both', async () => {
    const ink = await runInkNetwork(drawn);
    for (const [x, y, colour] of [
      [100.5, 150, red],
      [60, 200.5, blue],
    ] as const) {
      for (let k = 0; k < 3; k++)
        expect(Math.abs(ink.diff[at(ink, x, y) * 3 + k] - (255 - colour[k]) / 255)).toBeLessThan(0.2);
    }
  });

  it('sees a vertex where lines cross and none on a bare stretch', async () => {
    const ink = await runInkNetwork(drawn);
    expect(ink.vertex[at(ink, 100, 200)]).toBeGreaterThan(0.4);
    expect(ink.vertex[at(ink, 100, 110)]).toBeLessThan(0.2);
  });

  it('says nothing of a blank sheet', async () => {
    const blank = drawSheet(64, 48, []);
    const ink = await runInkNetwork(blank);
    expect(ink.line.length).toBe(64 * 48);
    expect(Math.max(...ink.line, ...ink.other)).toBe(0);
  });

  it('gives the same numbers whatever the count of workers', async () => {
    const wide = drawSheet(1200, 96, [
      { from: [0, 40], to: [1200, 40], colour: red, width: 2 },
      { from: [600, 0], to: [680, 96], colour: blue, width: 2 },
    ]);
    const two = await runInkNetwork(wide);
    await releaseInkNetwork();
    await prepareInkNetwork(1);
    const one = await runInkNetwork(wide);
    await releaseInkNetwork();
    expect(Math.max(...two.line)).toBeGreaterThan(0.5);
    expect(Buffer.from(one.line.buffer).equals(Buffer.from(two.line.buffer))).toBe(true);
    expect(Buffer.from(one.diff.buffer).equals(Buffer.from(two.diff.buffer))).toBe(true);
  });

  it('reads broad strokes at a smaller size, ridge in proportion', async () => {
    const broad = drawSheet(301, 221, [{ from: [0, 110.5], to: [301, 110.5], colour: black, width: 14 }]);
    const ink = await runInkNetwork(broad, undefined, 14);
    expect(ink.ridgePx).toBe(2);
    expect(ink.line.length).toBe(301 * 221);
    expect(ink.line[at(ink, 150, 110)]).toBeGreaterThan(0.6);
    expect(ink.line[at(ink, 150, 116)]).toBeLessThan(0.2);
  });

  it('stops when asked and works again afterwards', async () => {
    await expect(runInkNetwork(drawn, AbortSignal.abort())).rejects.toMatchObject({ code: 'cancelled' });
    const again = await runInkNetwork(drawn);
    expect(Math.max(...again.line)).toBeGreaterThan(0.5);
  });
});
