import { basename } from 'node:path';
import { PlicaError } from '../errors.ts';
import type { Picture } from '../types.ts';
import { detectFormat, type PictureFormat } from './detect.ts';
import { readBytes } from './file.ts';
import { checkSmallest } from './limits.ts';
import { readPixels } from './pixels.ts';
import type { ReadPixels, ReadRequest } from './reader.ts';
import { readSvg } from './svg.ts';

export interface ReadPictureOptions {
  /** Page of a PDF or of a TIFF with several, from 1; default 1. */
  readonly page?: number;
  /** Longest side of the working raster, px; default 2600. Larger keeps thinner lines and costs time and memory. */
  readonly maxSidePx?: number;
  readonly signal?: AbortSignal;
}

/** A 64-division pattern at this size has 40 px a division: enough for most dashes. */
const DEFAULT_MAX_SIDE_PX = 2600;
/** Hairlines of one px in a picture of 8,000 px keep two thirds of their ink at this size, and the parts of their dashes stay apart. */
const CLOSER_SIDE_PX = 5200;

/**
 * Reads a picture of a crease pattern: JPEG, PNG, WebP, TIFF, AVIF, GIF (first frame), HEIC, SVG or a page of a PDF.
 *
 * The format is told by the content, never by the file's name. The result is upright (orientation marks obeyed once),
 * three channels of sRGB, nothing transparent, longest side at most `maxSidePx`.
 *
 *     const picture = await readPicture('scan.jpg');
 *     picture.raster.channels; // 3
 *
 * @param source path of a file, or its bytes
 * @throws PlicaError `bad-input`, `too-large`, `no-access`, `bad-option` or `cancelled`
 */
export async function readPicture(source: string | Uint8Array, options: ReadPictureOptions = {}): Promise<Picture> {
  const { page = 1, maxSidePx = DEFAULT_MAX_SIDE_PX, signal } = options;
  if (!Number.isInteger(page) || page < 1) {
    throw new PlicaError('bad-option', `page ${page} is not a page number`, 'count pages from 1');
  }
  const name = typeof source === 'string' ? basename(source) : 'picture';
  const bytes = typeof source === 'string' ? await readBytes(source, name) : source;
  stopIfCancelled(signal);
  const format = detectFormat(bytes, name);
  const read = await readerOf(format);
  const { raster, fullWidth, fullHeight } = await read(bytes, { name, page, maxSidePx });
  stopIfCancelled(signal);
  checkSmallest(fullWidth, fullHeight, name);
  return { raster, name, format, fullWidth, fullHeight, scale: Math.min(1, raster.width / fullWidth) };
}

/** The same picture again with more of its pixels, for strokes that the working size all but lost; itself where that has them all. */
export async function readCloser(
  source: string | Uint8Array,
  picture: Picture,
  options: ReadPictureOptions = {},
): Promise<Picture> {
  return picture.scale < 1 ? readPicture(source, { ...options, maxSidePx: CLOSER_SIDE_PX }) : picture;
}

/** Decoders that few pictures need are loaded when one does. */
async function readerOf(
  format: PictureFormat,
): Promise<(bytes: Uint8Array, request: ReadRequest) => Promise<ReadPixels>> {
  switch (format) {
    case 'pdf':
      return (await import('./pdf.ts')).readPdfPage;
    case 'heic':
      return (await import('./heic.ts')).readHeic;
    case 'svg':
      return readSvg;
    default:
      return readPixels;
  }
}

function stopIfCancelled(signal: AbortSignal | undefined): void {
  if (signal?.aborted) throw new PlicaError('cancelled', 'the work was stopped', 'start it again when you like');
}
