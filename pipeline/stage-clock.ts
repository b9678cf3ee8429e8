import { PlicaError } from './errors.ts';
import type { RecoverOptions, StageName } from './types.ts';

export const STAGE_ORDER: readonly StageName[] = [
  'intake',
  'rectify',
  'ink',
  'strokes',
  'lattice',
  'graph',
  'kinds',
  'resolve',
  'validity',
  'report',
];

/** Is told what came of a stage. */
export type StageWatcher = (stage: StageName, result: unknown) => Promise<void>;

/**
 * Runs stages: tells the progress, which never falls where a stage runs again, minds the cancel signal, and keeps the time of each in ms, from its start to its end
 * also where two overlap.
 *
 * @param watch is told every result; its time is not counted
 */
export function stageClock(options: Pick<RecoverOptions, 'onProgress' | 'signal'>, watch?: StageWatcher) {
  const timings: Record<string, number> = {};
  let share = 0;
  return {
    timings,
    async run<T>(stage: StageName, work: () => T | Promise<T>): Promise<T> {
      if (options.signal?.aborted) throw new PlicaError('cancelled', 'stopped as asked', 'start again when you like');
      share = Math.max(share, STAGE_ORDER.indexOf(stage) / STAGE_ORDER.length);
      options.onProgress?.(stage, share);
      const start = performance.now();
      const result = await work();
      timings[stage] = (timings[stage] ?? 0) + performance.now() - start;
      await watch?.(stage, result);
      return result;
    },
  };
}
