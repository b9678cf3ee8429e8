import { basename, extname, join } from 'node:path';
import type { Command } from 'commander';
import { PlicaError } from '../errors.ts';
import { readNoteText } from '../formats/read-notes.ts';
import { refuseExisting, writeWhole } from '../formats/write-whole.ts';
import { DOES_NOT_FOLD, parseSeconds, UNDECIDED } from './check.ts';
import { DONE, type Terminal } from './terminal.ts';
import { verdictLines } from './verdict-words.ts';

interface Options {
  readonly out: string;
  readonly state?: number;
  readonly seconds: number;
  readonly force?: boolean;
}

/** Adds `plica fold PATTERN`: the folded form as pictures and FOLD. Exit codes as of `plica check`. */
export function addFoldCommand(program: Command, terminal: Terminal, finish: (code: number) => void): void {
  program
    .command('fold')
    .description('what it turns into: the folded form from both sides and seen through (SVG, PNG), and as FOLD')
    .argument('<pattern>', 'FOLD file, or SVG drawing of lines')
    .option('--out <dir>', 'folder for the results', '.')
    .option('--state <k>', 'which layer order to show, from 1', parseState)
    .option('--seconds <n>', 'time to decide in', parseSeconds, 20)
    .option('--force', 'replace files that are there')
    .addHelpText('after', '\nExit code: 0 written, 1 does not fold flat, 2 bad input, 3 not decided in the time given.')
    .action(async (path: string, { out, state, seconds, force = false }: Options) => {
      // Loaded here, for the other commands need none of their weight.
      const { FOLDED_ENDINGS, foldedFiles } = await import('../fold/fold.ts');
      const { readPattern } = await import('../formats/read-pattern.ts');
      const { checkFoldability } = await import('../validity/validity.ts');
      const stem = join(out, basename(path, extname(path)));
      await refuseExisting(
        FOLDED_ENDINGS.map((ending) => `${stem}.${ending}`),
        force,
      );
      const { name, pattern, notes } = await readPattern(path);
      for (const note of notes) terminal.err(`${name}: ${readNoteText(note)}`);
      const verdict = checkFoldability(pattern, { timeLimitMs: seconds * 1000 });
      for (const line of verdictLines(pattern, verdict, { name })) terminal.out(line);
      if (verdict.folded === null) {
        finish(verdict.verdict === 'does-not' ? DOES_NOT_FOLD : UNDECIDED);
        return;
      }
      const files = await foldedFiles(pattern, verdict.folded, { title: name, state });
      await writeWhole(
        files.map(({ ending, content }) => ({ path: `${stem}.${ending}`, content })),
        { force },
      );
      for (const { ending } of files) terminal.out(`${stem}.${ending}`);
      finish(DONE);
    });
}

function parseState(text: string): number {
  const state = Number(text);
  if (!Number.isSafeInteger(state) || state < 1) {
    throw new PlicaError('bad-option', `"${text}" is no number of a state`, 'count layer orders from 1');
  }
  return state;
}
