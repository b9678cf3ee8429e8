import type { Kind, Pattern } from '../types.ts';
import { dashesFor, lengthOf, STYLES } from './style.ts';

/** A hundred-thousandth of a drawing unit: of a millimetre, finer than any machine, and a vertex keeps seven digits of its place. */
const DECIMALS = 5;

/**
 * One group of all creases of a kind, for drawings of any scale.
 *
 * @param place pattern point to drawing point
 * @param scale drawing units to a pattern unit
 * @param baseWidth stroke width of weight 1, drawing units
 */
export function creaseGroup(
  pattern: Pattern,
  kind: Kind,
  place: (p: readonly [number, number]) => readonly [number, number],
  scale: number,
  baseWidth: number,
): string {
  const style = STYLES[kind];
  const width = baseWidth * style.weight;
  const lines: string[] = [];
  for (const crease of pattern.creases) {
    if (crease.kind !== kind) continue;
    const [a, b] = [place(pattern.vertices[crease.from]), place(pattern.vertices[crease.to])];
    const dashes = dashesFor(kind, lengthOf(pattern, crease) * scale, width);
    const rhythm = dashes.length > 0 ? ` stroke-dasharray="${dashes.map(shortNumber).join(' ')}"` : '';
    lines.push(
      `<path d="M${shortNumber(a[0])} ${shortNumber(a[1])}L${shortNumber(b[0])} ${shortNumber(b[1])}"${rhythm}/>`,
    );
  }
  if (lines.length === 0) return '';
  const cap = kind === 'B' ? ' stroke-linecap="square"' : '';
  return [
    `<g class="${style.name}" fill="none" stroke="${style.colour}" stroke-width="${shortNumber(width)}"${cap}>`,
    ...lines,
    '</g>',
  ].join('\n');
}

export function escapeXml(text: string): string {
  const names: Readonly<Record<string, string>> = {
    '&': '&amp;',
    '<': '&lt;',
    '>': '&gt;',
    '"': '&quot;',
    "'": '&#39;',
  };
  // Control characters other than tab and line ends may not stand in XML at all.
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is removed
  return text.replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, '').replace(/[&<>"']/g, (c) => names[c]);
}

/** Shortest text of a number to DECIMALS places. */
export function shortNumber(value: number): string {
  return String(Number(value.toFixed(DECIMALS)) + 0);
}
