/** The folded form of a pattern that folds flat: pictures and FOLD. */
import sharp from 'sharp';
import { PlicaError } from '../errors.ts';
import { foldText } from '../formats/fold.ts';
import type { Pattern } from '../types.ts';
import { foldedState, selectableStates } from '../validity/choose-state.ts';
import { withSolvedKinds } from '../validity/solved-kinds.ts';
import type { FoldedSheet } from '../validity/verdict.ts';
import { drawFolded, drawNumberedPattern } from './drawing.ts';
import { toFoldedFold } from './folded-fold.ts';

export interface FoldedFile {
  /** What comes after the pattern's name: front.svg, back.png, folded.fold and so on. */
  readonly ending: string;
  readonly content: string | Uint8Array;
}

export interface FoldedFilesOptions {
  /** Name for titles. */
  readonly title: string;
  /** Layer order to show, from 1; default the one that was found. */
  readonly state?: number;
}

/** Longest side of the pictures, px. */
const PICTURE_PX = 1600;
const PX_PER_INCH = 300;

/**
 * Everything to look at of a folded sheet: front, back, see-through view and the pattern with numbered faces, each as SVG and PNG, and a
 * FOLD file with the folded form and the order of its faces.
 *
 * @throws PlicaError 'bad-option' where there is no state of that number
 */
export async function foldedFiles(
  pattern: Pattern,
  sheet: FoldedSheet,
  { title, state }: FoldedFilesOptions,
): Promise<FoldedFile[]> {
  const shown = state === undefined ? sheet : pickState(sheet, state);
  const solved = withSolvedKinds(pattern, shown);
  const drawings = [
    ['front', drawFolded(solved, shown, 'front', `${title}, folded, front`)],
    ['back', drawFolded(solved, shown, 'back', `${title}, folded, back`)],
    ['through', drawFolded(solved, shown, 'through', `${title}, folded, seen through`)],
    ['faces', drawNumberedPattern(solved, shown, `${title}, faces`)],
  ] as const;
  const files: FoldedFile[] = [{ ending: 'folded.fold', content: foldText(toFoldedFold(solved, shown, title)) }];
  for (const [view, svg] of drawings) {
    files.push({ ending: `${view}.svg`, content: svg });
    const png = await sharp(Buffer.from(svg), { density: PX_PER_INCH })
      .resize({ width: PICTURE_PX, height: PICTURE_PX, fit: 'inside' })
      .png()
      .toBuffer();
    files.push({ ending: `${view}.png`, content: png });
  }
  return files;
}

/** Endings of `foldedFiles`, known before anything is computed. */
export const FOLDED_ENDINGS: readonly string[] = [
  'folded.fold',
  ...['front', 'back', 'through', 'faces'].flatMap((view) => [`${view}.svg`, `${view}.png`]),
];

function pickState(sheet: FoldedSheet, state: number): FoldedSheet {
  const most = selectableStates(sheet);
  if (BigInt(state) > most) {
    const range = most === 1n ? 'only state 1 can be shown' : `states 1 to ${most} can be shown`;
    throw new PlicaError('bad-option', `there is no state ${state} to show`, range);
  }
  return foldedState(sheet, BigInt(state - 1));
}
