import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { framed, invert, surfaceOf, toPicture, toPlane, turnOf } from '../../datasets/recipes/camera.ts';
import type { Print } from '../../datasets/recipes/compose.ts';
import { drawConvention } from '../../datasets/recipes/convention.ts';
import { drawBend, photograph } from '../../datasets/recipes/deskPhoto.ts';
import { readBytes, writeFileBytes, writeSeeThrough } from '../../datasets/recipes/file.ts';
import { type Random, seededRandom } from '../../datasets/recipes/random.ts';
import { scanPrint } from '../../datasets/recipes/scanner.ts';
import type { PicturePoint, Raster } from '../../pipeline/types.ts';

const SIDE = 900;
/** Discs well inside a white page; their middles stand for the outline's corners. */
const DISCS: PicturePoint[] = [
  [140.5, 760.5],
  [760.5, 760.5],
  [760.5, 140.5],
  [140.5, 140.5],
];
const RADIUS = 10;

function discPage(): Print {
  const data = new Uint8Array(SIDE * SIDE * 3).fill(255);
  for (const [cx, cy] of DISCS) {
    for (let y = 0; y < SIDE; y++) {
      for (let x = 0; x < SIDE; x++) {
        if (Math.hypot(x + 0.5 - cx, y + 0.5 - cy) > RADIUS) continue;
        data.set([0, 150, 0], 3 * (y * SIDE + x));
      }
    }
  }
  return { raster: { width: SIDE, height: SIDE, channels: 3, data }, corners: DISCS, notes: {} };
}

/** Middle of the green near an expected point. */
function greenMiddle(
  { width, height, data }: Raster,
  near: PicturePoint,
  reach: number,
): { x: number; y: number; weight: number } {
  let [sumX, sumY, weight] = [0, 0, 0];
  for (let y = Math.max(0, Math.floor(near[1] - reach)); y < Math.min(height, near[1] + reach); y++) {
    for (let x = Math.max(0, Math.floor(near[0] - reach)); x < Math.min(width, near[0] + reach); x++) {
      const i = 3 * (y * width + x);
      const green = Math.max(0, data[i + 1] - (data[i] + data[i + 2]) / 2 - 25);
      sumX += green * (x + 0.5);
      sumY += green * (y + 0.5);
      weight += green;
    }
  }
  return { x: sumX / weight, y: sumY / weight, weight };
}

const anyConvention = (random: Random) =>
  drawConvention(random, {
    shortCrease: 100,
    thinnest: 1,
    widest: 4,
    dark: false,
    edgeMayBeBare: false,
    names: ['two-colours'],
  });

async function expectDiscsWhereSaid(image: Buffer, corners: readonly PicturePoint[], within: number): Promise<void> {
  const raster = await readBytes(image);
  for (const corner of corners) {
    const found = greenMiddle(raster, corner, 24);
    expect(found.weight).toBeGreaterThan(4_000);
    expect(Math.hypot(found.x - corner[0], found.y - corner[1])).toBeLessThan(within);
  }
}

describe('corners of the outline', () => {
  it.each([1, 2, 3, 4])('lie in a photograph where marks at them are seen (seed %i)', async (seed) => {
    const random = seededRandom(seed, 'corner test');
    const view = { width: 1200, height: 1100, fill: 0.7, tiltRad: 0.3, rollRad: 0.2, harsh: 0.6 };
    const bend = seed % 2 === 0 ? drawBend(random, false) : null;
    const taken = await photograph(random, discPage(), anyConvention(random), { ...view, bend });
    // A disc's middle moves a little under perspective: its size squared over the distance, here below a pixel.
    await expectDiscsWhereSaid(taken.image, taken.corners, 1);
  });

  it.each([1, 2, 3])('lie in a scan where marks at them are seen (seed %i)', async (seed) => {
    const random = seededRandom(seed, 'corner test');
    const margins = { left: 0.22, top: 0.22, right: 0.22, bottom: 0.22 };
    const taken = await scanPrint(random, discPage(), anyConvention(random), margins, 1.1, false);
    await expectDiscsWhereSaid(taken.image, taken.corners, 0.6);
  });
});

describe('bent page', () => {
  // Paper bends without stretching: lengths along any line on it are kept (Gauss 1827, theorema egregium; a cylinder is developable).
  it('keeps lengths along every direction', () => {
    const surface = surfaceOf({
      alongRad: 0.4,
      terms: [
        [0.7, 0.8, 1],
        [0.3, 1.6, 2],
      ],
    });
    for (const way of [0, 0.5, 1.2, 2.8]) {
      const steps = 4000;
      let length = 0;
      let before = surface(-0.9 * Math.cos(way), -0.9 * Math.sin(way));
      for (let i = 1; i <= steps; i++) {
        const s = -0.9 + (1.8 * i) / steps;
        const here = surface(s * Math.cos(way), s * Math.sin(way));
        length += Math.hypot(here.x - before.x, here.y - before.y, here.z - before.z);
        before = here;
      }
      expect(length).toBeCloseTo(1.8, 3);
    }
  });

  it('rises from the desk', () => {
    const surface = surfaceOf({ alongRad: 0, terms: [[0.6, 0.5, 0.3]] });
    const heights = Array.from({ length: 41 }, (_, i) => surface(-1 + i / 20, 0).z);
    expect(Math.min(...heights)).toBeGreaterThan(-1e-3);
    expect(Math.max(...heights)).toBeGreaterThan(0.02);
  });
});

describe('camera', () => {
  const picture = { width: 1000, height: 800 };
  const sheet = [-1, 1].flatMap((x) => [-1, 1].map((y) => ({ x, y, z: 0 })));

  // A pinhole camera takes straight lines to straight lines (Hartley & Zisserman 2004, chapter 2; from memory).
  it('without distortion keeps straight lines straight, with it does not', () => {
    for (const [k1, bowed] of [
      [0, false],
      [0.05, true],
    ] as const) {
      const camera = framed(turnOf(0.5, 1, 0.1), 4, { k1, k2: 0 }, picture, sheet, 0.8, 0, 0);
      const [a, m, b] = [-1, 0, 1].map((u) => toPicture(camera, toPlane(camera, { x: u, y: 0.9, z: 0 })));
      const off =
        Math.abs((b[0] - a[0]) * (m[1] - a[1]) - (b[1] - a[1]) * (m[0] - a[0])) / Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (bowed) expect(off).toBeGreaterThan(1);
      else expect(off).toBeLessThan(1e-6);
    }
  });

  it('frames the whole sheet', () => {
    const camera = framed(turnOf(0.6, 2, 0.3), 3, { k1: 0.06, k2: 0.01 }, picture, sheet, 0.97, 0.9, -0.9);
    for (const corner of sheet) {
      const [x, y] = toPicture(camera, toPlane(camera, corner));
      expect(x).toBeGreaterThan(0);
      expect(y).toBeGreaterThan(0);
      expect(x).toBeLessThan(picture.width);
      expect(y).toBeLessThan(picture.height);
    }
  });

  it('is inverted to a hundredth of a pixel, bend included', () => {
    const surface = surfaceOf({ alongRad: 0.3, terms: [[0.5, 0.7, 0.5]] });
    const camera = framed(turnOf(0.4, 2.5, -0.2), 3, { k1: 0.03, k2: 0 }, picture, sheet, 0.9, 0, 0);
    const forward = (u: number, v: number): [number, number] => toPicture(camera, toPlane(camera, surface(u, v)));
    const map = invert(forward, picture.width, picture.height);
    let checked = 0;
    for (let r = 0; r < map.rows; r++) {
      for (let c = 0; c < map.columns; c++) {
        const i = 2 * (r * map.columns + c);
        const [u, v] = [map.nodes[i], map.nodes[i + 1]];
        if (Math.abs(u) > 1 || Math.abs(v) > 1) continue;
        const [x, y] = forward(u, v);
        expect(Math.hypot(x - c * map.step, y - r * map.step)).toBeLessThan(0.01);
        checked++;
      }
    }
    expect(checked).toBeGreaterThan(3000);
  });
});

describe('photographs', () => {
  it('have the size asked for', async () => {
    const random = seededRandom(9, 'size');
    const view = { width: 640, height: 480, fill: 0.8, tiltRad: 0.1, rollRad: 0, harsh: 1, bend: null };
    const taken = await photograph(random, discPage(), anyConvention(random), view);
    const { autoOrient, format } = await sharp(taken.image).metadata();
    expect([autoOrient.width, autoOrient.height, format]).toEqual([640, 480, 'jpeg']);
  });
});

describe('files', () => {
  // Orientation tag of EXIF 2.3 (JEITA CP-3451C, tag 0x0112), applied by the image library.
  it.each([0, 1, 2, 3] as const)('stored turned by %i quarters come upright again', async (quarterTurns) => {
    const { raster } = discPage();
    const cut: Raster = { ...raster, height: 600, data: raster.data.slice(0, SIDE * 600 * 3) };
    const file = await writeFileBytes(cut, { format: 'png', quality: 90, thinColour: false, quarterTurns });
    const back = await readBytes(file);
    expect([back.width, back.height]).toEqual([SIDE, 600]);
    expect(Buffer.compare(Buffer.from(back.data), Buffer.from(cut.data))).toBe(0);
    const { orientation, width } = await sharp(file).metadata();
    expect(orientation ?? 1).toBe([1, 6, 3, 8][quarterTurns]);
    expect(width).toBe(quarterTurns % 2 === 1 ? 600 : SIDE);
  });

  it('with a see-through ground look the same on white', async () => {
    const { raster } = discPage();
    const file = await writeSeeThrough(raster);
    const { data } = await sharp(file).flatten({ background: '#ffffff' }).raw().toBuffer({ resolveWithObject: true });
    expect((await sharp(file).metadata()).channels).toBe(4);
    let worst = 0;
    for (let i = 0; i < data.length; i++) worst = Math.max(worst, Math.abs(data[i] - raster.data[i]));
    expect(worst).toBeLessThanOrEqual(1);
  });
});
