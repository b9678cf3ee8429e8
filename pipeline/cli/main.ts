import { Command, CommanderError } from 'commander';
import { addCheckCommand } from './check.ts';
import { addDeskCommand } from './desk.ts';
import { addExportCommand } from './export.ts';
import { addFoldCommand } from './fold.ts';
import { addRecoverCommand } from './recover.ts';
import { BAD_INPUT, DONE, oneLine, type Terminal, tellError } from './terminal.ts';

/**
 * The command `plica`: reads the arguments, runs one command, tells errors in one line.
 *
 * @returns the exit code: 0 done, 2 input or options that a person can mend, 1 an error inside Plica; `check` and `fold`
 *   return 1 for a pattern that does not fold flat and 3 where that was not decided
 */
export async function main(args: readonly string[], terminal: Terminal): Promise<number> {
  const program = new Command('plica')
    .description('Turns a picture of an origami crease pattern into exact vector geometry and says what to doubt.')
    .exitOverride()
    .configureOutput({
      writeOut: (text) => terminal.out(text.trimEnd()),
      writeErr: (text) => terminal.err(text.trimEnd()),
      outputError: (text, write) => write(`plica: ${oneLine(text.replace(/^error: /, ''))}`),
    });
  let code = DONE;
  const finish = (result: number) => {
    code = result;
  };
  addRecoverCommand(program, terminal, finish);
  addCheckCommand(program, terminal, finish);
  addFoldCommand(program, terminal, finish);
  addDeskCommand(program, terminal, finish);
  addExportCommand(program, terminal, finish);
  try {
    await program.parseAsync(args, { from: 'user' });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? DONE : BAD_INPUT;
    return tellError(error, terminal);
  }
}
