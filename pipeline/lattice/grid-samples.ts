import { type BendRow, type BendSamples, bendSamples } from '../geometry/bend.ts';
import { type Side, sidesOf } from '../geometry/sides.ts';
import { weightedMedian } from '../geometry/weighted-median.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { GRID_DIRECTIONS, type GridDirection, gridDirectionOf } from './grid-directions.ts';
import { lineRows } from './line-rows.ts';
import { sideRows } from './side-rows.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Creases from one grid point to another two along and one across, as waterbombs have them: they tell what the others leave open. */
const STEEP_DIRECTIONS: readonly GridDirection[] = [
  [1, 2],
  [2, 1],
  [-1, 2],
  [-2, 1],
].map(([a, b]) => ({ a, b, angle: (Math.atan2(-a, b) + Math.PI) % Math.PI }));
/** Steep lines lie closer than others, and 22.5-degree ones run nearly alike: they must keep their direction to this, radians, ... */
const STEEP_SLACK = 0.04;
/** ... be so long, steps of the grid, ... */
const STEEP_LENGTH = 0.9;
/** ... and lie this near a line, as a share of the distance between such lines. */
const NEAREST = 0.3;
/** A line this near a side is that side, pattern units. */
const AT_SIDE = 0.006;
/** A sample of the outline counts less than one of a stroke: sides may bow. */
const SIDE_WEIGHT = 0.5;

interface NearestLine {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
  /** Distance of the segment's middle from it, pattern units. */
  readonly miss: number;
}

/** The grid line that a segment runs along, however far off unless it is a steep one; null for other directions. */
function nearestLine(s: StraightSegment, step: number, px: number): NearestLine | null {
  const d = gridDirectionOf(s, px);
  const g = d >= 0 ? GRID_DIRECTIONS[d] : s.length > STEEP_LENGTH * step && STEEP_DIRECTIONS.find((k) => isAlong(s, k));
  if (!g) return null;
  const norm = Math.hypot(g.a, g.b);
  const at = (g.a * s.x + g.b * s.y) / step;
  const line = Math.round(at);
  if (d < 0 && Math.abs(at - line) > NEAREST) return null;
  return { nx: g.a / norm, ny: g.b / norm, off: (line * step) / norm, miss: (Math.abs(at - line) * step) / norm };
}

/** The side of the sheet that a segment runs along, where it lies nearer to it than `reach` (pattern units) and than any line of a grid might. */
function sideAlong(s: StraightSegment, sides: readonly Side[], reach: number): NearestLine | null {
  for (const { nx, ny, off } of sides) {
    const miss = Math.abs(nx * s.x + ny * s.y - off);
    if (miss > Math.min(reach, AT_SIDE) || Math.abs(nx * Math.cos(s.angle) + ny * Math.sin(s.angle)) > STEEP_SLACK)
      continue;
    return { nx, ny, off, miss };
  }
  return null;
}

function isAlong(s: StraightSegment, g: GridDirection): boolean {
  return Math.abs(Math.sin(s.angle - g.angle)) < Math.sin(STEEP_SLACK);
}

/** Samples along each grid segment: how far its points lie from its nearest line, if at most `reach` (pattern units). */
export function gridSamples(
  strokes: Strokes,
  straight: readonly StraightSegment[],
  { step, least, reach }: { readonly step: number; readonly least: number; readonly reach: number },
  sheet: Sheet,
): BendSamples {
  const sides = sidesOf(sheet.polygon);
  const rows: BendRow[] = sides.flatMap((side) => sideRows(side, SIDE_WEIGHT));
  straight.forEach((s, i) => {
    if (s.length < least) return;
    const line = sideAlong(s, sides, reach) ?? nearestLine(s, step, 1 / sheet.pxPerUnit);
    if (!line || line.miss > reach) return;
    rows.push(...lineRows(strokes.segments[i].points, line, strokes.ridges, sheet));
  });
  return bendSamples(rows);
}

/** Length-weighted median distance to the nearest grid line, scaled to a standard deviation. */
export function gridSpread(straight: readonly StraightSegment[], step: number, least: number, px: number): number {
  const misses = straight.flatMap((s) => {
    const line = s.length < least ? null : nearestLine(s, step, px);
    return line ? [{ value: line.miss, weight: s.length }] : [];
  });
  return 1.48 * weightedMedian(misses);
}

/** Share of the length in the grid's directions that lies farther than `near` from its nearest line. */
export function strayedShare(
  straight: readonly StraightSegment[],
  step: number,
  least: number,
  near: number,
  px: number,
): number {
  let [all, strayed] = [0, 0];
  for (const s of straight) {
    const line = s.length < least ? null : nearestLine(s, step, px);
    if (!line) continue;
    all += s.length;
    if (line.miss > near) strayed += s.length;
  }
  return all > 0 ? strayed / all : 0;
}
