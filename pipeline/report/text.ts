import type { Kind } from '../types.ts';
import { foldabilityWords, lawGroups } from './folding-words.ts';
import { gatherDoubts } from './gather.ts';
import type { Report } from './report.ts';
import {
  doubtPlace,
  doubtTitle,
  inkWords,
  KIND_NAMES,
  latticeWords,
  outlineWords,
  percent,
  sureWords,
} from './words.ts';

/** A screenful; the rest stands in the report file. */
const MOST_LISTED = 8;
const ORDER: readonly Kind[] = ['B', 'M', 'V', 'U', 'F', 'C'];

/** The report as plain lines for a terminal. */
export function reportText(report: Report): string {
  const { picture, lattice, counts, legend, outline, laws, foldability } = report;
  const doubts = gatherDoubts(report.doubts);
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
      doubts.map(
        (doubt) =>
          `${doubtTitle(doubt.what, doubt.creases.length > 0)} (${doubtPlace(doubt, lattice)}): ${sureWords(doubt)}`,
      ),
    ),
    ...section(
      'folding',
      foldabilityWords({ foldability, laws, counts }),
      lawGroups(laws, lattice).flatMap(({ title, why, places }) =>
        places.length === 1
          ? `${title} (${places[0]}): ${why}`
          : [`${title}, at ${places.length} places: ${why}`, ...places.map((place) => `   ${place}`)],
      ),
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
