import { chmod, mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PlicaError } from '../../pipeline/errors.ts';
import { readPicture } from '../../pipeline/intake/intake.ts';
import { CORNER_MARKS, cornerMarks, jpegClaiming, painted, pngClaiming } from './pictures.ts';

async function refusal(source: string | Uint8Array): Promise<PlicaError> {
  const outcome = await readPicture(source).then(
    () => null,
    (error: unknown) => error,
  );
  expect(outcome).toBeInstanceOf(PlicaError);
  const error = outcome as PlicaError;
  expect(error.message.split('\n')).toHaveLength(1);
  expect(error.hint.length).toBeGreaterThan(0);
  expect(error.message).not.toMatch(/vips|heif:|pdfium|undefined|Error/);
  return error;
}

describe('not a picture', () => {
  const text = new TextEncoder();
  it.each<[string, Uint8Array]>([
    ['a text', text.encode('hello, this is a letter\n')],
    ['a web page that holds a drawing', text.encode(`<html><body>${CORNER_MARKS}</body></html>`)],
    ['a FOLD file', text.encode('{"file_spec": 1.2, "vertices_coords": []}')],
    ['a BMP, which is not promised', text.encode('BM\x00\x00\x00\x00')],
    ['noise', Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919 + (i >> 3) * 104729) % 251)],
    ['one byte', Uint8Array.of(0xff)],
  ])('%s', async (_, bytes) => {
    const error = await refusal(bytes);
    expect(error.code).toBe('bad-input');
    expect(error.message).toContain('is not a picture that can be read');
  });

  it('0 bytes', async () => {
    expect((await refusal(new Uint8Array())).message).toContain('empty (0 bytes)');
  });

  it.each<[string, number[] | string]>([
    ['JPEG', [0xff, 0xd8, 0xff, 0xe0]],
    ['PNG', '\x89PNG\r\n\x1a\n'],
    ['WebP', 'RIFF\x10\0\0\0WEBPVP8 '],
    ['TIFF', 'II*\0\x08\0\0\0'],
    ['GIF', 'GIF89a'],
    ['HEIC', '\0\0\0\x18ftypheic\0\0\0\0mif1heic'],
    ['AVIF', '\0\0\0\x18ftypavif\0\0\0\0mif1avif'],
    ['PDF', '%PDF-1.7\n'],
    ['SVG', '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"><g></svg>'],
  ])('the mark of a %s and nothing after it', async (_, mark) => {
    const bytes = typeof mark === 'string' ? Buffer.from(mark, 'latin1') : Uint8Array.from(mark);
    expect((await refusal(bytes)).code).toBe('bad-input');
  });
});

describe('truncated', () => {
  const noisy = painted(400, 300, (x, y) => [(x * y) % 256, (x * 31 + y * 17) % 256, (x ^ y) % 256]);
  it.each(['jpeg', 'png', 'webp', 'tiff', 'avif', 'gif'] as const)(
    'a %s cut at any of several places',
    async (format) => {
      const whole = await noisy.clone().toFormat(format).toBuffer();
      for (const share of [0.1, 0.5, 0.9]) {
        const error = await refusal(whole.subarray(0, Math.floor(whole.length * share)));
        expect(error.code).toBe('bad-input');
      }
    },
  );

  it('says of a JPEG that it breaks off', async () => {
    const whole = await noisy.clone().jpeg().toBuffer();
    expect((await refusal(whole.subarray(0, whole.length / 2))).message).toContain('breaks off before its end');
  });
});

describe('sizes', () => {
  it.each<[string, () => Promise<Uint8Array> | Uint8Array]>([
    ['PNG of 40,000 x 40,000', () => pngClaiming(40_000, 40_000)],
    ['PNG of 2^31 - 1 square', () => pngClaiming(2 ** 31 - 1, 2 ** 31 - 1)],
    ['JPEG of 64,250 x 64,250', () => jpegClaiming(64_250, 64_250)],
    ['PNG just over the limit', () => pngClaiming(10_001, 10_000)],
  ])('a small file that claims to be a %s', async (_, make) => {
    const bytes = await make();
    expect(bytes.length).toBeLessThan(5000);
    const error = await refusal(bytes);
    expect(['too-large', 'bad-input']).toContain(error.code);
    if (bytes[0] === 0xff || bytes[18] < 0x40)
      expect(error.message).toMatch(/over the limit of 100 megapixels|damaged/);
  });

  it.each([
    [1, 1],
    [63, 500],
    [500, 40],
  ])('%i x %i is too small', async (width, height) => {
    const tiny = await painted(width, height, () => [255, 255, 255])
      .png()
      .toBuffer();
    expect((await refusal(tiny)).message).toContain(`${width} x ${height} pixels, too small`);
  });

  it('an SVG over 10 MB is refused before parsing', async () => {
    const long = Buffer.concat([
      Buffer.from('<svg xmlns="http://www.w3.org/2000/svg">'),
      Buffer.alloc(10 * 2 ** 20, 32),
    ]);
    expect((await refusal(long)).code).toBe('too-large');
  });

  it('an SVG of exploding references ends', async () => {
    let body = '<g id="a0"><path d="M0 0L9 9"/></g>';
    for (let i = 1; i < 7; i++) body += `<g id="a${i}">${`<use href="#a${i - 1}"/>`.repeat(10)}</g>`;
    const bomb = Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="99" height="99">${body}</svg>`);
    const outcome = await readPicture(bomb).then(
      () => 'read',
      (error: unknown) => error,
    );
    if (outcome !== 'read') expect(outcome).toBeInstanceOf(PlicaError);
  });
});

describe('on disk', () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'plica-'));
  });
  afterAll(() => rm(folder, { recursive: true }));

  it('a folder', async () => {
    await mkdir(join(folder, 'pictures.png'));
    const error = await refusal(join(folder, 'pictures.png'));
    expect(error.message).toBe('pictures.png is a folder: name the pictures inside it');
  });

  it('a missing file', async () => {
    const error = await refusal(join(folder, 'nothing.png'));
    expect(error.code).toBe('no-access');
    expect(error.message).toBe('nothing.png was not found: check the name and the folder');
  });

  it('an empty file', async () => {
    await writeFile(join(folder, 'empty.png'), '');
    expect((await refusal(join(folder, 'empty.png'))).message).toContain('empty.png is empty (0 bytes)');
  });

  it.runIf(process.platform !== 'win32')('a device', async () => {
    expect((await refusal('/dev/zero')).message).toContain('is not a file');
  });

  it.runIf(process.platform !== 'win32')('a file without permission', async () => {
    const path = join(folder, 'secret.png');
    await writeFile(path, await cornerMarks().png().toBuffer());
    await chmod(path, 0);
    await chmod(folder, 0o755);
    const asRoot = process.getuid?.() === 0;
    // Root may read anything, so the attempt is made as nobody.
    if (asRoot) process.seteuid?.(65534);
    try {
      const error = await refusal(path);
      expect(error.code).toBe('no-access');
      expect(error.message).toContain('secret.png may not be read');
    } finally {
      if (asRoot) process.seteuid?.(0);
    }
  });
});

it('odd metadata does not stop a good picture', async () => {
  const jpeg = await cornerMarks().jpeg().toBuffer();
  const withTail = Buffer.concat([jpeg, Buffer.from('appended by a telephone')]);
  expect((await readPicture(withTail)).format).toBe('jpeg');
  expect((await sharp(withTail).metadata()).width).toBe(128);
});
