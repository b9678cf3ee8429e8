import { PlicaError } from '../errors.ts';

/** Where a command's lines go; `process` in the program, lists in tests. */
export interface Terminal {
  /** One line to standard output. */
  readonly out: (line: string) => void;
  /** One line to standard error. */
  readonly err: (line: string) => void;
  /** A person is watching standard error: show progress. */
  readonly interactive: boolean;
  /** Show stack traces. */
  readonly debug: boolean;
}

/** Exit codes: done; an error inside Plica; input or options that a person can mend. */
export const DONE = 0;
export const FAILED = 1;
export const BAD_INPUT = 2;

/**
 * Tells an error in one line and returns the exit code for it.
 *
 * @param picture the picture in work: the main job does not know its name where it finds no pattern
 */
export function tellError(error: unknown, terminal: Terminal, picture = ''): number {
  if (terminal.debug && error instanceof Error && error.stack) terminal.err(error.stack);
  if (error instanceof PlicaError) {
    const named = error.code === 'no-pattern' && picture ? `${picture}: ${error.message}` : error.message;
    terminal.err(`plica: ${oneLine(named)}`);
    return BAD_INPUT;
  }
  const what = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  terminal.err(`plica: an error inside Plica (${oneLine(what)}); please report it together with the file`);
  return FAILED;
}

/** File names may hold line ends and control characters. */
export function oneLine(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is replaced
  return text.replace(/[\u0000-\u001f\u007f-\u009f]+/g, ' ').trim();
}
