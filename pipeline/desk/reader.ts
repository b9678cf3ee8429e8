/** A process that reads pictures, one at a time, so that the page's server stays quick and can end a reading at once. */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import sharp from 'sharp';
import { PlicaError } from '../errors.ts';
import type { Raster, StageName } from '../types.ts';
import { readingOf } from './reading.ts';
import type { Reading, ReadingChoices } from './work/work.ts';

export interface ToReader {
  readonly path: string;
  readonly choices: ReadingChoices;
}

export interface ReadPicture {
  readonly reading: Reading;
  /** JPEG of the straightened sheet. */
  readonly sheet: Uint8Array;
  /** JPEG of the upright picture. */
  readonly picture: Uint8Array;
}

export type FromReader =
  | { readonly what: 'stage'; readonly stage: StageName; readonly share: number }
  | { readonly what: 'done'; readonly read: ReadPicture }
  | { readonly what: 'failed'; readonly problem: string };

/** Strokes of a pixel stay clear, and a sheet stays under a megabyte or two. */
const JPEG_QUALITY = 86;

if (process.send) {
  process.on('message', (message: ToReader) => void read(message));
  process.on('disconnect', () => process.exit());
}

const tell = (message: FromReader): void => void process.send?.(message);

async function read({ path, choices }: ToReader): Promise<void> {
  try {
    // Loaded with the first picture, so that the process is there at once.
    const { recover } = await import('../recover.ts');
    const recovery = await recover(path, {
      ...choices,
      onProgress: (stage, share) => tell({ what: 'stage', stage, share }),
    });
    const [sheet, picture] = await Promise.all([jpegOf(recovery.sheet.raster), jpegOf(recovery.picture.raster)]);
    tell({ what: 'done', read: { reading: readingOf(recovery, choices), sheet, picture } });
  } catch (error) {
    tell({ what: 'failed', problem: await problemOf(error, path) });
  }
}

async function problemOf(error: unknown, path: string): Promise<string> {
  if (error instanceof PlicaError) return error.message;
  if (process.env.PLICA_DEBUG) console.error(error);
  const size = (await readFile(path).catch(() => null))?.length ?? 0;
  return `an error inside Plica (${error instanceof Error ? error.message : error}): please report it together with ${basename(path)}, ${size} bytes`;
}

function jpegOf({ width, height, channels, data }: Raster<Uint8Array>): Promise<Uint8Array> {
  const raw = { width, height, channels: channels as 1 | 3 };
  return sharp(data, { raw }).jpeg({ quality: JPEG_QUALITY, chromaSubsampling: '4:4:4' }).toBuffer();
}
