import sharp, { type Sharp } from 'sharp';
import { PlicaError } from '../errors.ts';
import { flattenOnContrast } from './flatten.ts';
import { checkLargest, checkSmallest, damaged, fitWithin, noSuchPage, truncated } from './limits.ts';
import type { ReadPixels, ReadRequest } from './reader.ts';

/**
 * `error` lets through files with odd metadata, which cameras do write, but nothing whose pixels are incomplete.
 * Sequential reading keeps a few rows of a large picture in memory instead of all of it.
 */
const SAFE_INPUT = { failOn: 'error', sequentialRead: true, limitInputPixels: false } as const;
/** EXIF orientations that lay the picture on its side. */
const FIRST_SIDEWAYS_ORIENTATION = 5;
/** A slow decode is an attack or a mistake. */
const TIME_LIMIT = { seconds: 60 };

/** Reads JPEG, PNG, WebP, TIFF, AVIF and GIF through libvips; 16-bit, grey, CMYK and wide-gamut pixels become 8-bit sRGB. */
export async function readPixels(bytes: Uint8Array, request: ReadRequest): Promise<ReadPixels> {
  const { name, page, maxSidePx } = request;
  try {
    const header = await sharp(bytes, SAFE_INPUT).metadata();
    const pages = header.format === 'tiff' ? (header.pages ?? 1) : 1;
    if (page > pages) throw noSuchPage(name, page, pages);
    const input = page > 1 ? { ...SAFE_INPUT, page: page - 1 } : SAFE_INPUT;
    const { width, height, orientation = 1, hasAlpha } = page > 1 ? await sharp(bytes, input).metadata() : header;
    checkLargest(width, height, name);
    checkSmallest(width, height, name);
    const sideways = orientation >= FIRST_SIDEWAYS_ORIENTATION;
    const [fullWidth, fullHeight] = sideways ? [height, width] : [width, height];
    const upright = sharp(bytes, input).timeout(TIME_LIMIT).autoOrient();
    return { raster: await shrinkToRgb(upright, fullWidth, fullHeight, maxSidePx, hasAlpha), fullWidth, fullHeight };
  } catch (error) {
    throw pixelError(error, name);
  }
}

/**
 * Shrinks to the working size and to three channels of sRGB. The kernel is the plain area average: darkness is kept, so
 * a thin line gets paler but stays one line, without the bright halos of sharper kernels. It averages the encoded
 * values, not light, because in light a thin dark line would all but vanish into white paper.
 */
export async function shrinkToRgb(
  source: Sharp,
  fullWidth: number,
  fullHeight: number,
  maxSidePx: number,
  hasAlpha: boolean,
): Promise<ReadPixels['raster']> {
  const size = fitWithin(fullWidth, fullHeight, maxSidePx);
  const shrunk = source.resize({ ...size, fit: 'fill', kernel: 'linear' }).toColourspace('srgb');
  const pixels = hasAlpha ? shrunk.ensureAlpha() : shrunk;
  const { data, info } = await pixels.raw({ depth: 'uchar' }).toBuffer({ resolveWithObject: true });
  return flattenOnContrast({ width: info.width, height: info.height, channels: info.channels, data });
}

/** Words for libvips' errors; its own messages name functions, not files. */
export function pixelError(error: unknown, name: string): PlicaError {
  if (error instanceof PlicaError) return error;
  const message = error instanceof Error ? error.message : String(error);
  if (/timeout/i.test(message)) {
    return new PlicaError('too-large', `${name} takes too long to decode`, 'give a simpler or smaller copy');
  }
  return /premature|truncat|unexpected end|end of (file|stream|data)|not enough|too short|eof/i.test(message)
    ? truncated(name)
    : damaged(name);
}
