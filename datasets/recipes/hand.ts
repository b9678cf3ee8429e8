import type { Pattern } from '../../pipeline/types.ts';
import { composePage, printPage } from './compose.ts';
import { type Convention, drawConvention } from './convention.ts';
import { drawBend, drawView, photograph } from './deskPhoto.ts';
import type { Mark, Placement, Rgb } from './drawing.ts';
import { drawMargins, isTight, type Recipe } from './kinds.ts';
import { isRectangle, shortCreaseOf } from './page.ts';
import { drawPen, type Pen } from './pen.ts';
import type { Random } from './random.ts';
import { scanPrint } from './scanner.ts';
import { grainInk } from './wear.ts';

/** Nobody draws creases nearer together than this by hand, px of the finished picture. */
const READABLE = 16;

/** Drawn by hand on plain, squared or ruled paper, then scanned or photographed. */
export const hand: Recipe = async (random, pattern, wide) => {
  const shortCrease = shortCreaseOf(pattern);
  const pen = drawPen(random.branch('pen'), wide);
  const margins = drawMargins(random, 0.2);
  const scanned = random.chance(0.45);
  const view = drawView(random.branch('view'), wide, READABLE / shortCrease);
  const sidePx = scanned
    ? Math.max(random.range(1000, 2400), READABLE / shortCrease)
    : Math.min(view.width, view.height) * view.fill;
  const convention = penInk(
    random.branch('convention'),
    shortCrease * sidePx,
    sidePx,
    pen,
    isTight(margins) && isRectangle(pattern),
  );
  const pagePx = random.range(1.1, 1.5);
  const ruling = random.weigh([
    ['plain', 6],
    ['squared', 3],
    ['ruled', 1],
  ] as const);
  const ruler = random.branch('ruling');
  const page = composePage(random, pattern, {
    sidePx: sidePx * pagePx,
    pagePx,
    margins,
    convention,
    furniture: false,
    guideGrid: false,
    pen,
    under: ({ width, height, at }) =>
      ruling === 'plain' ? [] : rulingMarks(ruler, ruling, width, height, at, pattern, pagePx),
  });
  const print = await printPage(random.branch('route'), page);
  if (pen.grain > 0) grainInk(print.raster, [...convention.ground], pen.grain, pagePx, random.int(1, 1 << 30));
  const taken = scanned
    ? await scanPrint(random, print, convention, margins, pagePx, wide)
    : await photograph(random, print, convention, {
        ...view,
        bend: random.chance(0.3) ? drawBend(random, wide) : null,
      });
  const { subkind, ...notes } = taken.notes;
  return {
    ...taken,
    notes: { ...notes, taken: scanned ? 'scan' : `photo ${subkind}`, ruling, tight: isTight(margins) },
  };
};

/** Inks that the tool can make: a pencil has greys only. */
function penInk(random: Random, shortCrease: number, sidePx: number, pen: Pen, edgeMayBeBare: boolean): Convention {
  const grey = pen.name === 'pencil';
  const drawn = drawConvention(random, {
    shortCrease,
    thinnest: 2,
    widest: Math.max(2.4, sidePx * (pen.name === 'felt-tip' ? 0.008 : 0.0045)),
    dark: false,
    edgeMayBeBare,
    names: grey
      ? ['dashes', 'solid-dashed', 'one-ink']
      : ['two-colours', 'dashes', 'dashes-two-inks', 'solid-dashed', 'one-ink'],
  });
  if (!grey || drawn.name === 'two-colours') return drawn;
  const level = random.range(45, 85);
  const lead: Rgb = [level, level, level + 4];
  return {
    ...drawn,
    mountain: { ...drawn.mountain, colour: lead },
    valley: { ...drawn.valley, colour: lead },
    edge: drawn.edge && { ...drawn.edge, colour: lead },
  };
}

/** Printed squares or rules over the whole page. Squares fall on the pattern's grid, as one would draw it, or anywhere. */
function rulingMarks(
  random: Random,
  ruling: 'squared' | 'ruled',
  width: number,
  height: number,
  at: Placement,
  pattern: Pattern,
  pagePx: number,
): Mark[] {
  const divisions = pattern.lattice?.kind === 'square' ? pattern.lattice.divisionsX : 0;
  const onGrid = divisions > 0 && random.chance(0.7);
  const step = onGrid ? (at.scale / divisions) * random.pick([1, 1, 0.5]) : at.scale / random.range(18, 34);
  const [startX, startY] = onGrid
    ? [at.originX % step, at.originY % step]
    : [random.range(0, step), random.range(0, step)];
  const colour = random.pick<Rgb>([
    [188, 208, 232],
    [196, 222, 204],
    [214, 214, 218],
    [228, 200, 190],
  ]);
  const lines: number[][] = [];
  for (let y = startY; y < height; y += step) lines.push([0, y, width, y]);
  if (ruling === 'squared') for (let x = startX; x < width; x += step) lines.push([x, 0, x, height]);
  return lines.map((points) => ({
    mark: 'stroke',
    points,
    width: pagePx * 1.1,
    colour,
    opacity: 1,
    dash: [],
    dashOffset: 0,
    cap: 'butt',
  }));
}
