/** `plica desk` alone, as the program has it: command.ts ARGUMENT... */
import { Command } from 'commander';
import { addDeskCommand } from '../../pipeline/cli/desk.ts';
import { tellError } from '../../pipeline/cli/terminal.ts';

const terminal = {
  out: (line: string) => void process.stdout.write(`${line}\n`),
  err: (line: string) => void process.stderr.write(`${line}\n`),
  interactive: false,
  debug: false,
};
const program = new Command('plica');
addDeskCommand(program, terminal, (code) => {
  process.exitCode = code;
});
await program.parseAsync(process.argv).catch((error: unknown) => {
  process.exitCode = tellError(error, terminal);
});
