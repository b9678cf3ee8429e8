import { setImmediate } from 'node:timers/promises';
import type { RecoverOptions, Sheet } from '../types.ts';
import { findInk, type InkField, withLearnedLines } from './ink.ts';
import { BROAD_STROKE, type LearnedInk, prepareInkNetwork, runInkNetwork } from './learned.ts';
import { regainBorder } from './lost-border.ts';
import { stretchPale } from './stretch.ts';

/** Starts what `readInk` needs ahead of time, in threads of its own. */
export function prepareInk({ ink }: Pick<RecoverOptions, 'ink'>): void {
  // Whoever reads the ink waits for the same start and is told of its errors.
  if (ink !== 'classical') prepareInkNetwork().catch(() => undefined);
}

/** What is ink on the sheet: colours and densities by statistics, lines by the network unless the classical ink is asked for. */
export async function readInk(sheet: Sheet, options: Pick<RecoverOptions, 'ink' | 'signal'>): Promise<InkField> {
  if (options.ink === 'classical') return findInk(sheet);
  // The network's threads look at the sheet as it is while the statistics are made: only pale or broad strokes ask for another one.
  const plain = await startReading(sheet, options.signal);
  const ink = findInk(sheet);
  const raster = stretchPale(sheet, ink);
  if (raster === sheet.raster && ink.strokeWidthPx <= BROAD_STROKE)
    return regainBorder(withLearnedLines(ink, await plain.reading), sheet);
  plain.stop();
  const learned = await runInkNetwork(raster, options.signal, ink.strokeWidthPx, 'line');
  return regainBorder(withLearnedLines(ink, learned), sheet);
}

/** A reading under way, which can be given up. */
interface Started {
  readonly reading: Promise<LearnedInk>;
  readonly stop: () => void;
}

async function startReading(sheet: Sheet, signal: AbortSignal | undefined): Promise<Started> {
  const ending = new AbortController();
  const either = signal ? AbortSignal.any([signal, ending.signal]) : ending.signal;
  const reading = runInkNetwork(sheet.raster, either, 1, 'line');
  // Whoever stops it does not ask what came of it.
  reading.catch(() => undefined);
  // The threads' word that they are ready has to be heard, and their tiles sent, before this thread is busy.
  await setImmediate();
  await setImmediate();
  return { reading, stop: () => ending.abort() };
}
