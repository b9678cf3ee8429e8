/** The drawings of `fixtures`: all have the sheet at the same place. */
import { fileURLToPath } from 'node:url';
import { readPicture } from '../../pipeline/intake/intake.ts';
import { type PossibleLegend, possibleLegends } from '../../pipeline/legend/legend.ts';
import { sheetWith } from '../unit-sheet.ts';

const SHEET_PX = 440;
const MARGIN_PX = 40;

export const GROUND = { strokeWidthPx: 2, paperColour: [255, 255, 255], lightOnDark: false } as const;

export function drawing(name: string): string {
  return fileURLToPath(new URL(`fixtures/${name}.png`, import.meta.url));
}

export async function legendsBeside(name: string): Promise<PossibleLegend[]> {
  return possibleLegends(await readPicture(drawing(name), {}), sheetWith(SHEET_PX, MARGIN_PX), GROUND);
}
