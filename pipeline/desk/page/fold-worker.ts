/** Decides foldability beside the page, so that mending stays quick. */
import type { Pattern } from '../../types.ts';
import { type Judgement, judge } from '../work/judge.ts';

interface Scope {
  onmessage: ((event: MessageEvent<Pattern>) => void) | null;
  postMessage(message: Judgement): void;
}

const scope = self as unknown as Scope;
scope.onmessage = ({ data }) => scope.postMessage(judge(data));
