import type { PatternFamily } from '../../datasets/patterns/patterns.ts';
import type { Notes, PictureKind } from '../../datasets/recipes/recipes.ts';
import type { Score } from './score.ts';

/** One picture's result. */
export interface Row {
  readonly kind: PictureKind;
  readonly seed: number;
  readonly pattern: string;
  readonly family: PatternFamily;
  readonly notes: Notes;
  /** null where the job failed or ran out of time; then `error` says why. */
  readonly score: Score | null;
  readonly error: string | null;
  /** Picture in, recovery out, ms. */
  readonly tookMs: number;
  readonly timings: Readonly<Record<string, number>>;
  /** Highest resident size of the process so far, MB; workers are fresh for each kind. */
  readonly peakMb: number;
}

/** What the table shows for a group of pictures. */
export interface Summary {
  readonly name: string;
  readonly pictures: number;
  readonly failed: number;
  /** Shares of all pictures, failed ones counted as wrong. */
  readonly exact: number;
  readonly exactGeometry: number;
  /** Means over pictures; a failed one counts 0. */
  readonly recall: number;
  readonly precision: number;
  readonly f1: number;
  /** Wrong creases in the doubt list / wrong creases, all pictures together; null where nothing was wrong. */
  readonly wrongDoubted: number | null;
  readonly medianDoubts: number;
  readonly medianMs: number;
  readonly peakMb: number;
}

function median(values: readonly number[]): number {
  if (values.length === 0) return 0;
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

export function summarise(name: string, rows: readonly Row[]): Summary {
  const scored = rows.flatMap((row) => (row.score ? [row.score] : []));
  const mean = (of: (score: Score) => number): number =>
    rows.length === 0 ? 0 : scored.reduce((sum, score) => sum + of(score), 0) / rows.length;
  const wrong = scored.reduce((sum, score) => sum + score.wrong, 0);
  const wrongDoubted = scored.reduce((sum, score) => sum + score.wrongDoubted, 0);
  return {
    name,
    pictures: rows.length,
    failed: rows.length - scored.length,
    exact: mean((score) => (score.exact ? 1 : 0)),
    exactGeometry: mean((score) => (score.geometryExact ? 1 : 0)),
    recall: mean((score) => score.recall),
    precision: mean((score) => score.precision),
    f1: mean((score) => score.f1),
    wrongDoubted: wrong > 0 ? wrongDoubted / wrong : null,
    medianDoubts: median(scored.map((score) => score.doubtLength)),
    medianMs: median(rows.filter((row) => row.score).map((row) => row.tookMs)),
    peakMb: Math.max(0, ...rows.map((row) => row.peakMb)),
  };
}

/** Groups in the order of first appearance. */
export function grouped(rows: readonly Row[], nameOf: (row: Row) => string): Summary[] {
  const groups = new Map<string, Row[]>();
  for (const row of rows) groups.set(nameOf(row), [...(groups.get(nameOf(row)) ?? []), row]);
  return [...groups].map(([name, members]) => summarise(name, members));
}

/** Photographs of flat and of curled sheets are different tasks, so they are reported apart. */
export function kindName(row: Row): string {
  return row.notes.subkind ? `${row.kind}, ${row.notes.subkind}` : row.kind;
}

const HEADINGS = [
  'pictures',
  'n',
  'failed',
  'exact %',
  'geometry %',
  'recall %',
  'precision %',
  'F1 %',
  'wrong in doubts %',
  'doubts (median)',
  'time ms (median)',
  'peak MB',
] as const;

/** A Markdown table; reads well on a terminal too. */
export function tableOf(summaries: readonly Summary[]): string {
  const percent = (share: number | null): string => (share === null ? '-' : (100 * share).toFixed(1));
  const cells = summaries.map((s) => [
    s.name,
    String(s.pictures),
    String(s.failed),
    percent(s.exact),
    percent(s.exactGeometry),
    percent(s.recall),
    percent(s.precision),
    percent(s.f1),
    percent(s.wrongDoubted),
    s.medianDoubts.toFixed(0),
    s.medianMs.toFixed(0),
    s.peakMb.toFixed(0),
  ]);
  const widths = HEADINGS.map((heading, i) => Math.max(3, heading.length, ...cells.map((row) => row[i].length)));
  const line = (row: readonly string[]): string =>
    `| ${row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i]))).join(' | ')} |`;
  const rule = `| ${widths.map((width, i) => (i === 0 ? '-'.repeat(width) : `${'-'.repeat(width - 1)}:`)).join(' | ')} |`;
  return [line(HEADINGS), rule, ...cells.map(line)].join('\n');
}
