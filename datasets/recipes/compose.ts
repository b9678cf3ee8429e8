import type { Pattern, PicturePoint, Raster } from '../../pipeline/types.ts';
import type { Convention } from './convention.ts';
import type { Drawing, Mark, Placement, Rgb } from './drawing.ts';
import { placed } from './drawing.ts';
import { furnitureMarks } from './furniture.ts';
import { creaseMarks, drawStyle, outlineOf, shortCreaseOf, sidesOf } from './page.ts';
import { drawByDistance } from './paintRoute.ts';
import type { Random } from './random.ts';
import { drawAsSvg } from './svgRoute.ts';

/** White space around the pattern, in shares of its longest side. */
export interface Margins {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

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
}

export interface Page {
  readonly drawing: Drawing;
  readonly at: Placement;
  /** Corners of the outline, page px, in pattern order. */
  readonly corners: readonly PicturePoint[];
  readonly notes: Readonly<Record<string, string | number | boolean>>;
}

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
  if (order.sheet) marks.push({ mark: 'shape', points: corners.flat(), colour: order.sheet, opacity: 1 });
  if (order.guideGrid) marks.push(...gridMarks(random, pattern, convention, at, pagePx));
  marks.push(...creaseMarks(random, pattern, convention, at, style));
  if (order.furniture) {
    marks.push(...furnitureMarks(random, { width, height, at, sides, convention, pagePx }));
  }
  return {
    drawing: { width, height, ground: convention.ground, marks },
    at,
    corners,
    notes: {
      byRun: style.byRun,
      stopsShort: style.short > 0,
      guideGrid: order.guideGrid,
      furniture: order.furniture,
      strokeWidth: Math.round(convention.mountain.width * 100) / 100,
      shortCreasePx: Math.round(shortCrease * 10) / 10,
    },
  };
}

/** The printed grid that many designs are drawn over: paler and thinner than any crease. */
function gridMarks(random: Random, pattern: Pattern, convention: Convention, at: Placement, pagePx: number): Mark[] {
  const sides = sidesOf(pattern);
  const lattice = pattern.lattice;
  const divisions =
    lattice?.kind === 'square' && lattice.divisionsX > 0 ? lattice.divisionsX : random.pick([8, 12, 16, 20]);
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

/** Pixels by one of the two independent renderers. Above this many pixels only librsvg is asked, for memory's sake. */
const LARGEST_PAINTED = 24_000_000;

export async function drawPage(random: Random, drawing: Drawing): Promise<{ raster: Raster; route: string }> {
  const route = random.pick(['svg', 'distance', 'distance-light'] as const);
  if (route === 'svg' || drawing.width * drawing.height > LARGEST_PAINTED || random.chance(0.15))
    return { raster: await drawAsSvg(drawing), route: 'svg' };
  return { raster: drawByDistance(drawing, route === 'distance' ? 'display' : 'light'), route };
}
