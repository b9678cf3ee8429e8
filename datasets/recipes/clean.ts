import { composePage, printPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import type { FileOrder } from './file.ts';
import { writeFileBytes, writeSeeThrough } from './file.ts';
import type { Recipe } from './kinds.ts';
import { drawMargins, isTight } from './kinds.ts';
import { isRectangle, shortCreaseOf } from './page.ts';
import { windowMargins, windowMarks } from './window.ts';

/** Share of very large pictures, which are slow to make. */
const VERY_LARGE = 0.03;
/** Share of screenshots with a program's window around the drawing. */
const IN_WINDOW = 0.06;
/** Share drawn with hard pixel edges. Strokes thinner than CRISP_FROM px would break up, and widths are no longer told apart. */
const CRISP = 0.06;
const CRISP_FROM = 1.5;
/** Share of PNG files with a see-through ground. */
const SEE_THROUGH = 0.12;
/** Fewer px than this for a short crease and no person could read the drawing. */
const READABLE = 7;

/** A drawing as a program exports it: every pixel where the drawing put it. */
export const clean: Recipe = async (random, pattern, wide) => {
  const inWindow = random.chance(IN_WINDOW);
  const margins = inWindow ? windowMargins(random) : drawMargins(random, 0.15);
  const shortCrease = shortCreaseOf(pattern);
  let sidePx = random.chance(VERY_LARGE) ? random.range(4500, 7200) : random.ratio(440, wide ? 4200 : 3200);
  sidePx = Math.max(sidePx, READABLE / shortCrease);
  const dark = random.chance(0.08);
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCrease * sidePx,
    thinnest: 1,
    widest: Math.min(12, 0.011 * sidePx),
    dark,
    edgeMayBeBare: isTight(margins) && isRectangle(pattern),
  });
  const window = random.branch('window');
  const page = composePage(random, pattern, {
    sidePx,
    pagePx: 1,
    margins,
    convention,
    furniture: random.chance(0.4),
    guideGrid: random.chance(0.12),
    under: ({ width, height, at }) =>
      inWindow ? windowMarks(window, width, height, at, convention.ground, false) : [],
  });
  const crisp = random.chance(CRISP) && convention.mountain.width >= CRISP_FROM && convention.name !== 'thick-thin';
  const { raster, corners, notes } = await printPage(random.branch('route'), page, crisp);
  const file: FileOrder = {
    format: random.weigh([
      ['png', 6],
      ['jpeg', 4],
      ['webp', 1],
    ]),
    quality: random.int(85, 98),
    thinColour: random.chance(0.5),
  };
  const seeThrough = file.format === 'png' && !dark && !inWindow && random.chance(SEE_THROUGH);
  return {
    image: seeThrough ? await writeSeeThrough(raster) : await writeFileBytes(raster, file),
    format: file.format,
    corners,
    convention,
    notes: { ...notes, dark, seeThrough, inWindow, tight: isTight(margins), quality: file.quality },
  };
};
