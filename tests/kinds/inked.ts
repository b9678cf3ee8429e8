/** A grid of creases drawn in inks of the test's choice: the true graph, and the picture's ink as area coverage gives it. */

import { NO_BEND } from '../../pipeline/geometry/bend.ts';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import type { Piece, StrokeGraph } from '../../pipeline/graph/graph.ts';
import { findInk, type InkField } from '../../pipeline/ink/ink.ts';
import { type KindReading, readKinds } from '../../pipeline/kinds/kinds.ts';
import type { LegendRule, PatternPoint } from '../../pipeline/types.ts';
import { BLACK, bar, type Colour, dashes, fieldOf, type Patch, type Point, paint, WHITE } from '../ink/painted.ts';
import { sheetWith } from '../unit-sheet.ts';

/** One way of drawing: lengths of the rhythm are in stroke widths, ink first; none for a solid line. */
export interface Pen {
  readonly colour: Colour;
  readonly widthPx?: number;
  readonly rhythm?: readonly number[];
}

const LINES = 6;
const PX_PER_UNIT = 780;
export const PIECE_PX = PX_PER_UNIT / LINES;
const MARGIN_PX = 20;
const SIZE = PX_PER_UNIT + 2 * MARGIN_PX;
const STROKE_PX = 2.5;

export interface Inked {
  readonly reading: KindReading;
  readonly graph: StrokeGraph;
  /** Pen of each piece, in the order of `pens`; null for the sides. */
  readonly penOf: readonly (number | null)[];
}

/**
 * @param penAt which pen draws the piece number `along` of line number `line` (1 to 5, of either direction)
 * @param turn where along a piece another pen takes over
 */
export function inked(
  pens: readonly Pen[],
  penAt: (line: number, along: number, upright: boolean) => number,
  options: {
    readonly legend?: readonly LegendRule[];
    readonly turn?: { readonly piece: number; readonly at: number; readonly pen: number };
    readonly paper?: Colour;
    /** Grey levels that coloured bands swing by, each channel a third of a period after the other, as a display's subpixels beat. */
    readonly moire?: number;
  } = {},
): Inked {
  const { legend = [], turn, paper = WHITE, moire = 0 } = options;
  const { graph, penOf } = gridOf(penAt);
  const patches: Patch[] = [];
  graph.pieces.forEach((piece, i) => {
    const [a, b] = [piece.from, piece.to].map((v) => toPaper(graph.vertices[v]));
    const pen = penOf[i];
    if (pen === null) patches.push(bar(a, b, STROKE_PX, BLACK));
    else if (turn?.piece === i) {
      const middle: Point = [a[0] + turn.at * (b[0] - a[0]), a[1] + turn.at * (b[1] - a[1])];
      patches.push(...strokes(a, middle, pens[pen], 0), ...strokes(middle, b, pens[turn.pen], 0));
    } else patches.push(...strokes(a, b, pens[pen], i));
  });
  const light = paint(SIZE, SIZE, patches, paper);
  const plain = fieldOf(SIZE, light, STROKE_PX, { paper });
  const ink = moire > 0 ? { ...inkUnderMoire(light, moire), line: plain.line, ridge: plain.ridge } : plain;
  return { reading: readKinds(graph, ink, sheet, NO_BEND, legend), graph, penOf };
}

/** Period of the bands across themselves, px, and their slope. */
const BAND_PX = 14;
const BAND_SLOPE = 0.5;

/** The ink as it is read where coloured bands lie over paper and lines; the network sees the lines all the same. */
function inkUnderMoire(light: Float32Array, amplitude: number): InkField {
  const data = new Uint8Array(light.length);
  for (let i = 0; i < light.length; i++) {
    const [x, y] = [((i / 3) | 0) % SIZE, (i / 3 / SIZE) | 0];
    const turns = (x + BAND_SLOPE * y) / BAND_PX + (i % 3) / 3;
    // A display's pixel gives off a share of its light: bands are as strong as the picture is light there.
    const v = light[i] * (1 + (amplitude / 255) * Math.cos(2 * Math.PI * turns));
    data[i] = Math.min(255, Math.max(0, Math.round(v)));
  }
  const raster = { width: SIZE, height: SIZE, channels: 3, data };
  return findInk({ ...sheet, raster });
}

/** The letters that the reading gives to the pieces of a pen, each once. */
export function lettersOf({ reading, penOf }: Inked, pen: number): string {
  const letters = penOf.flatMap((p, i) => (p === pen ? [reading.kinds[i]] : []));
  return [...new Set(letters)].sort().join('');
}

function strokes(from: Point, to: Point, { colour, widthPx = STROKE_PX, rhythm }: Pen, number: number): Patch[] {
  if (!rhythm) return [bar(from, to, widthPx, colour)];
  const lengths = rhythm.map((r) => r * widthPx);
  const period = lengths.reduce((sum, l) => sum + l, 0);
  // Each crease starts elsewhere in the rhythm, as a pen does not care where creases meet.
  return dashes(from, to, lengths, ((number * 0.618) % 1) * period).map(([a, b]) => bar(a, b, widthPx, colour));
}

const toPaper = ([x, y]: PatternPoint): Point => [MARGIN_PX + x * PX_PER_UNIT, MARGIN_PX + (1 - y) * PX_PER_UNIT];

const sheet = sheetWith(PX_PER_UNIT, MARGIN_PX);

/** Five lines each way and the sides, cut where they cross. */
function gridOf(penAt: (line: number, along: number, upright: boolean) => number): {
  graph: StrokeGraph;
  penOf: (number | null)[];
} {
  const vertices: PatternPoint[] = [];
  for (let j = 0; j <= LINES; j++) for (let i = 0; i <= LINES; i++) vertices.push([i / LINES, j / LINES]);
  const carriers: Carrier[] = [];
  const pieces: Piece[] = [];
  const penOf: (number | null)[] = [];
  for (const upright of [false, true]) {
    for (let line = 0; line <= LINES; line++) {
      const [nx, ny] = upright ? [1, 0] : [0, 1];
      const [dx, dy] = upright ? [0, 1] : [1, 0];
      carriers.push({
        nx,
        ny,
        off: line / LINES,
        dx,
        dy,
        grid: null,
        from: 0,
        to: 1,
        seen: new Uint8Array(PX_PER_UNIT + 1).fill(1),
        beside: new Float32Array(PX_PER_UNIT + 1),
        residual: 0,
      });
      const border = line === 0 || line === LINES;
      for (let along = 0; along < LINES; along++) {
        const [from, to] = [along, along + 1].map((k) => (upright ? k * (LINES + 1) + line : line * (LINES + 1) + k));
        pieces.push({
          from,
          to,
          carrier: carriers.length - 1,
          t0: along / LINES,
          t1: (along + 1) / LINES,
          coverage: 1,
          border,
        });
        penOf.push(border ? null : penAt(line, along, upright));
      }
    }
  }
  return { graph: { carriers, vertices, pieces, rejected: [], dangling: [], dashHole: 0, meet: 0 }, penOf };
}
