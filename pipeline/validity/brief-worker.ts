/** One thread that answers for one pattern and is then ended. */
import { parentPort } from 'node:worker_threads';
import type { BrokenLaw, Foldability, Pattern } from '../types.ts';
import { checkFoldability, type SolvedKind } from './validity.ts';

export interface BriefAnswer {
  readonly foldability: Foldability;
  readonly broken: readonly BrokenLaw[];
}
export type FromBriefWorker = { readonly begun: true } | BriefAnswer;

/** Most recovered patterns take a tenth of this. */
const TIME_LIMIT_MS = 1500;
/** A number of states is nice to know, no more. */
const COUNT_LIMIT_MS = 60;

const port = parentPort!;
port.once('message', (pattern: Pattern) => {
  // Loading the program is not counted as time to decide in.
  port.postMessage({ begun: true } satisfies FromBriefWorker);
  port.postMessage(answer(pattern) satisfies FromBriefWorker);
});

function answer(pattern: Pattern): BriefAnswer {
  const { verdict, broken, states, kinds, undecided } = checkFoldability(pattern, {
    timeLimitMs: TIME_LIMIT_MS,
    countLimitMs: COUNT_LIMIT_MS,
    repairs: false,
  });
  const number = (how: SolvedKind['how']): number => kinds.filter((kind) => kind.how === how).length;
  return {
    broken,
    foldability: {
      verdict,
      states: states && { count: String(states.count), atLeast: states.atLeast },
      settled: { forced: number('forced'), free: number('free'), unclear: number('unclear') },
      undecided: undecided && { why: undecided.why, faces: undecided.faces.length },
    },
  };
}
