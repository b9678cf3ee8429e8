import type { Command } from 'commander';
import { PlicaError } from '../errors.ts';
import { readNoteText } from '../formats/read-notes.ts';
import { lawWhy } from '../report/words.ts';
import type { Verdict } from '../validity/verdict.ts';
import { DONE, type Terminal } from './terminal.ts';
import { verdictLines } from './verdict-words.ts';

/** Exit codes of `check` beside 0 (folds flat) and 2 (bad input). */
export const DOES_NOT_FOLD = 1;
export const UNDECIDED = 3;

const LONGEST_SECONDS = 86_400;

interface Options {
  readonly seconds: number;
  readonly repairs: boolean;
  readonly json?: boolean;
}

/** Adds `plica check PATTERN`: proves or disproves that a pattern folds flat. Exit 0 folds, 1 does not, 2 bad input, 3 undecided. */
export function addCheckCommand(program: Command, terminal: Terminal, finish: (code: number) => void): void {
  program
    .command('check')
    .description('does it fold flat? Laws at every vertex, loops, order of layers; says what is in the way')
    .argument('<pattern>', 'FOLD file, or SVG drawing of lines')
    .option('--seconds <n>', 'time to decide in', parseSeconds, 20)
    .option('--no-repairs', 'do not look for repairs')
    .option('--json', 'print the findings as JSON')
    .addHelpText('after', '\nExit code: 0 folds flat, 1 does not, 2 bad input, 3 not decided in the time given.')
    .action(async (path: string, { seconds, repairs, json }: Options) => {
      // Loaded here, for the other commands need none of their weight.
      const { readPattern } = await import('../formats/read-pattern.ts');
      const { checkFoldability } = await import('../validity/validity.ts');
      const { name, pattern, notes } = await readPattern(path);
      for (const note of notes) terminal.err(`${name}: ${readNoteText(note)}`);
      const verdict = checkFoldability(pattern, { timeLimitMs: seconds * 1000, repairs });
      if (json) terminal.out(JSON.stringify(verdictJson(name, verdict), null, 2));
      else for (const line of verdictLines(pattern, verdict, { name })) terminal.out(line);
      finish(codeOf(verdict));
    });
}

function codeOf({ verdict }: Verdict): number {
  if (verdict === 'folds') return DONE;
  return verdict === 'does-not' ? DOES_NOT_FOLD : UNDECIDED;
}

/** Time in seconds, fractions allowed. */
export function parseSeconds(text: string): number {
  const seconds = Number(text);
  if (!(seconds > 0 && seconds <= LONGEST_SECONDS)) {
    throw new PlicaError('bad-option', `"${text}" is no time in seconds`, `give a number up to ${LONGEST_SECONDS}`);
  }
  return seconds;
}

/** The verdict without the folded sheet; numbers of states as text, for they may have hundreds of digits. */
export function verdictJson(name: string, { folded: _, states, broken, ...rest }: Verdict): Record<string, unknown> {
  return {
    pattern: name,
    ...rest,
    states: states && { count: states.count.toString(), atLeast: states.atLeast },
    broken: broken.map((law) => ({ ...law, why: lawWhy(law) })),
  };
}
