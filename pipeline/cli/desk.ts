import type { Command } from 'commander';
import { PlicaError } from '../errors.ts';
import { DONE, type Terminal } from './terminal.ts';

interface Options {
  readonly open: boolean;
  readonly port?: number;
}

/** Adds `plica desk [FILE]`: the local page to check and mend a pattern; runs until it is stopped. */
export function addDeskCommand(program: Command, terminal: Terminal, finish: (code: number) => void): void {
  program
    .command('desk')
    .description('check and mend a recovered pattern in the browser; nothing leaves this computer')
    .argument('[file]', 'picture or pattern to open; work on it is kept beside it')
    .option('--no-open', 'print the address and do not open a browser')
    .option('--port <n>', 'port to try first (default: 7542)', parsePort)
    .action(async (file: string | undefined, { open, port }: Options) => {
      const { openDesk } = await import('../desk/desk.ts');
      const { openBrowser } = await import('../desk/browser.ts');
      const desk = await openDesk({ file, port });
      terminal.out(`The desk is open at ${desk.address} (stop it with Ctrl-C)`);
      if (desk.given) terminal.out(`Work on ${desk.given.name} is kept in ${desk.given.keptIn}, beside it`);
      if (open) openBrowser(desk.address);
      await asked();
      await desk.close();
      finish(DONE);
    });
}

/** Until the person or the system asks to stop. */
function asked(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });
}

function parsePort(text: string): number {
  const port = Number(text);
  if (!Number.isInteger(port) || port < 0 || port > 65535) {
    throw new PlicaError('bad-option', `"${text}" is no port`, 'give a whole number from 0 (any) to 65535');
  }
  return port;
}
