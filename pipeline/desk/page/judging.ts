import type { Pattern } from '../../types.ts';
import type { Judgement } from '../work/judge.ts';

/** Edits in a row are judged once, ms. */
const PAUSE_MS = 120;

/** Judges the latest pattern; one that is still being judged is dropped when the next comes. */
export function makeJudging(tell: (judgement: Judgement | 'failed') => void): (pattern: Pattern) => void {
  let worker: Worker | null = null;
  let busy = false;
  let pause = 0;
  return (pattern) => {
    clearTimeout(pause);
    if (busy) {
      worker?.terminate();
      worker = null;
      busy = false;
    }
    pause = window.setTimeout(() => {
      worker ??= new Worker(new URL('./fold-worker.ts', import.meta.url), { type: 'module' });
      const own = worker;
      busy = true;
      own.onmessage = ({ data }: MessageEvent<Judgement>) => {
        if (own !== worker) return;
        busy = false;
        tell(data);
      };
      own.onerror = () => {
        if (own !== worker) return;
        worker = null;
        busy = false;
        tell('failed');
      };
      own.postMessage(pattern);
    }, PAUSE_MS);
  };
}
