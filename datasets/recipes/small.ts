import type { PicturePoint } from '../../pipeline/types.ts';
import { composePage, printPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import { readBytes, resized, writeFileBytes } from './file.ts';
import type { Recipe } from './kinds.ts';
import { drawMargins, isTight } from './kinds.ts';
import { shortCreaseOf, sidesOf } from './page.ts';

/** Longest side of the whole picture, px. */
const SMALLEST = 480;
const LARGEST = 800;

/** A drawing passed on at phone size: shrunk, then saved with a strong JPEG, sometimes twice. */
export const small: Recipe = async (random, pattern, wide) => {
  const margins = drawMargins(random, 0.25);
  const sides = sidesOf(pattern);
  const longest = random.int(SMALLEST, LARGEST);
  const across = Math.max(margins.left + sides.width + margins.right, margins.top + sides.height + margins.bottom);
  const sidePx = longest / across;
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCreaseOf(pattern) * sidePx,
    thinnest: 0.9,
    widest: 4,
    dark: random.chance(0.06),
    edgeMayBeBare: isTight(margins),
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
