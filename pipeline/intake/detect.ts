import { PlicaError } from '../errors.ts';

export type PictureFormat = 'jpeg' | 'png' | 'webp' | 'tiff' | 'avif' | 'gif' | 'heic' | 'svg' | 'pdf';

const AVIF_BRANDS = new Set(['avif', 'avis']);
const HEIC_BRANDS = new Set(['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx', 'hevm', 'hevs']);
/** A PDF may carry this much before its mark (ISO 32000-1, annex H, implementation note 13; from memory). */
const PDF_MARK_WITHIN_BYTES = 1024;
/** The root element stands after at most a prologue and a few comments. */
const SVG_ROOT_WITHIN_BYTES = 64 * 1024;

/**
 * Tells the format by the first bytes. The file's name is used in the message only.
 *
 * @throws PlicaError `bad-input` where it is none of the promised formats
 */
export function detectFormat(bytes: Uint8Array, name: string): PictureFormat {
  if (bytes.length === 0) throw new PlicaError('bad-input', `${name} is empty (0 bytes)`, 'copy or download it again');
  const format = byMark(bytes) ?? (isSvg(bytes) ? 'svg' : null);
  if (format === null) {
    throw new PlicaError(
      'bad-input',
      `${name} is not a picture that can be read`,
      'give a JPEG, PNG, WebP, TIFF, AVIF, GIF, HEIC, SVG or PDF file',
    );
  }
  return format;
}

/** Marks as the formats' own standards give them: JPEG (ITU-T T.81), PNG, RIFF/WebP, TIFF 6 and BigTIFF, GIF, ISO 14496-12 brands, PDF. */
function byMark(bytes: Uint8Array): PictureFormat | null {
  const text = (from: number, to: number) => String.fromCharCode(...bytes.subarray(from, to));
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return 'jpeg';
  if (text(0, 8) === '\x89PNG\r\n\x1a\n') return 'png';
  if (text(0, 4) === 'RIFF' && text(8, 12) === 'WEBP') return 'webp';
  if (['II*\0', 'MM\0*', 'II+\0', 'MM\0+'].includes(text(0, 4))) return 'tiff';
  if (text(0, 6) === 'GIF87a' || text(0, 6) === 'GIF89a') return 'gif';
  if (text(4, 8) === 'ftyp') return byBrands(bytes, text);
  if (text(0, PDF_MARK_WITHIN_BYTES).includes('%PDF-')) return 'pdf';
  return null;
}

/** The general brands `mif1` and `msf1` say nothing of the coding, so the list of compatible brands decides. */
function byBrands(bytes: Uint8Array, text: (from: number, to: number) => string): PictureFormat | null {
  const boxBytes = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(0);
  const brands = [text(8, 12)];
  for (let at = 16; at + 4 <= Math.min(boxBytes, bytes.length, 256); at += 4) brands.push(text(at, at + 4));
  if (brands.some((brand) => AVIF_BRANDS.has(brand))) return 'avif';
  if (brands.some((brand) => HEIC_BRANDS.has(brand)) || brands[0] === 'mif1') return 'heic';
  return null;
}

function isSvg(bytes: Uint8Array): boolean {
  const utf16 = bytes[0] === 0xff && bytes[1] === 0xfe;
  const start = new TextDecoder(utf16 ? 'utf-16le' : 'utf-8').decode(bytes.subarray(0, SVG_ROOT_WITHIN_BYTES));
  const bare = start
    .replace(/<!--[\s\S]*?-->/g, '')
    .replace(/<\?[\s\S]*?\?>/g, '')
    .replace(/<!DOCTYPE[^[>]*(\[[\s\S]*?\])?\s*>/i, '')
    .trimStart();
  return /^<(?:[\w-]+:)?svg[\s>/]/.test(bare);
}
