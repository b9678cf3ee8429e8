import { startWorker } from '../start-worker.ts';
import type { FromTextThread, TextLine } from './text-thread.ts';

export type { TextLine } from './text-thread.ts';

/** Reads lines of text in a thread of its own, which starts with the first of them. */
export interface TextReader {
  /** The text of each line; null where text cannot be read at all. */
  readonly read: (lines: readonly TextLine[]) => Promise<readonly string[] | null>;
  readonly end: () => Promise<unknown>;
}

export function startTextReader(): TextReader {
  const thread = startWorker(new URL('./text-thread.ts', import.meta.url));
  let broken = false;
  let answer: (texts: readonly string[] | null) => void = () => {};
  const fail = (why: string): void => {
    if (process.env.PLICA_DEBUG) process.stderr.write(`legend: ${why}\n`);
    broken = true;
    answer(null);
  };
  thread.on('message', (said: FromTextThread) => ('texts' in said ? answer(said.texts) : fail(said.failed)));
  thread.on('error', (error) => fail(String(error)));
  thread.on('exit', () => {
    broken = true;
    answer(null);
  });
  return {
    read: (lines) =>
      new Promise((resolve) => {
        answer = resolve;
        if (broken) resolve(null);
        else thread.postMessage(lines);
      }),
    end: () => thread.terminate(),
  };
}
