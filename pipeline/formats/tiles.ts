import { PlicaError } from '../errors.ts';

export type PaperSize = 'a4' | 'letter';

/** Where the pattern falls on pages. Millimetres, origin bottom left of the page, y up. */
export interface PageLayout {
  readonly pageWidthMm: number;
  readonly pageHeightMm: number;
  /** The part of a page that shows the pattern. */
  readonly windowXMm: number;
  readonly windowYMm: number;
  readonly windowWidthMm: number;
  readonly windowHeightMm: number;
  /** Base line of the ruler. */
  readonly footerYMm: number;
  readonly overlapMm: number;
  readonly rows: number;
  readonly columns: number;
  /** Row by row from the top, left to right; which point of the sheet (mm, y up) lies at the window's bottom left. */
  readonly tiles: readonly {
    readonly row: number;
    readonly column: number;
    readonly fromXMm: number;
    readonly fromYMm: number;
  }[];
}

/** ISO 216; ANSI/ASME Y14.1 (8.5 x 11 in). */
const PAPER_MM: Readonly<Record<PaperSize, readonly [number, number]>> = { a4: [210, 297], letter: [215.9, 279.4] };
/** Desk printers cannot print nearer to the edge. */
const MARGIN_MM = 10;
/** Ruler and two lines of text under the window. */
const FOOTER_MM = 16;
const RULER_ABOVE_MARGIN_MM = 9;
/** Enough to glue. */
const OVERLAP_MM = 10;
/** Half the thickest line, so that edges are not cut. */
const BLEED_MM = 0.5;
/** A wall's worth of paper: more is a mistyped size. */
const MAX_PAGES = 400;

/**
 * Splits a sheet over pages, upright or sideways, whichever takes fewer.
 *
 * @throws PlicaError `bad-option` where it would take hundreds of pages
 */
export function layOutPages(widthMm: number, heightMm: number, paper: PaperSize): PageLayout {
  const [short, long] = PAPER_MM[paper];
  const upright = layOut(widthMm, heightMm, short, long);
  const sideways = layOut(widthMm, heightMm, long, short);
  const best = sideways.rows * sideways.columns < upright.rows * upright.columns ? sideways : upright;
  if (best.rows * best.columns > MAX_PAGES) {
    throw new PlicaError('bad-option', `this size takes ${best.rows * best.columns} pages`, 'choose a smaller one');
  }
  return { ...best, tiles: tilesOf(best, widthMm, heightMm) };
}

function layOut(
  widthMm: number,
  heightMm: number,
  pageWidthMm: number,
  pageHeightMm: number,
): Omit<PageLayout, 'tiles'> {
  const windowWidthMm = pageWidthMm - 2 * MARGIN_MM;
  const windowHeightMm = pageHeightMm - 2 * MARGIN_MM - FOOTER_MM;
  const count = (sheet: number, window: number) => {
    const full = sheet + 2 * BLEED_MM;
    return full <= window ? 1 : Math.ceil((full - OVERLAP_MM) / (window - OVERLAP_MM));
  };
  return {
    pageWidthMm,
    pageHeightMm,
    windowXMm: MARGIN_MM,
    windowYMm: MARGIN_MM + FOOTER_MM,
    windowWidthMm,
    windowHeightMm,
    footerYMm: MARGIN_MM + RULER_ABOVE_MARGIN_MM,
    overlapMm: OVERLAP_MM,
    rows: count(heightMm, windowHeightMm),
    columns: count(widthMm, windowWidthMm),
  };
}

/** The block of tiles is centred on the sheet, so that both ends have equal white. */
function tilesOf(layout: Omit<PageLayout, 'tiles'>, widthMm: number, heightMm: number): PageLayout['tiles'] {
  const { rows, columns, windowWidthMm, windowHeightMm } = layout;
  const stepX = windowWidthMm - OVERLAP_MM;
  const stepY = windowHeightMm - OVERLAP_MM;
  const firstX = (widthMm - (windowWidthMm + (columns - 1) * stepX)) / 2;
  const lowestY = (heightMm - (windowHeightMm + (rows - 1) * stepY)) / 2;
  return Array.from({ length: rows * columns }, (_, i) => {
    const [row, column] = [Math.floor(i / columns), i % columns];
    const fromYMm = lowestY + (rows - 1 - row) * stepY;
    return { row: row + 1, column: column + 1, fromXMm: firstX + column * stepX, fromYMm };
  });
}
