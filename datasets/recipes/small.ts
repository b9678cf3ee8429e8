import type { PicturePoint } from '../../pipeline/types.ts';
import { composePage, printPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import { readBytes, resized, writeFileBytes } from './file.ts';
import type { Margins, Recipe } from './kinds.ts';
import { drawMargins, isTight } from './kinds.ts';
import { isRectangle, shortCreaseOf, sidesOf } from './page.ts';

/** Longest side of the whole picture, px. */
const SMALLEST = 480;
const LARGEST = 800;
/** Fewer px than this for a short crease and no person could read the drawing. */
const READABLE = 7;
const NARROW: Margins = { left: 0.02, top: 0.02, right: 0.02, bottom: 0.02 };

/** A drawing passed on at phone size: shrunk, then saved with a strong JPEG, sometimes twice. */
export const small: Recipe = async (random, pattern, wide) => {
  const sides = sidesOf(pattern);
  let longest = random.int(SMALLEST, LARGEST);
  const shortCrease = shortCreaseOf(pattern);
  const sideOf = (m: Margins): number =>
    longest / Math.max(m.left + sides.width + m.right, m.top + sides.height + m.bottom);
  let margins = drawMargins(random, 0.25);
  // Dense drawings are not passed on with wide white borders.
  if (sideOf(margins) * shortCrease < READABLE) margins = NARROW;
  if (sideOf(margins) * shortCrease < READABLE) longest = LARGEST;
  const sidePx = sideOf(margins);
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCrease * sidePx,
    thinnest: 0.9,
    widest: 4,
    dark: random.chance(0.06),
    edgeMayBeBare: isTight(margins) && isRectangle(pattern),
  });
  const pagePx = random.chance(0.3) ? 1 : random.range(1.3, 4);
  const page = composePage(random, pattern, {
    sidePx: sidePx * pagePx,
    pagePx,
    margins,
    convention,
    furniture: random.chance(0.35),
    guideGrid: random.chance(0.06),
  });
  const print = await printPage(random.branch('route'), page);
  let { raster, corners } = print;
  const resize = async (scale: number): Promise<void> => {
    const [width, height] = [
      Math.max(1, Math.round(raster.width * scale)),
      Math.max(1, Math.round(raster.height * scale)),
    ];
    const [kx, ky] = [width / raster.width, height / raster.height];
    raster = await resized(raster, width, height, random.pick(['linear', 'cubic', 'mitchell', 'lanczos3'] as const));
    corners = corners.map(([x, y]): PicturePoint => [x * kx, y * ky]);
  };
  const quality = random.int(wide ? 32 : 35, 60);
  const twice = random.chance(0.35);
  if (pagePx !== 1) await resize(1 / pagePx);
  if (twice) {
    // Saved once at another size, then passed on.
    const detour = random.range(0.9, 1.5);
    await resize(detour);
    raster = await readBytes(
      await writeFileBytes(raster, { format: 'jpeg', quality: random.int(50, 80), thinColour: true }),
    );
    await resize(longest / Math.max(raster.width, raster.height));
  }
  return {
    image: await writeFileBytes(raster, { format: 'jpeg', quality, thinColour: true }),
    format: 'jpeg',
    corners,
    convention,
    notes: { ...print.notes, quality, twice, tight: isTight(margins) },
  };
};
