import type { Terminal } from '../../pipeline/cli/terminal.ts';

/** A terminal that remembers what was said. */
export function fakeTerminal(changes: Partial<Terminal> = {}) {
  const out: string[] = [];
  const err: string[] = [];
  const terminal: Terminal = {
    out: (line) => out.push(line),
    err: (line) => err.push(line),
    interactive: false,
    debug: false,
    ...changes,
  };
  return { terminal, out, err };
}
