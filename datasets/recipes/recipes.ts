import type { Pattern, PicturePoint } from '../../pipeline/types.ts';
import { clean } from './clean.ts';
import type { Convention } from './convention.ts';
import { kindInPicture } from './convention.ts';
import type { FileFormat } from './file.ts';
import { hand } from './hand.ts';
import type { Notes, PictureKind, Recipe } from './kinds.ts';
import { photo } from './photo.ts';
import { seededRandom } from './random.ts';
import { scan } from './scan.ts';
import { screen } from './screen.ts';
import { small } from './small.ts';

export type { Convention } from './convention.ts';
export type { Notes, PictureKind } from './kinds.ts';
export { pictureKinds } from './kinds.ts';

export interface RenderedPicture {
  readonly image: Buffer;
  readonly format: FileFormat;
  /** What a perfect reader of this picture would find: kinds that the drawing does not tell apart are U. */
  readonly truth: Pattern;
  /** Picture px, in pattern order: bottom left first, counterclockwise on the sheet. */
  readonly outlineCorners: readonly PicturePoint[];
  readonly convention: Convention;
  readonly notes: Notes;
}

const recipes: Readonly<Record<PictureKind, Recipe>> = {
  clean,
  small,
  scan,
  photo,
  hand,
  screen,
};

/** From this seed on, pictures belong to the held-back slice, and some ranges are wider. */
export const HELD_BACK_FROM = 1_000_000;

/**
 * Make one picture of a pattern, as people share them. The same pattern, kind and seed give the same bytes on the same machine
 * (type faces differ between machines).
 */
export async function renderPicture(pattern: Pattern, kind: PictureKind, seed: number): Promise<RenderedPicture> {
  const random = seededRandom(seed, kind);
  const taken = await recipes[kind](random, pattern, seed >= HELD_BACK_FROM);
  const truth: Pattern = {
    ...pattern,
    creases: pattern.creases.map((crease) => ({ ...crease, kind: kindInPicture(taken.convention, crease.kind) })),
  };
  return {
    image: taken.image,
    format: taken.format,
    truth,
    outlineCorners: taken.corners,
    convention: taken.convention,
    notes: {
      convention: taken.convention.name,
      customary: taken.convention.customary,
      edgeDrawn: taken.convention.edge !== null,
      ...taken.notes,
    },
  };
}
