import {
  clip,
  endPath,
  LineCapStyle,
  PDFDocument,
  type PDFFont,
  type PDFPage,
  popGraphicsState,
  pushGraphicsState,
  rectangle,
  rgb,
  StandardFonts,
} from 'pdf-lib';
import { BASE_WIDTH_MM, dashesFor, KINDS, lengthOf, STYLES, sidesOf } from '../report/style.ts';
import type { Pattern } from '../types.ts';
import { layOutPages, type PageLayout, type PaperSize } from './tiles.ts';

export interface ToPdfOptions {
  /** Longest side of the sheet, mm; default 150. */
  readonly sizeMm?: number;
  /** Paper in the printer; default a4. */
  readonly paper?: PaperSize;
  readonly title?: string;
}

const PT_PER_MM = 72 / 25.4;
const RULER_MM = 100;
const MARK_MM = 4;
const HAIRLINE_MM = 0.13;
const LABEL_PT = 8;
const BLACK = rgb(0, 0, 0);
const GREY = rgb(0.4, 0.4, 0.4);

/**
 * The pattern at its true size for a desk printer: one page where it fits, else tiles that overlap by a centimetre, with
 * marks to join them by. Every page carries a ruler to check the printer's scale with.
 */
export async function toPdf(pattern: Pattern, options: ToPdfOptions = {}): Promise<Uint8Array> {
  const { sizeMm = 150, paper = 'a4', title = 'Crease pattern' } = options;
  const { width, height } = sidesOf(pattern);
  const layout = layOutPages(width * sizeMm, height * sizeMm, paper);
  const document = await PDFDocument.create();
  document.setTitle(title);
  document.setCreator('Plica');
  // Otherwise the same pattern would give another file every second.
  document.setCreationDate(new Date(0));
  document.setModificationDate(new Date(0));
  const font = await document.embedFont(StandardFonts.Helvetica);
  for (const tile of layout.tiles) {
    const page = document.addPage([layout.pageWidthMm * PT_PER_MM, layout.pageHeightMm * PT_PER_MM]);
    drawTile(page, pattern, sizeMm, layout, tile);
    drawFooter(page, font, layout, tile);
    if (layout.tiles.length > 1) drawJoinMarks(page, layout, tile);
  }
  return document.save();
}

type Tile = PageLayout['tiles'][number];

/** Draws what lies in the tile's window, and nothing outside it. */
function drawTile(page: PDFPage, pattern: Pattern, sizeMm: number, layout: PageLayout, tile: Tile): void {
  const { windowXMm, windowYMm, windowWidthMm, windowHeightMm } = layout;
  const window = [windowXMm, windowYMm, windowWidthMm, windowHeightMm].map((mm) => mm * PT_PER_MM);
  page.pushOperators(pushGraphicsState(), rectangle(window[0], window[1], window[2], window[3]), clip(), endPath());
  const place = ([x, y]: readonly [number, number]) => ({
    x: (windowXMm + x * sizeMm - tile.fromXMm) * PT_PER_MM,
    y: (windowYMm + y * sizeMm - tile.fromYMm) * PT_PER_MM,
  });
  for (const kind of KINDS) {
    const { colour, weight } = STYLES[kind];
    const thickness = BASE_WIDTH_MM * weight * PT_PER_MM;
    for (const crease of pattern.creases) {
      if (crease.kind !== kind) continue;
      const start = place(pattern.vertices[crease.from]);
      const end = place(pattern.vertices[crease.to]);
      const dashArray = dashesFor(kind, lengthOf(pattern, crease) * sizeMm * PT_PER_MM, thickness);
      page.drawLine({
        start,
        end,
        thickness,
        color: colourOf(colour),
        lineCap: kind === 'B' ? LineCapStyle.Projecting : LineCapStyle.Butt,
        ...(dashArray.length > 0 && { dashArray }),
      });
    }
  }
  page.pushOperators(popGraphicsState());
}

/** A ruler to check the printer with, and which page this is. */
function drawFooter(page: PDFPage, font: PDFFont, layout: PageLayout, tile: Tile): void {
  const left = layout.windowXMm;
  const base = layout.footerYMm;
  line(page, left, base, left + RULER_MM, base, BLACK);
  for (let mm = 0; mm <= RULER_MM; mm += 10) {
    line(page, left + mm, base, left + mm, base + (mm % 50 === 0 ? 3 : 1.5), BLACK);
  }
  const words = [`Check: this ruler is ${RULER_MM} mm long. Print at 100 %, without fitting to the page.`];
  if (layout.tiles.length > 1) {
    words.push(
      `Row ${tile.row} of ${layout.rows} from the top, column ${tile.column} of ${layout.columns} from the left. ` +
        `Lay the marks over those of the next page; pages overlap by ${layout.overlapMm} mm.`,
    );
  }
  words.forEach((text, i) => {
    const y = (base - 3.5 * (i + 1)) * PT_PER_MM;
    page.drawText(text, { x: left * PT_PER_MM, y, size: LABEL_PT, font, color: GREY });
  });
}

/** Crosses at the middle of each overlap: the same point of the sheet on both pages. */
function drawJoinMarks(page: PDFPage, layout: PageLayout, tile: Tile): void {
  const { windowXMm: left, windowYMm: bottom, windowWidthMm: width, windowHeightMm: height, overlapMm } = layout;
  const xs = [tile.column > 1 && overlapMm / 2, tile.column < layout.columns && width - overlapMm / 2];
  const ys = [tile.row < layout.rows && overlapMm / 2, tile.row > 1 && height - overlapMm / 2];
  const marks: [number, number][] = [];
  for (const x of xs) {
    if (x !== false) marks.push([x, height / 4], [x, (3 * height) / 4]);
  }
  for (const y of ys) {
    if (y !== false) marks.push([width / 4, y], [(3 * width) / 4, y]);
  }
  for (const [x, y] of marks) {
    line(page, left + x - MARK_MM, bottom + y, left + x + MARK_MM, bottom + y, GREY);
    line(page, left + x, bottom + y - MARK_MM, left + x, bottom + y + MARK_MM, GREY);
  }
}

function line(page: PDFPage, x1: number, y1: number, x2: number, y2: number, color: typeof BLACK): void {
  page.drawLine({
    start: { x: x1 * PT_PER_MM, y: y1 * PT_PER_MM },
    end: { x: x2 * PT_PER_MM, y: y2 * PT_PER_MM },
    thickness: HAIRLINE_MM * PT_PER_MM,
    color,
  });
}

function colourOf(hex: string) {
  const [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255);
  return rgb(r, g, b);
}
