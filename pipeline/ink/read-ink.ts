import type { RecoverOptions, Sheet } from '../types.ts';
import { withoutColouredGrain } from './coloured-grain.ts';
import { findInk, type InkField, withLearnedLines } from './ink.ts';
import { runInkNetwork } from './learned.ts';
import { stretchPale } from './stretch.ts';

/** What is ink on the sheet: colours and densities by statistics, lines by the network unless the classical ink is asked for. */
export async function readInk(sheet: Sheet, options: Pick<RecoverOptions, 'ink' | 'signal'>): Promise<InkField> {
  const ink = findInk(sheet);
  if (options.ink === 'classical') return ink;
  // Grain is looked for after the stretch, which needs the colours that were measured.
  const seen = withoutColouredGrain(stretchPale(sheet, ink));
  return withLearnedLines(ink, await runInkNetwork(seen, options.signal, ink.strokeWidthPx, 'line'));
}
