import { readdir } from 'node:fs/promises';
import { basename, extname, join } from 'node:path';
import type { Command } from 'commander';
import { PlicaError } from '../errors.ts';
import { foldText, toFold } from '../formats/fold.ts';
import { toSvg } from '../formats/svg.ts';
import { refuseExisting, type WholeFile, writeWhole } from '../formats/write-whole.ts';
import { reportHtml } from '../report/html.ts';
import { makeReport, type Report } from '../report/report.ts';
import { reportText } from '../report/text.ts';
import type { LegendRule, PicturePoint, RecoverOptions, Recovery } from '../types.ts';
import { parseLegend } from './legend.ts';
import { parseCorners, parseDivisions, parseInk, parsePage, parsePaper } from './options.ts';
import { progressLines } from './progress.ts';
import { DONE, FAILED, type Terminal, tellError } from './terminal.ts';

interface Options {
  readonly out?: string;
  readonly legend?: readonly LegendRule[];
  readonly paper?: RecoverOptions['paper'];
  readonly corners?: readonly PicturePoint[];
  readonly divisions?: number;
  readonly page?: number;
  readonly ink?: RecoverOptions['ink'];
  readonly trace?: string;
  readonly json?: boolean;
  readonly force?: boolean;
}

/** Adds `plica recover PICTURE...`: the main job for each picture, its files, and a summary. */
export function addRecoverCommand(program: Command, terminal: Terminal, finish: (code: number) => void): void {
  program
    .command('recover')
    .description('recover the crease pattern from pictures; writes .fold, .svg, .report.json and .report.html')
    .argument('<picture...>', 'JPEG, PNG, WebP, TIFF, AVIF, GIF, HEIC, SVG or PDF files')
    .option('--out <dir>', 'folder for the results (default: the current one)')
    .option(
      '--legend <rules>',
      'what inks mean: "mountain=#d22,valley=#22c", "mountain=dashdot,valley=dashed"',
      parseLegend,
    )
    .option('--paper <shape>', 'square, auto, or the sides as W:H', parsePaper)
    .option('--corners <pixels>', 'corners of the sheet on the picture: "x,y x,y x,y x,y"', parseCorners)
    .option('--divisions <n>', 'divisions of the grid along the longest side', parseDivisions)
    .option('--page <n>', 'page of a PDF, from 1', parsePage)
    .option('--ink <how>', 'how ink is found: learned or classical', parseInk)
    .option('--trace <dir>', 'folder for a picture of every stage')
    .option('--json', 'print the report alone, one line for each picture; write files only with --out')
    .option('--force', 'replace files that are there')
    .action(async (pictures: string[], options: Options) => {
      finish(await recoverAll(pictures, options, terminal));
    });
}

/** One picture after the other; a failure is told and the next one goes on. */
async function recoverAll(pictures: readonly string[], options: Options, terminal: Terminal): Promise<number> {
  const stems = new Map<string, string>();
  let worst = DONE;
  for (const picture of pictures) {
    try {
      const stem = stemOf(picture);
      const other = stems.get(stem);
      if (other !== undefined) {
        const twice = `${basename(picture)} and ${basename(other)} would write the same files`;
        throw new PlicaError('bad-option', twice, 'recover them into different folders');
      }
      stems.set(stem, picture);
      await recoverOne(picture, stem, options, terminal);
    } catch (error) {
      const code = tellError(error, terminal, basename(picture));
      worst = worst === FAILED ? FAILED : code;
    }
  }
  return worst;
}

async function recoverOne(picture: string, stem: string, options: Options, terminal: Terminal): Promise<void> {
  const { out, json = false, force = false, trace, ...choices } = options;
  const folder = out ?? (json ? null : '.');
  const paths = folder === null ? [] : ENDINGS.map((ending) => join(folder, stem + ending));
  const traceFolder = trace === undefined ? undefined : join(trace, stem);
  // Before the work, so that nobody waits for a refusal.
  await refuseExisting(paths, force);
  if (traceFolder !== undefined && !force) await refuseFull(traceFolder);
  // Loaded here, for the other commands need none of its weight.
  const { recover } = await import('../recover.ts');
  const recovery = await recover(picture, {
    ...choices,
    trace: traceFolder,
    onProgress: progressLines(terminal, stem),
  });
  const report = makeReport(recovery);
  if (folder !== null) await writeWhole(await resultFiles(paths, recovery, report), { force });
  terminal.out(json ? JSON.stringify(report) : summary(report, paths));
}

const ENDINGS = ['.fold', '.svg', '.report.json', '.report.html'] as const;

/** Contents in the order of ENDINGS. */
async function resultFiles(paths: readonly string[], recovery: Recovery, report: Report): Promise<WholeFile[]> {
  const contents = [
    foldText(toFold(recovery)),
    toSvg(recovery.pattern, { title: recovery.picture.name }),
    `${JSON.stringify(report, null, 1)}\n`,
    await reportHtml(recovery, report),
  ];
  return paths.map((path, i) => ({ path, content: contents[i] }));
}

/** The pictures of a trace would replace those of an earlier one. */
async function refuseFull(folder: string): Promise<void> {
  const there = await readdir(folder).catch(() => []);
  if (there.length > 0) {
    const what = `${basename(folder)} in the folder for the trace holds files already`;
    throw new PlicaError('exists', what, 'add --force to replace them, or choose another folder');
  }
}

function summary(report: Report, paths: readonly string[]): string {
  return `${reportText(report)}\n  files     ${paths.join('\n            ')}`;
}

function stemOf(picture: string): string {
  return basename(picture, extname(picture));
}
