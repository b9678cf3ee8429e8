/** Measure the main job on rendered pictures, kind by kind. `npm run bench -- --help` lists the options. */
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises';
import os from 'node:os';
import { fileURLToPath } from 'node:url';
import { Command, Option } from 'commander';
import { HELD_BACK_FROM, type PictureKind, pictureKinds } from '../../datasets/recipes/recipes.ts';
import { benchPattern } from './choose.ts';
import { foldTables } from './fold.ts';
import { runPool } from './pool.ts';
import { grouped, kindName, type Row, type Summary, summarise, tableOf } from './rows.ts';
import type { Task } from './worker.ts';

interface Options {
  readonly kind: readonly PictureKind[];
  readonly count: number;
  readonly seed: number;
  readonly heldBack: boolean;
  readonly ink?: 'classical' | 'learned';
  readonly flat: boolean;
  readonly saveFailures?: string;
  readonly by?: string;
  readonly workers: number;
  readonly write: boolean;
  readonly folding: boolean;
  readonly list: boolean;
  readonly rows?: string;
}

const MOST_WORKERS = 2;
/** Seeds of a slice; the held-back slice has as many from HELD_BACK_FROM on. */
const WORKING_SEEDS = 10_000;
const wholeNumber = (text: string): number => {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 0) throw new Error(`a whole number is needed here, not ${text}`);
  return value;
};

const program = new Command('bench')
  .addOption(
    new Option('--kind <kinds>', `kinds of picture, separated by commas: ${pictureKinds.join(', ')}`)
      .default(pictureKinds, 'all')
      .argParser((text) => {
        const kinds = text.split(',').map((word) => pictureKinds.find((kind) => kind === word.trim()));
        if (kinds.includes(undefined)) throw new Error(`kinds are ${pictureKinds.join(', ')}`);
        return kinds;
      }),
  )
  .option('--count <n>', 'pictures of each kind', wholeNumber, 40)
  .option('--seed <n>', 'first seed, 0 to 9999', wholeNumber, 0)
  .option('--held-back', 'pictures kept out of the work: other patterns, wider ranges', false)
  .option('--flat', 'sheets taken for flat: shows what straightening bent ones gains', false)
  .addOption(new Option('--ink <how>', 'how ink is found').choices(['classical', 'learned']))
  .option('--save-failures <folder>', 'keep every picture that was not recovered exactly, with the differences drawn')
  .option('--by <note>', 'a second table, by a note of the picture: convention, route, family, tight, ground, ...')
  .option('--workers <n>', `processes, at most ${MOST_WORKERS}`, wholeNumber, MOST_WORKERS)
  .option('--list', 'a line for every picture', false)
  .option('--rows <file>', 'every picture as JSON')
  .option('--no-folding', 'leave out the table of folding by number of faces (about a minute)')
  .option('--write', 'put the tables into datasets/bench.json and datasets/BENCH.md', false)
  .action(run);

async function run(options: Options): Promise<void> {
  if (options.seed + options.count > WORKING_SEEDS)
    throw new Error(`seeds run from 0 to ${WORKING_SEEDS - 1}: ask for fewer pictures or a lower seed`);
  const first = options.heldBack ? HELD_BACK_FROM + options.seed : options.seed;
  const workers = Math.max(1, Math.min(MOST_WORKERS, options.workers));
  const rows: Row[] = [];
  for (const kind of options.kind) {
    const seeds = Array.from({ length: options.count }, (_, i) => first + i);
    const task = (what: Task['what'], seed: number): Task => ({
      what,
      kind,
      seed,
      ink: options.ink,
      flat: options.flat,
      failures: options.saveFailures ?? null,
    });
    // Rendering has its own processes, so that peak memory is the main job's alone.
    await runPool(
      seeds.map((seed) => task('render', seed)),
      workers,
      (done, result) => {
        if ('failed' in result) throw new Error(`rendering ${done.kind} ${done.seed}: ${result.failed}`);
      },
    );
    await runPool(
      seeds.map((seed) => task('recover', seed)),
      workers,
      (done, result) => {
        const row = 'failed' in result ? lostRow(done, result.failed) : result.row;
        if (!row) return;
        rows.push(row);
        if (options.list) process.stdout.write(`${lineOf(row)}\n`);
      },
    );
  }
  rows.sort((a, b) => options.kind.indexOf(a.kind) - options.kind.indexOf(b.kind) || a.seed - b.seed);
  const summaries = [...grouped(rows, kindName), summarise('all', rows)];
  process.stdout.write(`${tableOf(summaries)}\n`);
  const { by } = options;
  if (by) {
    const nameOf = (row: Row): string => `${by} ${by === 'family' ? row.family : String(row.notes[by])}`;
    process.stdout.write(`\n${tableOf(grouped(rows, nameOf).sort((a, b) => a.name.localeCompare(b.name)))}\n`);
  }
  if (options.rows) await writeFile(options.rows, JSON.stringify(rows));
  if (options.write)
    await writeResults(
      options,
      first,
      summaries,
      grouped(rows, (row) => String(row.notes.convention)),
    );
  // Folding knows nothing of pictures: it is measured once, with the whole working slice.
  if (!options.folding || options.heldBack || options.kind.length < pictureKinds.length) return;
  const tables = foldTables();
  process.stdout.write(`\n${tables}`);
  if (options.write)
    await writeWhole(
      foldingFile,
      `# Folding by number of faces\n\nWritten by \`npm run bench -- --write\`.\n\n${tables}`,
    );
}

/** A row for a picture whose process died or hung. */
function lostRow(task: Task, error: string): Row {
  const named = benchPattern(task.kind, task.seed);
  const { kind, seed } = task;
  return {
    kind,
    seed,
    pattern: named.name,
    family: named.family,
    notes: {},
    score: null,
    error,
    tookMs: 0,
    timings: {},
    peakMb: 0,
  };
}

function lineOf(row: Row): string {
  const name = `${row.kind}-${row.seed}`.padEnd(14);
  const { score } = row;
  const what = score
    ? `${score.exact ? 'exact   ' : score.geometryExact ? 'geometry' : '-       '} F1 ${score.f1.toFixed(3)} geometry F1 ${score.f1Geometry.toFixed(3)} wrong ${score.wrong} (doubted ${score.wrongDoubted}) missed ${score.missed} of ${score.truthCreases}`
    : `failed: ${row.error?.split('\n')[0]}`;
  return `${name} ${what} ${Math.round(row.tookMs)} ms ${row.notes.convention} ${row.pattern}`;
}

interface Results {
  readonly pictures: string;
  readonly ink: string;
  readonly count: number;
  readonly firstSeed: number;
  readonly machine: string;
  readonly byKind: readonly Summary[];
  readonly byConvention: readonly Summary[];
}

const dataFile = fileURLToPath(new URL('../../datasets/bench.json', import.meta.url));
const foldingFile = fileURLToPath(new URL('../../datasets/FOLDING.md', import.meta.url));
const pageFile = fileURLToPath(new URL('../../datasets/BENCH.md', import.meta.url));

/** Replace this slice's entry and leave the others as they are. */
async function writeResults(
  options: Options,
  firstSeed: number,
  byKind: readonly Summary[],
  byConvention: readonly Summary[],
): Promise<void> {
  const pictures = options.heldBack ? 'held back' : 'working';
  const ink = options.ink ?? 'default';
  let all: Record<string, Results> = {};
  try {
    all = JSON.parse(await readFile(dataFile, 'utf8')) as Record<string, Results>;
  } catch {
    // First run: there is no file yet.
  }
  const machine = `${os.cpus().length} cores, Node ${process.version}, ${Math.min(MOST_WORKERS, options.workers)} at a time`;
  all[`${pictures}, ${ink} ink${options.flat ? ', bend left in' : ''}`] = {
    pictures,
    ink,
    count: options.count,
    firstSeed,
    machine,
    byKind,
    byConvention,
  };
  await mkdir(fileURLToPath(new URL('../../datasets/', import.meta.url)), { recursive: true });
  await writeWhole(dataFile, `${JSON.stringify(all, null, 1)}\n`);
  await writeWhole(pageFile, pageOf(all));
}

/** A stopped run leaves the old file or the new one, never half of one. */
async function writeWhole(file: string, text: string): Promise<void> {
  await writeFile(`${file}.part`, text);
  await rename(`${file}.part`, file);
}

function pageOf(all: Readonly<Record<string, Results>>): string {
  const parts = Object.entries(all).map(
    ([name, r]) =>
      `## ${name}\n\n${r.count} pictures of each kind from seed ${r.firstSeed}; ${r.machine}.\n\n${tableOf(r.byKind)}\n\nBy drawing convention:\n\n${tableOf(r.byConvention)}\n`,
  );
  return `# Bench

Written by \`npm run bench -- --write\` (add \`--held-back\` for the slice kept out of the work). The pictures are rendered by
\`datasets/recipes\` from patterns of \`datasets/patterns\`; the held-back ones use other patterns and wider ranges.

- exact: same vertices within 0.6 % of the side, same creases, same kinds. Where the drawing's custom does not tell mountain from valley (black and grey, thick and
  thin, colours other than red mountain and blue valley), the answer with all kinds swapped counts as well: the same sheet from its other side. One-ink drawings ask for undecided kinds.
- geometry: the same with kinds left out.
- wrong in doubts: share of the wrong or extra creases that the report's own list of doubts names.
- sheets that are not square are read with \`--paper auto\`, square ones with no option.
- time: from the bytes of the file to the answer, in one process. Peak memory: the highest resident size of a process that does nothing but this kind of picture.

${parts.join('\n')}`;
}

try {
  await program.parseAsync();
} catch (error) {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exitCode = 2;
}
