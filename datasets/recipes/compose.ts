import type { Pattern, PicturePoint, Raster } from '../../pipeline/types.ts';
import type { Convention } from './convention.ts';
import type { Drawing, Mark, Placement, Rgb } from './drawing.ts';
import { placed } from './drawing.ts';
import { furnitureMarks, labelMarks } from './furniture.ts';
import type { Margins, Notes } from './kinds.ts';
import { creaseMarks, drawStyle, outlineOf, shortCreaseOf, sidesOf } from './page.ts';
import { drawByDistance } from './paintRoute.ts';
import { handMarks, type Pen } from './pen.ts';
import type { Random } from './random.ts';
import { drawAsSvg } from './svgRoute.ts';

export interface PageOrder {
  /** Longest side of the pattern on this page, page px. */
  readonly sidePx: number;
  /** Page px per px of the finished picture: strokes are given in finished px. */
  readonly pagePx: number;
  readonly margins: Margins;
  readonly convention: Convention;
  /** Words, arrows and marks beside the pattern. */
  readonly furniture: boolean;
  readonly guideGrid: boolean;
  /** Colour of the sheet where it is not the page's. */
  readonly sheet?: Rgb;
  /** A hand in place of a printer. */
  readonly pen?: Pen;
  /** Marks under everything else: ruled paper, a program's window. */
  readonly under?: (page: { width: number; height: number; at: Placement }) => readonly Mark[];
}

export interface Page {
  readonly drawing: Drawing;
  readonly at: Placement;
  /** Corners of the outline, page px, in pattern order. */
  readonly corners: readonly PicturePoint[];
  readonly notes: Notes;
}

/** A hand is no wilder on wide open drawings than on ones with creases of this length, shares of the side. */
const CARE = 0.1;
/** Share of drawings whose program marks every vertex. */
const DOTTED = 0.04;
/** Share of pages with a few letters or arrows on the pattern itself. */
const LABELLED = 0.04;

export function composePage(random: Random, pattern: Pattern, order: PageOrder): Page {
  const sides = sidesOf(pattern);
  const { sidePx, margins, convention, pagePx } = order;
  const width = Math.max(1, Math.round(sidePx * (margins.left + sides.width + margins.right)));
  const height = Math.max(1, Math.round(sidePx * (margins.top + sides.height + margins.bottom)));
  const at: Placement = {
    scale: sidePx,
    originX: sidePx * margins.left,
    originY: height - sidePx * margins.bottom,
  };
  const outline = outlineOf(pattern);
  const corners = outline.map(([x, y]) => placed(at, x, y));
  const shortCrease = (shortCreaseOf(pattern) * sidePx) / pagePx;
  const style = { ...drawStyle(random, convention, shortCrease), pagePx };
  const marks: Mark[] = [];
  if (order.under) marks.push(...order.under({ width, height, at }));
  if (order.sheet) marks.push({ mark: 'shape', points: corners.flat(), colour: order.sheet, opacity: 1 });
  if (order.guideGrid) marks.push(...gridMarks(random, pattern, convention, at, pagePx));
  const care = Math.min(shortCrease * pagePx, CARE * sidePx);
  if (order.pen) marks.push(...handMarks(random, pattern, convention, at, order.pen, pagePx, care));
  else marks.push(...creaseMarks(random, pattern, convention, at, style));
  const dotted = !order.pen && random.chance(DOTTED);
  if (dotted) marks.push(...vertexDots(random, pattern, convention, at, pagePx));
  const labelled = random.chance(LABELLED);
  if (labelled) marks.push(...labelMarks(random, { width, height, at, sides, convention, pagePx }));
  if (order.furniture) {
    marks.push(
      ...furnitureMarks(random, { width, height, at, sides, convention, pagePx, divisions: squareDivisions(pattern) }),
    );
  }
  return {
    drawing: { width, height, ground: convention.ground, marks },
    at,
    corners,
    notes: {
      ...(order.pen
        ? { pen: order.pen.name, ruler: order.pen.ruler }
        : { byRun: style.byRun, stopsShort: style.short > 0 }),
      guideGrid: order.guideGrid,
      furniture: order.furniture,
      labelled,
      dotted,
      strokeWidth: Math.round(convention.mountain.width * 100) / 100,
      shortCreasePx: Math.round(shortCrease * 10) / 10,
    },
  };
}

/** Divisions of the grid the pattern lives on; 0 for none. */
export function squareDivisions({ lattice }: Pattern): number {
  return lattice?.kind === 'square' ? lattice.divisionsX : 0;
}

/** A small disc on every vertex, as some drawing programs leave them. */
function vertexDots(random: Random, pattern: Pattern, convention: Convention, at: Placement, pagePx: number): Mark[] {
  const radius = convention.mountain.width * pagePx * random.range(0.8, 1.4);
  const colour = (convention.edge ?? convention.mountain).colour;
  return pattern.vertices.map(([x, y]) => {
    const [px, py] = placed(at, x, y);
    const points = Array.from({ length: 12 }, (_, i) => [
      px + radius * Math.cos((i * Math.PI) / 6),
      py + radius * Math.sin((i * Math.PI) / 6),
    ]);
    return { mark: 'shape', points: points.flat(), colour, opacity: 1 };
  });
}

/** The printed grid that many designs are drawn over: paler and thinner than any crease. */
function gridMarks(random: Random, pattern: Pattern, convention: Convention, at: Placement, pagePx: number): Mark[] {
  const sides = sidesOf(pattern);
  const divisions = squareDivisions(pattern) || random.pick([8, 12, 16, 20]);
  const step = sides.width / divisions;
  const shift = random.range(28, 55);
  const dark = convention.ground[0] < 128;
  const colour = convention.ground.map((part) => (dark ? part + shift : part - shift)) as unknown as Rgb;
  const width = Math.max(0.7, convention.guide.width * random.range(0.6, 1)) * pagePx;
  const lines: number[][] = [];
  for (let i = 0; i * step <= sides.width + 1e-9; i++)
    lines.push([...placed(at, i * step, 0), ...placed(at, i * step, sides.height)]);
  for (let i = 0; i * step <= sides.height + 1e-9; i++)
    lines.push([...placed(at, 0, i * step), ...placed(at, sides.width, i * step)]);
  return lines.map((points) => ({
    mark: 'stroke',
    points,
    width,
    colour,
    opacity: 1,
    dash: [],
    dashOffset: 0,
    cap: 'butt',
  }));
}

/** A page as pixels, before paper, light and camera. */
export interface Print {
  readonly raster: Raster;
  readonly corners: readonly PicturePoint[];
  readonly notes: Notes;
}

/** Above this many pixels only librsvg is asked, for memory's sake. */
const LARGEST_PAINTED = 24_000_000;

/** Pixels by one of the two independent renderers; `crisp` asks for hard pixel edges, as old programs draw. */
export async function printPage(random: Random, page: Page, crisp = false): Promise<Print> {
  const { drawing, corners } = page;
  if (crisp)
    return { raster: await drawAsSvg(drawing, true), corners, notes: { ...page.notes, route: 'svg, hard edges' } };
  const route = random.weigh([
    ['svg', 5],
    ['distance', 3],
    ['distance-light', 2],
  ] as const);
  if (route === 'svg' || drawing.width * drawing.height > LARGEST_PAINTED)
    return { raster: await drawAsSvg(drawing), corners, notes: { ...page.notes, route: 'svg' } };
  const raster = drawByDistance(drawing, route === 'distance' ? 'display' : 'light');
  return { raster, corners, notes: { ...page.notes, route } };
}
