import { composePage, printPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import { drawMargins, isTight, type Recipe } from './kinds.ts';
import { isRectangle, shortCreaseOf } from './page.ts';
import { scanPrint } from './scanner.ts';
import { addShowThrough, dustMarks, foldMarks } from './wear.ts';

/** Fewer px than this for a short crease and no person could read the scan. */
const READABLE = 9;
const LARGEST_SIDE = 4200;
/** Share of sheets that were folded before. */
const OPENED_OUT = 0.08;

/** A printed sheet on a flat-bed scanner. */
export const scan: Recipe = async (random, pattern, wide) => {
  const margins = drawMargins(random, 0.12);
  const shortCrease = shortCreaseOf(pattern);
  const dpi = random.weigh([
    [150, 4],
    [200, 3],
    [300, 4],
    [600, 0.5],
  ]);
  // Printed sides between 10 cm and 20 cm.
  const printed = (random.range(10, 20) / 2.54) * dpi;
  const sidePx = Math.min(LARGEST_SIDE, Math.max(printed, READABLE / shortCrease));
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCrease * sidePx,
    thinnest: 1,
    widest: Math.min(12, 0.009 * sidePx),
    dark: false,
    edgeMayBeBare: isTight(margins) && isRectangle(pattern),
  });
  const pagePx = random.range(1, 1.3);
  const dust = random.branch('dust');
  const folded = random.chance(OPENED_OUT);
  const wear = random.branch('folds');
  const page = composePage(random, pattern, {
    sidePx: sidePx * pagePx,
    pagePx,
    margins,
    convention,
    furniture: random.chance(0.5),
    guideGrid: random.chance(0.08),
    under: ({ width, height }) => [
      ...dustMarks(dust, width, height, pagePx),
      ...(folded ? foldMarks(wear, width, height, pagePx) : []),
    ],
  });
  const print = await printPage(random.branch('route'), page);
  const showThrough = random.chance(0.2);
  if (showThrough) await addShowThrough(random.branch('back'), print.raster);
  const taken = await scanPrint(random, print, convention, margins, pagePx, wide);
  return { ...taken, notes: { ...taken.notes, dpi, showThrough, tight: isTight(margins), foldMarks: folded } };
};
