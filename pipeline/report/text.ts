import type { Kind } from '../types.ts';
import { foldabilityWords } from './folding-words.ts';
import type { Report } from './report.ts';
import {
  doubtTitle,
  inkWords,
  insteadWords,
  KIND_NAMES,
  latticeWords,
  lawTitle,
  outlineWords,
  percent,
  placeWords,
} from './words.ts';

/** A screenful; the rest stands in the report file. */
const MOST_LISTED = 8;
const ORDER: readonly Kind[] = ['B', 'M', 'V', 'U', 'F', 'C'];

/** The report as plain lines for a terminal. */
export function reportText(report: Report): string {
  const { picture, lattice, counts, legend, outline, doubts, laws, foldability } = report;
  const counted = ORDER.filter((kind) => counts[kind] > 0).map((kind) => `${counts[kind]} ${KIND_NAMES[kind]}`);
  const lines = [
    `${picture.name}: ${latticeWords(lattice)}`,
    `  creases   ${counted.join(', ') || 'none'}`,
    `  outline   ${outlineWords(outline)} (${percent(outline.probability)} sure)`,
    ...outline.assumed.map((assumption) => `            assumed: ${assumption}`),
    ...legend.map(
      (entry, i) =>
        `  ${i === 0 ? 'inks   ' : '       '}   ${inkWords(entry)}: ${KIND_NAMES[entry.kind]}, ${entry.why} (${percent(entry.probability)} sure)`,
    ),
    ...section(
      'doubts',
      doubts.length === 0 ? 'none' : String(doubts.length),
      doubts.map((doubt) => {
        const instead = insteadWords(doubt);
        const about = doubt.crease !== undefined ? `crease ${doubt.crease}, ` : '';
        const or = instead ? `, else ${instead}` : '';
        return `${doubtTitle(doubt)} (${about}${placeWords(doubt.at, lattice)}): ${percent(doubt.probability)} sure${or}`;
      }),
    ),
    ...section(
      'folding',
      foldabilityWords({ foldability, broken: laws.length, counts }),
      laws.map((law) => `${lawTitle(law)} (${placeWords(law.at, lattice)}): ${law.why}`),
    ),
  ];
  return lines.map(printable).join('\n');
}

function section(name: string, head: string, items: readonly string[]): string[] {
  const shown = items.slice(0, MOST_LISTED).map((item) => `            ${item}`);
  const rest = items.length - shown.length;
  return [`  ${name.padEnd(10)}${head}`, ...shown, ...(rest > 0 ? [`            and ${rest} more in the report`] : [])];
}

/** A file's name may hold anything; control characters would steer the terminal. */
function printable(line: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is replaced
  return line.replace(/[\u0000-\u001f\u007f-\u009f]/g, '?');
}
