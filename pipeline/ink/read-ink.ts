import type { RecoverOptions, Sheet } from '../types.ts';
import { findInk, type InkField, withLearnedLines } from './ink.ts';
import { prepareInkNetwork, runInkNetwork } from './learned.ts';
import { stretchPale } from './stretch.ts';

/** Starts what `readInk` needs ahead of time, in threads of its own. */
export function prepareInk({ ink }: Pick<RecoverOptions, 'ink'>): void {
  // Whoever reads the ink waits for the same start and is told of its errors.
  if (ink !== 'classical') prepareInkNetwork().catch(() => undefined);
}

/** What is ink on the sheet: colours and densities by statistics, lines by the network unless the classical ink is asked for. */
export async function readInk(sheet: Sheet, options: Pick<RecoverOptions, 'ink' | 'signal'>): Promise<InkField> {
  const ink = findInk(sheet);
  if (options.ink === 'classical') return ink;
  return withLearnedLines(ink, await runInkNetwork(stretchPale(sheet, ink), options.signal, ink.strokeWidthPx, 'line'));
}
