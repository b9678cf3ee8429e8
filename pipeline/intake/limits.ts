import { PlicaError } from '../errors.ts';

/** Beyond any camera or desk scanner at 600 dpi on A4 (35 Mpx), and about 300 MB of pixels: refused before decoding. */
const MAX_MEGAPIXELS = 100;
/** A lossless 100-megapixel picture; no picture of a pattern needs a larger file. */
export const MAX_FILE_BYTES = 300 * 2 ** 20;
/** The SVG reader's own limit (libxml2 refuses larger text). */
export const MAX_SVG_BYTES = 10 * 2 ** 20;
/** 8 divisions of 8 px: under this no stroke can be told from its neighbour. */
const MIN_SIDE_PX = 64;

/** Refuses a picture whose header claims too many pixels; called before any pixel is decoded. */
export function checkLargest(width: number, height: number, name: string): void {
  if (width * height > MAX_MEGAPIXELS * 1e6) {
    throw new PlicaError(
      'too-large',
      `${name} claims ${width} x ${height} pixels, over the limit of ${MAX_MEGAPIXELS} megapixels`,
      'give a smaller copy; 3000 pixels on the longer side are plenty',
    );
  }
}

/** Refuses a picture too small to hold a pattern. */
export function checkSmallest(width: number, height: number, name: string): void {
  if (Math.min(width, height) < MIN_SIDE_PX) {
    throw new PlicaError(
      'bad-input',
      `${name} is ${width} x ${height} pixels, too small to hold a crease pattern`,
      `give a picture of at least ${MIN_SIDE_PX} pixels a side, 500 or more to be useful`,
    );
  }
}

export const damaged = (name: string) =>
  new PlicaError('bad-input', `${name} is damaged and cannot be read as a picture`, 'save or download it again');

export const truncated = (name: string) =>
  new PlicaError('bad-input', `${name} breaks off before its end`, 'copy or download it again, completely');

export const noSuchPage = (name: string, page: number, pages: number) =>
  new PlicaError(
    'bad-option',
    `${name} has no page ${page}`,
    pages === 1 ? 'it has one page' : `choose a page from 1 to ${pages}`,
  );

/** Size that fits a longest side without enlarging, each side at least 1 px. */
export function fitWithin(width: number, height: number, maxSidePx: number): { width: number; height: number } {
  const scale = Math.min(1, maxSidePx / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}
