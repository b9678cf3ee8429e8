import sharp from 'sharp';
import { sidesOf } from '../report/style.ts';
import type { Pattern } from '../types.ts';
import { toSvg } from './svg.ts';

export interface ToPngOptions {
  /** Longest side of the picture, px; default 1600. */
  readonly sidePx?: number;
}

/** Sheet and margin of the drawing that is painted, mm; only their ratio to the line widths shows. */
const SHEET_MM = 150;
const MARGIN_MM = 5;
/** The renderer's px to the inch at which a CSS px is a px. */
const MM_PER_PX_AT_72 = 25.4 / 72;

/** The pattern as a PNG on white. */
export async function toPng(pattern: Pattern, options: ToPngOptions = {}): Promise<Uint8Array> {
  const { sidePx = 1600 } = options;
  const { width, height } = sidesOf(pattern);
  const svg = toSvg(pattern, { sizeMm: SHEET_MM, marginMm: MARGIN_MM });
  const longestMm = Math.max(width, height) * SHEET_MM + 2 * MARGIN_MM;
  const density = (72 * sidePx * MM_PER_PX_AT_72) / longestMm;
  return sharp(Buffer.from(svg), { density })
    .resize({ width: sidePx, height: sidePx, fit: 'inside' })
    .flatten({ background: '#ffffff' })
    .png()
    .toBuffer();
}
