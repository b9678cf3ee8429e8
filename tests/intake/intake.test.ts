import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PDFDocument, rgb } from 'pdf-lib';
import sharp, { type Sharp } from 'sharp';
import { describe, expect, it } from 'vitest';
import { readPicture } from '../../pipeline/intake/intake.ts';
import type { Picture } from '../../pipeline/types.ts';
import { CORNER_MARKS, cornerMarks, HEIGHT, heicTurned, painted, WIDTH } from './pictures.ts';

const heic = () => readFile(new URL('fixtures/corner-marks.heic', import.meta.url));

function pixel({ raster }: Picture, x: number, y: number): number[] {
  const at = (Math.floor(y * raster.height) * raster.width + Math.floor(x * raster.width)) * 3;
  return [...raster.data.subarray(at, at + 3)];
}

const darkest = ({ raster }: Picture) => raster.data.reduce((least, v) => Math.min(least, v), 255);

/** Lossy coding and colour tables move a flat colour by a few levels. */
const LEVELS = 24;
function expectColour(found: number[], wanted: number[]) {
  for (let c = 0; c < 3; c++) expect(Math.abs(found[c] - wanted[c]), `${found} for ${wanted}`).toBeLessThan(LEVELS);
}

const RED = [0xd0, 0, 0];
const BLUE = [0, 0, 0xd0];
const WHITE = [255, 255, 255];

function expectUpright(picture: Picture) {
  expectColour(pixel(picture, 0.1, 0.1), RED);
  expectColour(pixel(picture, 0.9, 0.9), BLUE);
  expectColour(pixel(picture, 0.9, 0.1), WHITE);
  expectColour(pixel(picture, 0.1, 0.9), WHITE);
}

describe('formats', () => {
  it.each<[string, () => Promise<Uint8Array>]>([
    ['jpeg', () => cornerMarks().jpeg({ quality: 95, chromaSubsampling: '4:4:4' }).toBuffer()],
    ['png', () => cornerMarks().png().toBuffer()],
    ['webp', () => cornerMarks().webp().toBuffer()],
    ['tiff', () => cornerMarks().tiff().toBuffer()],
    ['avif', () => cornerMarks().avif({ quality: 90 }).toBuffer()],
    ['gif', () => cornerMarks().gif().toBuffer()],
    ['heic', heic],
  ])('%s keeps size, place and colour', async (format, make) => {
    const picture = await readPicture(await make());
    expect(picture).toMatchObject({ format, fullWidth: WIDTH, fullHeight: HEIGHT, scale: 1 });
    expect(picture.raster).toMatchObject({ width: WIDTH, height: HEIGHT, channels: 3 });
    expect(picture.raster.data).toHaveLength(WIDTH * HEIGHT * 3);
    expectUpright(picture);
  });

  it('tells the format by the content, not by the name', async () => {
    const picture = await readPicture(new URL('fixtures/corner-marks.heic', import.meta.url).pathname);
    expect(picture).toMatchObject({ name: 'corner-marks.heic', format: 'heic' });
    expect((await readPicture(await cornerMarks().png().toBuffer())).format).toBe('png');
  });

  it.each<[string, () => Promise<Uint8Array>]>([
    ['16-bit PNG', () => cornerMarks().toColourspace('rgb16').png().toBuffer()],
    ['wide-gamut PNG', () => cornerMarks().withIccProfile('p3').png().toBuffer()],
    ['palette PNG', () => cornerMarks().png({ palette: true }).toBuffer()],
    ['16-bit TIFF', () => cornerMarks().toColourspace('rgb16').tiff().toBuffer()],
  ])('%s becomes 8-bit sRGB', async (_, make) => {
    const picture = await readPicture(await make());
    expect(picture.raster.channels).toBe(3);
    expectUpright(picture);
  });

  it('grey, 16-bit grey and one-bit pictures become three equal channels', async () => {
    for (const make of [
      cornerMarks().toColourspace('b-w').png(),
      cornerMarks().toColourspace('grey16').png(),
      cornerMarks().toColourspace('b-w').tiff({ bitdepth: 1 }),
    ]) {
      const picture = await readPicture(await make.toBuffer());
      const [r, g, b] = pixel(picture, 0.1, 0.1);
      expect([r, g, b]).toEqual([r, r, r]);
      expect(r).toBeLessThan(128);
      expectColour(pixel(picture, 0.9, 0.1), WHITE);
    }
  });

  it('CMYK keeps red redder than blue is, and white white', async () => {
    const picture = await readPicture(await cornerMarks().toColourspace('cmyk').jpeg({ quality: 95 }).toBuffer());
    const red = pixel(picture, 0.1, 0.1);
    const blue = pixel(picture, 0.9, 0.9);
    expect(red[0] - red[2]).toBeGreaterThan(100);
    expect(blue[2] - blue[0]).toBeGreaterThan(80);
    expectColour(pixel(picture, 0.9, 0.1), WHITE);
  });
});

describe('orientation', () => {
  // The eight EXIF orientations (Exif 2.3, tag 0x0112) undo these turns and flips.
  const turns: Record<number, (s: Sharp) => Sharp> = {
    1: (s) => s,
    2: (s) => s.flop(),
    3: (s) => s.rotate(180),
    4: (s) => s.flip(),
    6: (s) => s.rotate(270),
    8: (s) => s.rotate(90),
  };
  it.each([1, 2, 3, 4, 6, 8])('EXIF orientation %i comes upright', async (orientation) => {
    const stored = await turns[orientation](cornerMarks()).png().toBuffer();
    const jpeg = await sharp(stored)
      .jpeg({ quality: 95, chromaSubsampling: '4:4:4' })
      .withMetadata({ orientation })
      .toBuffer();
    const picture = await readPicture(jpeg);
    expect(picture).toMatchObject({ fullWidth: WIDTH, fullHeight: HEIGHT });
    expectUpright(picture);
  });

  it.each<[1 | 2 | 3, number, number, number, number]>([
    [1, 0.1, 0.9, 0.9, 0.1],
    [2, 0.9, 0.9, 0.1, 0.1],
    [3, 0.9, 0.1, 0.1, 0.9],
  ])('a HEIC container with %i quarter turns is turned once', async (quarterTurns, redX, redY, blueX, blueY) => {
    const picture = await readPicture(heicTurned(await heic(), quarterTurns));
    const sides = quarterTurns === 2 ? [WIDTH, HEIGHT] : [HEIGHT, WIDTH];
    expect([picture.fullWidth, picture.fullHeight]).toEqual(sides);
    expectColour(pixel(picture, redX, redY), RED);
    expectColour(pixel(picture, blueX, blueY), BLUE);
  });
});

describe('shrinking', () => {
  it('fits the longest side and says the scale', async () => {
    const big = await painted(3000, 1500, () => [255, 255, 255])
      .png()
      .toBuffer();
    const picture = await readPicture(big);
    expect(picture.raster).toMatchObject({ width: 2600, height: 1300 });
    expect(picture).toMatchObject({ fullWidth: 3000, fullHeight: 1500 });
    expect(picture.scale).toBeCloseTo(2600 / 3000, 10);
  });

  it('never enlarges', async () => {
    expect((await readPicture(await cornerMarks().png().toBuffer(), { maxSidePx: 5000 })).scale).toBe(1);
  });

  it.each(['png', 'jpeg'] as const)(
    'every 1 px line of an 8000 px %s survives, with its darkness kept',
    async (format) => {
      const every = 100;
      const width = 8000;
      const lines = painted(width, 80, (x) => (x % every === 37 ? [0, 0, 0] : [255, 255, 255]));
      const { raster, scale } = await readPicture(await lines.toFormat(format, { quality: 95 }).toBuffer());
      let seen = 0;
      for (let x = 37; x < width; x += every) {
        const centre = (x + 0.5) * scale;
        let darkness = 0;
        let darkest = 0;
        for (let px = Math.floor(centre) - 4; px <= Math.floor(centre) + 4; px++) {
          const dark = 255 - raster.data[(12 * raster.width + px) * 3];
          darkness += dark;
          darkest = Math.max(darkest, dark);
        }
        // Area averaging keeps the sum: 1 px of 255 becomes `scale` px of 255. A tenth is allowed for JPEG.
        expect(darkness).toBeGreaterThan(255 * scale * 0.9);
        // The worst case lies half on each of two pixels.
        expect(darkest).toBeGreaterThan((255 * scale) / 2 - 5);
        seen++;
      }
      expect(seen).toBe(80);
    },
  );
});

describe('transparency', () => {
  const drawing = (ink: readonly number[], ground: readonly number[]) =>
    painted(200, 200, (x, y) => (x % 40 < 3 || y % 40 < 3 ? ink : ground))
      .png()
      .toBuffer();

  it('dark lines on nothing are laid on white', async () => {
    const picture = await readPicture(await drawing([20, 20, 20, 255], [0, 0, 0, 0]));
    expectColour(pixel(picture, 0.55, 0.55), WHITE);
    expectColour(pixel(picture, 0.005, 0.55), [20, 20, 20]);
  });

  it('light lines on nothing are laid on black', async () => {
    const picture = await readPicture(await drawing([250, 250, 250, 255], [0, 0, 0, 0]));
    expectColour(pixel(picture, 0.55, 0.55), [0, 0, 0]);
    expectColour(pixel(picture, 0.005, 0.55), [250, 250, 250]);
  });

  it('dark lines on nothing, with some faces filled with a pale colour, are laid on white', async () => {
    const faces = painted(200, 200, (x, y) => {
      if (x % 40 < 3 || y % 40 < 3) return [200, 30, 40, 255];
      return x < 40 && y > 40 ? [255, 240, 235, 255] : [0, 0, 0, 0];
    });
    expectColour(pixel(await readPicture(await faces.png().toBuffer()), 0.55, 0.55), WHITE);
  });

  it('a white sheet with nothing around it stays on white', async () => {
    const sheet = painted(200, 200, (x, y) =>
      Math.max(Math.abs(x - 100), Math.abs(y - 100)) < 80 ? [255, 255, 255, 255] : [0, 0, 0, 0],
    );
    expectColour(pixel(await readPicture(await sheet.png().toBuffer()), 0.02, 0.02), WHITE);
  });
});

describe('SVG', () => {
  const svg = (root: string, body: string) =>
    Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" ${root}>${body}</svg>`);
  const halves = '<rect width="50%" height="100%" fill="#d00000"/>';

  it.each([
    ['a unit view box', svg('viewBox="0 0 1 1"', '<rect width=".5" height="1" fill="#d00000"/>'), 2600, 2600],
    ['px', svg('width="300" height="150"', '<rect width="150" height="150" fill="#d00000"/>'), 2600, 1300],
    [
      'mm holding px',
      svg('width="100mm" height="50mm"', '<rect width="188.976" height="200" fill="#d00000"/>'),
      2600,
      1300,
    ],
    ['a tiny size over a view box', svg('width="2" height="1" viewBox="0 0 400 200"', halves), 2600, 1300],
    ['a share of the window', svg('width="100%" height="100%" viewBox="0 0 400 200"', halves), 2600, 1300],
    ['a huge size', svg('width="90000" height="45000" viewBox="0 0 400 200"', halves), 2600, 1300],
  ])('%s is drawn at the working size', async (_, bytes, width, height) => {
    const picture = await readPicture(bytes);
    expect(picture.raster).toMatchObject({ width, height });
    expectColour(pixel(picture, 0.25, 0.5), RED);
    expectColour(pixel(picture, 0.49, 0.5), RED);
    expectColour(pixel(picture, 0.51, 0.5), WHITE);
  });

  it('is known behind a prologue, a comment and a document type', async () => {
    const text = `<?xml version="1.0"?>\n<!-- <png> -->\n<!DOCTYPE svg [ <!ENTITY a "b"> ]>\n${CORNER_MARKS}`;
    expect((await readPicture(Buffer.from(text))).format).toBe('svg');
  });

  it('loads nothing from outside itself', async () => {
    const beside = new URL('fixtures/corner-marks.heic', import.meta.url);
    const folder = await mkdtemp(join(tmpdir(), 'plica-'));
    try {
      const black = join(folder, 'black.png');
      await painted(64, 64, () => [0, 0, 0])
        .png()
        .toFile(black);
      const image = (href: string) => `<image href="${href}" width="100" height="100"/>`;
      const hrefs = [black, `file://${black}`, beside.href, 'http://127.0.0.1:9/x.png'];
      const picture = await readPicture(svg('width="100" height="100"', hrefs.map(image).join('')));
      expect(darkest(picture)).toBe(255);
      const inside = `data:image/png;base64,${(await sharp(black).toBuffer()).toString('base64')}`;
      expectColour(pixel(await readPicture(svg('width="100" height="100"', image(inside))), 0.5, 0.5), [0, 0, 0]);
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  it('does not read files through entities', async () => {
    const text =
      '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]><svg xmlns="http://www.w3.org/2000/svg" width="400" height="100"><text y="50">&x;</text></svg>';
    const outcome = await readPicture(Buffer.from(text)).then(
      (p) => darkest(p),
      (e: Error) => e.name,
    );
    expect([255, 'PlicaError']).toContain(outcome);
  });
});

describe('PDF', () => {
  async function twoPages(): Promise<Uint8Array> {
    const document = await PDFDocument.create();
    const first = document.addPage([400, 300]);
    first.drawRectangle({ x: 0, y: 225, width: 100, height: 75, color: rgb(0xd0 / 255, 0, 0) });
    first.drawRectangle({ x: 300, y: 0, width: 100, height: 75, color: rgb(0, 0, 0xd0 / 255) });
    document.addPage([300, 600]);
    return document.save();
  }

  it('draws the page asked for, upright, 2600 px long', async () => {
    const pdf = await twoPages();
    const first = await readPicture(pdf);
    expect(first).toMatchObject({ format: 'pdf', fullWidth: 2600, fullHeight: 1950, scale: 1 });
    expectUpright(first);
    expect((await readPicture(pdf, { page: 2 })).raster).toMatchObject({ width: 1300, height: 2600 });
  });

  it('says how many pages there are', async () => {
    await expect(readPicture(await twoPages(), { page: 3 })).rejects.toThrow('no page 3: choose a page from 1 to 2');
    await expect(readPicture(await twoPages(), { page: 0 })).rejects.toThrow('count pages from 1');
  });
});

it('the pages of a TIFF are counted the same way', async () => {
  const tall = await painted(100, 200, (_, y) => (y < 100 ? [255, 0, 0] : [0, 0, 255]))
    .png()
    .toBuffer();
  const tiff = await sharp(tall, { pages: 1 }).tiff().toBuffer();
  await expect(readPicture(tiff, { page: 2 })).rejects.toThrow('it has one page');
});

it('a cancelled reading says so', async () => {
  const signal = AbortSignal.abort();
  await expect(readPicture(await cornerMarks().png().toBuffer(), { signal })).rejects.toMatchObject({
    code: 'cancelled',
  });
});
