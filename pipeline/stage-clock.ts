import { PlicaError } from './errors.ts';
import type { RecoverOptions, StageName } from './types.ts';

const ORDER: readonly StageName[] = [
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

/** Runs stages one by one: tells the progress, minds the cancel signal, and keeps the time of each in ms. */
export function stageClock(options: Pick<RecoverOptions, 'onProgress' | 'signal'>) {
  const timings: Record<string, number> = {};
  return {
    timings,
    async run<T>(stage: StageName, work: () => T | Promise<T>): Promise<T> {
      if (options.signal?.aborted) throw new PlicaError('cancelled', 'stopped as asked', 'start again when you like');
      options.onProgress?.(stage, ORDER.indexOf(stage) / ORDER.length);
      const start = performance.now();
      const result = await work();
      timings[stage] = (timings[stage] ?? 0) + performance.now() - start;
      return result;
    },
  };
}
