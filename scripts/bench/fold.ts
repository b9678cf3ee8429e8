/** Speed of the folding laws, the folded position and the layer order, by number of faces. Run alone or by `npm run bench`. */
import { execFileSync } from 'node:child_process';
import os from 'node:os';
import { fileURLToPath } from 'node:url';
import { checkVertices } from '../../pipeline/laws/laws.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { checkFoldability } from '../../pipeline/validity/validity.ts';
import { accordion, halves, knifePleats, miura, pleatedTwice } from './fold-patterns.ts';

/** Columns and rows for about 250, 500, 1,000, 2,000 and 4,000 faces. */
const SIZES = [
  [16, 16],
  [22, 23],
  [32, 32],
  [45, 45],
  [63, 64],
] as const;
/** Folding in half needs powers of two. */
const POWERS = [
  [16, 16],
  [16, 32],
  [32, 32],
  [32, 64],
  [64, 64],
] as const;

const FIELDS: Readonly<Record<string, (size: number) => Pattern>> = {
  'knife pleats, both ways': (n) => pleatedTwice(knifePleats(SIZES[n][0]), knifePleats(SIZES[n][1])),
  'Miura-ori': (n) => miura(SIZES[n][0], SIZES[n][1]),
  'accordion, both ways (one stack)': (n) => pleatedTwice(accordion(SIZES[n][0]), accordion(SIZES[n][1])),
  'in half again and again (one stack)': (n) => pleatedTwice(halves(POWERS[n][0]), halves(POWERS[n][1])),
};

export interface FoldTiming {
  readonly field: string;
  readonly faces: number;
  readonly pairs: number;
  readonly verdict: string;
  /** Laws, folded position and layer order together, ms. */
  readonly ms: number;
  /** Peak memory of a process that does this and nothing else, MB. */
  readonly peakMb: number;
}

/** Times every field and size, each in a process of its own so that peaks of memory do not mix. */
export function timeFolding(): FoldTiming[] {
  const self = fileURLToPath(import.meta.url);
  return Object.keys(FIELDS).flatMap((field) =>
    SIZES.map((_, size): FoldTiming => {
      const args = [...process.execArgv, self, '--one', field, String(size)];
      return JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' }));
    }),
  );
}

/** Milliseconds for all laws at 10,000 vertices: fastest of five, after a warm-up. */
export function timeLaws(): { readonly vertices: number; readonly ms: number } {
  // 101 by 101 squares have 100 by 100 vertices inside.
  const pattern = pleatedTwice(accordion(101), accordion(101));
  const times = Array.from({ length: 6 }, () => {
    const begun = performance.now();
    const broken = checkVertices(pattern);
    if (broken.length > 0) throw new Error('the pattern of this bench must be sound');
    return performance.now() - begun;
  });
  return { vertices: 100 * 100, ms: Math.min(...times.slice(1)) };
}

/** The tables as Markdown. */
export function foldTables(): string {
  const laws = timeLaws();
  const rows = timeFolding();
  return [
    `Node ${process.version}, ${os.cpus()[0].model}.`,
    '',
    `Laws at ${laws.vertices.toLocaleString('en')} vertices: ${laws.ms.toFixed(0)} ms.`,
    '',
    '| pattern | faces | overlapping pairs | verdict | time, s | peak, MB |',
    '|---|---|---|---|---|---|',
    ...rows.map(
      ({ field, faces, pairs, verdict, ms, peakMb }) =>
        `| ${field} | ${faces} | ${pairs.toLocaleString('en')} | ${verdict} | ${(ms / 1000).toFixed(2)} | ${peakMb} |`,
    ),
    '',
  ].join('\n');
}

function timeOne(field: string, size: number): FoldTiming {
  const pattern = FIELDS[field](size);
  const begun = performance.now();
  const { verdict, facts } = checkFoldability(pattern, { countLimitMs: 0, repairs: false, timeLimitMs: 120_000 });
  const ms = performance.now() - begun;
  const peakMb = Math.round(process.resourceUsage().maxRSS / 1024);
  return { field, faces: facts.faces, pairs: facts.pairs, verdict, ms, peakMb };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [mode, field, size] = process.argv.slice(2);
  if (mode === '--one') process.stdout.write(JSON.stringify(timeOne(field, Number(size))));
  else process.stdout.write(foldTables());
}
