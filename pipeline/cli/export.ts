import { basename, extname, join } from 'node:path';
import { type Command, Option } from 'commander';
import { CAUTIONS } from '../formats/cautions.ts';
import { EXPORT_FORMATS, type ExportFormat, exportPattern } from '../formats/export-pattern.ts';
import { readNoteText } from '../formats/read-notes.ts';
import { readPattern } from '../formats/read-pattern.ts';
import type { PaperSize } from '../formats/tiles.ts';
import { refuseExisting, writeWhole } from '../formats/write-whole.ts';
import { oneOf, parseLength } from './options.ts';
import { DONE, type Terminal } from './terminal.ts';

interface Options {
  readonly to: ExportFormat;
  readonly size: number;
  readonly paperSize: PaperSize;
  readonly out: string;
  readonly force?: boolean;
}

/** Formats that machines with blades, wheels or beams read. */
const FOR_MACHINES: readonly ExportFormat[] = ['dxf', 'svg'];

/** Adds `plica export PATTERN --to FORMAT`: a pattern file as a drawing, for printers and cutters. */
export function addExportCommand(program: Command, terminal: Terminal, finish: (code: number) => void): void {
  program
    .command('export')
    .description('write a pattern (FOLD or SVG) as another file: for cutters, printers, other programs')
    .argument('<pattern>', 'FOLD file, or SVG drawing of lines')
    .requiredOption('--to <format>', EXPORT_FORMATS.join(', '), oneOf(EXPORT_FORMATS, 'format to export to'))
    .addOption(
      new Option('--size <length>', 'longest side of the sheet, such as 150mm, 15cm, 6in')
        .argParser(parseLength)
        .default(150, '150mm'),
    )
    .option(
      '--paper-size <paper>',
      'paper in the printer, for PDF: a4, letter',
      oneOf(['a4', 'letter'], 'paper size'),
      'a4',
    )
    .option('--out <dir>', 'folder for the result', '.')
    .option('--force', 'replace a file that is there')
    .action(async (path: string, { to, size, paperSize, out, force }: Options) => {
      const target = join(out, `${basename(path, extname(path))}.${to}`);
      await refuseExisting([target], force ?? false);
      const { name, pattern, notes } = await readPattern(path);
      for (const note of notes) terminal.err(`${name}: ${readNoteText(note)}`);
      const content = await exportPattern(pattern, to, { sizeMm: size, paper: paperSize, title: name });
      await writeWhole([{ path: target, content }], { force });
      if (FOR_MACHINES.includes(to)) for (const caution of CAUTIONS) terminal.err(`Caution: ${caution}`);
      terminal.out(target);
      finish(DONE);
    });
}
