import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, rename, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { PatternFamily } from '../../datasets/patterns/patterns.ts';
import { isRectangle, sidesOf } from '../../datasets/recipes/page.ts';
import { type Notes, type PictureKind, renderPicture } from '../../datasets/recipes/recipes.ts';
import type { Pattern, PicturePoint } from '../../pipeline/types.ts';
import { benchPattern } from './choose.ts';

/** A rendered picture on disk with its truth, so that a second run of the bench need not render again. */
export interface StoredPicture {
  readonly kind: PictureKind;
  readonly seed: number;
  readonly name: string;
  readonly family: PatternFamily;
  /** File of the picture. */
  readonly file: string;
  readonly truth: Pattern;
  readonly outlineCorners: readonly PicturePoint[];
  /** True where custom tells mountain from valley; else the answer may be turned over. */
  readonly customary: boolean;
  /** False for rectangles and polygons. */
  readonly square: boolean;
  readonly notes: Notes;
}

const root = fileURLToPath(new URL('../../', import.meta.url));

/** Folder for pictures made by exactly this code: its name is a digest of the sources. */
export async function pictureFolder(): Promise<string> {
  const digest = createHash('sha256');
  for (const folder of ['datasets/patterns', 'datasets/recipes', 'scripts/bench']) {
    for (const file of (await readdir(join(root, folder))).sort()) {
      if (folder === 'scripts/bench' && file !== 'choose.ts') continue;
      if (file.endsWith('.ts')) digest.update(file).update(await readFile(join(root, folder, file)));
    }
  }
  const folder = join(root, 'out', 'bench', digest.digest('hex').slice(0, 12));
  await mkdir(folder, { recursive: true });
  return folder;
}

/** The picture of a kind and a seed: from the folder, or rendered now and kept there. */
export async function storedPicture(folder: string, kind: PictureKind, seed: number): Promise<StoredPicture> {
  const stem = join(folder, `${kind}-${seed}`);
  try {
    const known = JSON.parse(await readFile(`${stem}.json`, 'utf8')) as StoredPicture;
    // The folder may have been moved, or filled from another checkout.
    return { ...known, file: join(folder, basename(known.file)) };
  } catch {
    const named = benchPattern(kind, seed);
    const picture = await renderPicture(named.pattern, kind, seed);
    const file = `${stem}.${picture.format === 'jpeg' ? 'jpg' : picture.format}`;
    const stored: StoredPicture = {
      kind,
      seed,
      name: named.name,
      family: named.family,
      file,
      truth: picture.truth,
      outlineCorners: picture.outlineCorners,
      customary: picture.convention.customary,
      square: isSquare(named.pattern),
      notes: {
        ...picture.notes,
        creases: picture.truth.creases.length,
        divisions: named.pattern.lattice?.divisionsX ?? 0,
      },
    };
    await writeFile(file, picture.image);
    // The description appears last and whole, so a stopped run leaves nothing half made.
    await writeFile(`${stem}.part`, JSON.stringify(stored));
    await rename(`${stem}.part`, `${stem}.json`);
    return stored;
  }
}

function isSquare(pattern: Pattern): boolean {
  const sides = sidesOf(pattern);
  return isRectangle(pattern) && Math.abs(sides.width - sides.height) < 1e-9;
}
