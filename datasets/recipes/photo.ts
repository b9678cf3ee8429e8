import { composePage, printPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import { drawBend, drawView, photograph } from './deskPhoto.ts';
import { drawMargins, isTight, type Recipe } from './kinds.ts';
import { isRectangle, shortCreaseOf } from './page.ts';
import { foldMarks } from './wear.ts';

/** Fewer px than this for a short crease and no person could read the photograph. */
const READABLE = 9;
const CURLED = 0.4;
/** Share of sheets that were folded before. */
const OPENED_OUT = 0.15;

/** A printed sheet on a desk, through a telephone's lens. */
export const photo: Recipe = async (random, pattern, wide) => {
  const shortCrease = shortCreaseOf(pattern);
  const margins = drawMargins(random, 0.35);
  const view = drawView(random.branch('view'), wide, READABLE / shortCrease);
  const sidePx = Math.min(view.width, view.height) * view.fill;
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCrease * sidePx * 0.85,
    thinnest: 1.5,
    widest: Math.min(12, 0.008 * sidePx),
    dark: false,
    edgeMayBeBare: isTight(margins) && isRectangle(pattern),
  });
  const pagePx = random.range(1.15, 1.6);
  const folded = random.chance(OPENED_OUT);
  const wear = random.branch('folds');
  const page = composePage(random, pattern, {
    sidePx: sidePx * pagePx,
    pagePx,
    margins,
    convention,
    furniture: random.chance(0.35),
    guideGrid: random.chance(0.08),
    under: ({ width, height }) => (folded ? foldMarks(wear, width, height, pagePx) : []),
  });
  const print = await printPage(random.branch('route'), page);
  const bend = random.chance(CURLED) ? drawBend(random, wide) : null;
  const taken = await photograph(random, print, convention, { ...view, bend });
  return { ...taken, notes: { ...taken.notes, tight: isTight(margins), foldMarks: folded } };
};
