import { creaseGroup, escapeXml, shortNumber } from '../report/drawing.ts';
import { BASE_WIDTH_MM, KINDS, sidesOf } from '../report/style.ts';
import type { Pattern } from '../types.ts';

export interface ToSvgOptions {
  /** Longest side of the sheet, mm; default 150. */
  readonly sizeMm?: number;
  /** White around the sheet, mm; default 5. */
  readonly marginMm?: number;
  readonly title?: string;
}

/**
 * The pattern as an SVG drawing in millimetres, y down as the format has it, one group for each kind (classes edge,
 * mountain, valley, guide, undecided, cut). `readPattern` reads it back.
 */
export function toSvg(pattern: Pattern, options: ToSvgOptions = {}): string {
  const { sizeMm = 150, marginMm = 5, title = 'Crease pattern' } = options;
  const { width, height } = sidesOf(pattern);
  const [fullWidth, fullHeight] = [width * sizeMm + 2 * marginMm, height * sizeMm + 2 * marginMm].map(shortNumber);
  const place = ([x, y]: readonly [number, number]): [number, number] => [
    marginMm + x * sizeMm,
    marginMm + (height - y) * sizeMm,
  ];
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${fullWidth}mm" height="${fullHeight}mm" viewBox="0 0 ${fullWidth} ${fullHeight}" role="img">`,
    `<title>${escapeXml(title)}</title>`,
    `<desc>Unit: millimetre. Edge thick, mountain dash-dot, valley dashed, undecided plain, guide thin grey.</desc>`,
    `<rect width="100%" height="100%" fill="#ffffff" stroke="none"/>`,
    ...KINDS.map((kind) => creaseGroup(pattern, kind, place, sizeMm, BASE_WIDTH_MM)).filter((group) => group !== ''),
    '</svg>',
    '',
  ].join('\n');
}
