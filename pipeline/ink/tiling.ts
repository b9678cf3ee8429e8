/** Which parts of a sheet the network looks at, and how a tile's reading is written back. */
import type { Raster } from '../types.ts';
import { CHANCES, LINE_CHANCES, MEASURES, TILE_MULTIPLE, type TileReading } from './tile-reading.ts';

/** What the network saw, at the paper raster's own size: every map row-major, one number a pixel unless said. */
export interface LearnedInk {
  readonly width: number;
  readonly height: number;
  /** Standard deviation of the ridge in `line`, px: 1, or the factor by which a sheet of broad strokes was made smaller. */
  readonly ridgePx: number;
  /** Ridge of a crease's centre line, exp(-d^2/2) expected, d in units of ridgePx; runs through the gaps of dashes. 0..1 */
  readonly line: Float32Array;
  /** Share of the pixel that a crease's ink covers, expected. 0..1 */
  readonly ink: Float32Array;
  /** Cosine and sine of twice the crease's angle to the x axis, y DOWN; shorter than 1 where unsure. Valid on lines. */
  readonly dirCos2: Float32Array;
  readonly dirSin2: Float32Array;
  /** exp(-d^2/8), d as for `line`, round ends and crossings of creases, expected. 0..1 */
  readonly vertex: Float32Array;
  /** Probability of a mark that is no crease: lettering, arrows, printed grid, hand. */
  readonly other: Float32Array;
  /** (paper - ink) / max(paper, ink) of the crease's clean sRGB ink, -1..1, three channels a pixel. Valid on lines. */
  readonly diff: Float32Array;
}

/** A part of the sheet: the tile with its margin, and inside it the core that is kept. Paper px. */
export interface Tile {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly core: { readonly left: number; readonly top: number; readonly right: number; readonly bottom: number };
}

/** Side of the cells that are asked whether anything is drawn there, px. */
const CELL = 16;
/** A cell whose channels all span less than this (of 255) is bare paper: half of what the faintest ink trained on shows. */
const BARE_SPAN = 10;
/** Pixels round a core that the network sees as well, so that seams do not show (measured, see the model card). */
const MARGIN = 48;
/** Cores are at most this wide and this high: margins cost little then, and a worker's memory stays near 200 MB. */
const WIDEST_CORE = 1088;
const HIGHEST_CORE = 720;

/** Tiles that cover everything drawn on the sheet; none for a blank sheet. */
export function planTiles(sheet: Raster<Uint8Array>): Tile[] {
  const columns = Math.ceil(sheet.width / CELL);
  const drawn = drawnCells(sheet, columns);
  const box = boundsOf(drawn, columns, [0, 0, columns, Math.ceil(sheet.height / CELL)]);
  if (!box) return [];
  const [left, top, right, bottom] = [
    box[0] * CELL,
    box[1] * CELL,
    Math.min(sheet.width, box[2] * CELL),
    Math.min(sheet.height, box[3] * CELL),
  ];
  const across = Math.ceil((right - left) / WIDEST_CORE);
  const down = Math.ceil((bottom - top) / HIGHEST_CORE);
  const xs = cuts(left, right, across);
  // An even count keeps two workers busy to the end.
  const ys = cuts(top, bottom, (across * down) % 2 && bottom - top > 2 * CELL ? down + 1 : down);
  const tiles: Tile[] = [];
  for (let row = 0; row + 1 < ys.length; row++) {
    for (let column = 0; column + 1 < xs.length; column++) {
      const cells = [
        xs[column] / CELL,
        ys[row] / CELL,
        Math.ceil(xs[column + 1] / CELL),
        Math.ceil(ys[row + 1] / CELL),
      ] as const;
      const inner = boundsOf(drawn, columns, cells);
      if (!inner) continue;
      const core = {
        left: inner[0] * CELL,
        top: inner[1] * CELL,
        right: Math.min(sheet.width, inner[2] * CELL),
        bottom: Math.min(sheet.height, inner[3] * CELL),
      };
      tiles.push({ ...around(core, sheet), core });
    }
  }
  return tiles.sort((a, b) => b.width * b.height - a.width * a.height);
}

/** Places that cut a stretch into near-equal parts, multiples of CELL. */
function cuts(from: number, to: number, parts: number): number[] {
  return Array.from({ length: parts + 1 }, (_, i) =>
    i === parts ? to : from + Math.round(((to - from) * i) / parts / CELL) * CELL,
  );
}

/** Tiles begin on multiples of TILE_MULTIPLE: the net's grids then lie the same in every tile. */
function around(core: Tile['core'], sheet: Raster): Omit<Tile, 'core'> {
  const left = Math.max(0, core.left - MARGIN);
  const top = Math.max(0, core.top - MARGIN);
  const up = (n: number): number => Math.ceil(n / TILE_MULTIPLE) * TILE_MULTIPLE;
  return {
    left,
    top,
    width: up(Math.min(sheet.width, core.right + MARGIN) - left),
    height: up(Math.min(sheet.height, core.bottom + MARGIN) - top),
  };
}

function drawnCells(sheet: Raster<Uint8Array>, columns: number): Uint8Array {
  const rows = Math.ceil(sheet.height / CELL);
  const drawn = new Uint8Array(columns * rows);
  for (let row = 0, cell = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, cell++) {
      if (isDrawn(sheet, column * CELL, row * CELL)) drawn[cell] = 1;
    }
  }
  return drawn;
}

/** True where a channel spans so much within the cell; most of those drawn on show it in their first rows. */
function isDrawn({ width, height, channels, data }: Raster<Uint8Array>, left: number, top: number): boolean {
  const right = Math.min(width, left + CELL);
  const bottom = Math.min(height, top + CELL);
  let [red0, green0, blue0] = [255, 255, 255];
  let [red1, green1, blue1] = [0, 0, 0];
  for (let y = top; y < bottom; y++) {
    for (let x = left, at = (y * width + left) * channels; x < right; x++, at += channels) {
      const red = data[at];
      const green = data[at + 1];
      const blue = data[at + 2];
      if (red < red0) red0 = red;
      if (red > red1) red1 = red;
      if (green < green0) green0 = green;
      if (green > green1) green1 = green;
      if (blue < blue0) blue0 = blue;
      if (blue > blue1) blue1 = blue;
    }
    if (Math.max(red1 - red0, green1 - green0, blue1 - blue0) >= BARE_SPAN) return true;
  }
  return false;
}

type Box = readonly [left: number, top: number, right: number, bottom: number];

function boundsOf(drawn: Uint8Array, columns: number, [left, top, right, bottom]: Box): Box | null {
  let [x0, y0, x1, y1] = [right, bottom, left, top];
  for (let y = top; y < bottom; y++) {
    for (let x = left; x < right; x++) {
      if (!drawn[y * columns + x]) continue;
      x0 = Math.min(x0, x);
      x1 = Math.max(x1, x + 1);
      y0 = Math.min(y0, y);
      y1 = y + 1;
    }
  }
  return x1 > x0 ? [x0, y0, x1, y1] : null;
}

/** The tile's pixels, RGB; beyond the sheet its last row and column go on. */
export function cutTile({ width, height, channels, data }: Raster<Uint8Array>, tile: Tile): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(tile.width * tile.height * 3);
  let to = 0;
  for (let y = 0; y < tile.height; y++) {
    const row = Math.min(height - 1, tile.top + y) * width;
    for (let x = 0; x < tile.width; x++) {
      const from = (row + Math.min(width - 1, tile.left + x)) * channels;
      out[to++] = data[from];
      out[to++] = data[from + 1];
      out[to++] = data[from + 2];
    }
  }
  return out;
}

/** Writes the core of a reading (half size) into the maps (full size) that are not empty: line and ink pixel by pixel, vertex between cells, the rest by cell. */
export function writeCore(into: LearnedInk, tile: Tile, { chances, measures }: TileReading): void {
  const cellsAcross = tile.width >> 1;
  const cellsDown = tile.height >> 1;
  const { core } = tile;
  const onlyLine = into.ink.length === 0;
  const channels = onlyLine ? LINE_CHANCES : CHANCES;
  for (let y = core.top; y < core.bottom; y++) {
    const cy = (y - tile.top) >> 1;
    const subRow = ((y - tile.top) & 1) * 2;
    // A pixel's centre lies a quarter cell from its cell's centre: towards the row above for the upper one, else below.
    const cyNext = Math.min(cellsDown - 1, Math.max(0, cy + (subRow ? 1 : -1)));
    for (let x = core.left; x < core.right; x++) {
      const cx = (x - tile.left) >> 1;
      const right = (x - tile.left) & 1;
      const cell = cy * cellsAcross + cx;
      const to = y * into.width + x;
      into.line[to] = chances[cell * channels + subRow + right];
      if (onlyLine) continue;
      into.ink[to] = chances[cell * CHANCES + 4 + subRow + right];
      into.other[to] = chances[cell * CHANCES + 9];
      const cxNext = Math.min(cellsAcross - 1, Math.max(0, cx + (right ? 1 : -1)));
      const near = 0.75 * chances[cell * CHANCES + 8] + 0.25 * chances[(cy * cellsAcross + cxNext) * CHANCES + 8];
      const far =
        0.75 * chances[(cyNext * cellsAcross + cx) * CHANCES + 8] +
        0.25 * chances[(cyNext * cellsAcross + cxNext) * CHANCES + 8];
      into.vertex[to] = 0.75 * near + 0.25 * far;
      const m = cell * MEASURES;
      into.dirCos2[to] = measures[m];
      into.dirSin2[to] = measures[m + 1];
      into.diff[to * 3] = measures[m + 2];
      into.diff[to * 3 + 1] = measures[m + 3];
      into.diff[to * 3 + 2] = measures[m + 4];
    }
  }
}
