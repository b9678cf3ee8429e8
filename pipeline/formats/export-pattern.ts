import type { Pattern } from '../types.ts';
import { toDxf } from './dxf.ts';
import { foldText, toFold } from './fold.ts';
import { toPng } from './png.ts';
import { toSvg } from './svg.ts';
import type { PaperSize } from './tiles.ts';

export const EXPORT_FORMATS = ['fold', 'svg', 'dxf', 'pdf', 'png'] as const;
export type ExportFormat = (typeof EXPORT_FORMATS)[number];

export interface ExportOptions {
  /** Longest side of the sheet, mm; default 150. FOLD and PNG have no size on paper and ignore it. */
  readonly sizeMm?: number;
  /** Paper in the printer, PDF only; default a4. */
  readonly paper?: PaperSize;
  readonly title?: string;
}

/** The content of a file of the format. */
export async function exportPattern(
  pattern: Pattern,
  format: ExportFormat,
  options: ExportOptions = {},
): Promise<string | Uint8Array> {
  switch (format) {
    case 'fold':
      return foldText(toFold(pattern));
    case 'svg':
      return toSvg(pattern, options);
    case 'dxf':
      return toDxf(pattern, options);
    case 'pdf': {
      // Loaded here, for a PDF alone needs its weight.
      const { toPdf } = await import('./pdf.ts');
      return toPdf(pattern, options);
    }
    case 'png':
      return toPng(pattern);
  }
}
