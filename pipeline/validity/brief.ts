/** The verdict at the end of a recovery: within a time that nobody minds, whatever the pattern. */
import type { Worker } from 'node:worker_threads';
import { startWorker } from '../start-worker.ts';
import type { BrokenLaw, Foldability, Pattern } from '../types.ts';
import type { BriefAnswer, FromBriefWorker } from './brief-worker.ts';

export interface BriefVerdict {
  readonly foldability: Foldability;
  /** The given laws, and those that only show on the whole sheet. */
  readonly laws: readonly BrokenLaw[];
}

/** The layer search looks at the clock only between steps, which take long on large sheets: then it is ended from outside. */
const END_MS = 2000;
/** All layers of a sheet with this many creases in one stack take some 250 MB; with more a recovery could pass a gigabyte. */
const MOST_CREASES = 6000;

/** A thread that has loaded the program and waits to be asked. */
let waiting: Worker | null = null;

/** Starts the thread that `briefVerdict` needs ahead of time. */
export function prepareVerdict(): void {
  if (waiting) return;
  const worker = startWorker(new URL('./brief-worker.ts', import.meta.url));
  // Nobody need wait for it, and whoever asks without it starts one.
  worker.unref();
  const forget = (): void => {
    if (waiting === worker) waiting = null;
  };
  worker.once('error', forget).once('exit', forget);
  waiting = worker;
}

/** The thread that waits, or a new one. */
function takeWorker(): Worker {
  prepareVerdict();
  const worker = waiting!;
  waiting = null;
  worker.removeAllListeners();
  worker.ref();
  return worker;
}

/**
 * Does the whole sheet fold flat? Asked in a thread of its own, which is ended where the answer takes too long: that, a sheet too large
 * and an error are all an honest "undecided". Never throws.
 *
 * @param laws the laws known to be broken at single vertices
 */
export async function briefVerdict(pattern: Pattern, laws: readonly BrokenLaw[]): Promise<BriefVerdict> {
  if (pattern.creases.length > MOST_CREASES) return { foldability: without(laws, 'size'), laws };
  const answer = await ask(pattern);
  if ('why' in answer) return { foldability: without(laws, answer.why), laws };
  return { foldability: answer.foldability, laws: merged(laws, answer.broken) };
}

/** What is known without an answer: a broken law is enough to say no. */
function without(laws: readonly BrokenLaw[], why: NonNullable<Foldability['undecided']>['why']): Foldability {
  const known = { states: null, settled: { forced: 0, free: 0, unclear: 0 } };
  if (laws.length > 0) return { ...known, verdict: 'does-not', undecided: null };
  return { ...known, verdict: 'undecided', undecided: { why, faces: 0 } };
}

/** Both lists, each finding once. */
function merged(laws: readonly BrokenLaw[], more: readonly BrokenLaw[]): BrokenLaw[] {
  const named = ({ law, vertex, creases, at }: BrokenLaw): string => JSON.stringify([law, vertex ?? at, creases ?? []]);
  const known = new Set(laws.map(named));
  return [...laws, ...more.filter((law) => !known.has(named(law)))];
}

type Answer = BriefAnswer | { readonly why: 'time' | 'failed' };

function ask(pattern: Pattern): Promise<Answer> {
  return new Promise((resolve) => {
    const worker = takeWorker();
    let clock: NodeJS.Timeout | undefined;
    const end = (answer: Answer): void => {
      clearTimeout(clock);
      worker.removeAllListeners();
      // An error while it is being ended is of no interest.
      worker.on('error', () => {});
      void worker.terminate();
      resolve(answer);
    };
    worker.on('message', (message: FromBriefWorker) => {
      if ('begun' in message) clock = setTimeout(() => end({ why: 'time' }), END_MS);
      else end(message);
    });
    worker.once('error', () => end({ why: 'failed' }));
    worker.once('exit', () => end({ why: 'failed' }));
    worker.postMessage(pattern);
  });
}
