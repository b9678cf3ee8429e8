import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { type Row, rowsOf } from './even-rows.ts';
import { type Crossings, LAWFUL, shareOfMaekawa } from './grid-law.ts';
import { areOneInk } from './one-ink.ts';
import type { StraightPoints } from './straight-points.ts';

/** Printed lines in rows that do not run along the sheet's sides: triangles, or squares that are turned. */
export interface GuideRows {
  /** From one line of a row to the next, pattern units. */
  readonly step: number;
  readonly shape: 'triangles' | 'squares';
  /** The strokes without them. */
  readonly strokes: Strokes;
}

/** The printed lines are paler than the creases by at least this factor. */
const PALER = 0.5;
/** Where in the sorted amounts bare guide is met on the rows, creases on them, and usual creases elsewhere. */
const PALE_QUANTILE = 0.12;
const DARKEST = 0.97;
const USUAL_CREASE = 0.6;
/** Less than this many of the rows' points beside them is no drawing of its own; less than this share of the rows pale is no guide. */
const LEAST_SLANTED = 0.03;
const LEAST_BARE = 0.2;
/** Points lie on a line of a row this near, px and as a share of the step; so near to a crossing they run any way. */
const NEAR_PX = 1.5;
const NEAR_SHARE = 0.06;
const CROSSING_PX = 2;
const CROSSING_SHARE = 0.3;
/** Rows of one grid have steps alike to this share, and meet at this angle where they make triangles. */
const SAME_STEP = 0.03;
const SIXTY = Math.PI / 3;
const ANGLE_SLACK = 0.03;

/**
 * Finds two or three rows of evenly spaced lines that are paler than the drawing, all of one colour, and run right through the sheet. Null where there are none.
 *
 * @param points centre-line points in the pattern frame, bend taken out
 * @param amount ink across the stroke at each of them
 */
export function findGuideRows(
  strokes: Strokes,
  points: StraightPoints,
  amount: Float32Array,
  ink: InkField,
  sheet: Sheet,
): GuideRows | null {
  const rows = oneGrid(rowsOf(points, sheet));
  if (rows.length < 2) return null;
  const { step } = rows[0];
  const px = 1 / sheet.pxPerUnit;
  const near = Math.max(NEAR_PX * px, NEAR_SHARE * step);
  const crossing = Math.min((strokes.strokeWidthPx + CROSSING_PX) * px, CROSSING_SHARE * step);
  const places = placesOf(points, rows, sheet, near, crossing);
  const limit = paleLimit(amount, places);
  if (limit === 0 || shareOfMaekawa(points, (p) => amount[p] >= limit, crossingsOf(rows, sheet), px) >= LAWFUL)
    return null;
  const isPrinted = (p: number): boolean => (places[p] === ON_ROW || places[p] === IN_CROSSING) && amount[p] < limit;
  if (!areOneInk(strokes.ridges, points, isPrinted, ink, step)) return null;
  return {
    step,
    shape: rows.length === 3 || isSixty(rows[0].angle - rows[1].angle) ? 'triangles' : 'squares',
    strokes: linkStrokes(
      keepRidges(strokes.ridges, (p) => !isPrinted(p)),
      ink,
    ),
  };
}

/** The rows of the grid with the most of them. */
function oneGrid(rows: readonly Row[]): Row[] {
  let best: Row[] = [];
  for (const first of rows) {
    const own = rows.filter(
      (row) =>
        Math.abs(row.step - first.step) < SAME_STEP * first.step &&
        (row === first ||
          isSixty(row.angle - first.angle) ||
          Math.abs(Math.cos(row.angle - first.angle)) < ANGLE_SLACK),
    );
    if (own.length > best.length) best = own;
  }
  return best;
}

function isSixty(angle: number): boolean {
  return Math.abs(Math.abs(Math.sin(angle)) - Math.sin(SIXTY)) < ANGLE_SLACK;
}

const ELSEWHERE = 0;
const ON_ROW = 1;
const IN_CROSSING = 2;
const AT_BORDER = 3;

/** Of each point whether it lies on a line of a row, in a crossing of two, at the border, which is drawn on its own terms, or elsewhere. */
function placesOf(
  { x, y, angle }: StraightPoints,
  rows: readonly Row[],
  { polygon }: Sheet,
  near: number,
  crossing: number,
): Uint8Array {
  const out = new Uint8Array(x.length);
  for (let p = 0; p < x.length; p++) {
    if (isAtSide(x[p], y[p], polygon, crossing)) {
      out[p] = AT_BORDER;
      continue;
    }
    let [lines, onLine] = [0, false];
    for (const row of rows) {
      const off = Math.abs(offLine(row, x[p], y[p]));
      if (off < crossing) lines++;
      if (off < near && Math.abs(Math.sin(angle[p] - row.angle)) < ALONG) onLine = true;
    }
    out[p] = lines > 1 ? IN_CROSSING : onLine ? ON_ROW : ELSEWHERE;
  }
  return out;
}

/** Sine of the turn up to which a point runs along a line. */
const ALONG = 0.2;

/** How far beside the nearest line of a row a place lies, pattern units. */
function offLine({ nx, ny, step, phase }: Row, x: number, y: number): number {
  const at = (nx * x + ny * y - phase) / step;
  return (at - Math.round(at)) * step;
}

/** Amount of ink that parts printed lines from creases; 0 where they are not plainly paler. */
function paleLimit(amount: Float32Array, places: Uint8Array): number {
  const of = (place: number): number[] =>
    [...amount.keys()]
      .filter((p) => places[p] === place)
      .map((p) => amount[p])
      .sort((a, b) => a - b);
  const [elsewhere, onRow] = [of(ELSEWHERE), of(ON_ROW)];
  if (onRow.length === 0) return 0;
  const hasSlanted = elsewhere.length > LEAST_SLANTED * onRow.length;
  const pale = onRow[Math.floor(PALE_QUANTILE * onRow.length)];
  const dark = Math.max(
    onRow[Math.floor(DARKEST * onRow.length)],
    hasSlanted ? elsewhere[Math.floor(USUAL_CREASE * elsewhere.length)] : 0,
  );
  if (!(pale < PALER * dark)) return 0;
  const limit = Math.sqrt(pale * dark);
  const below = (of: readonly number[]): number => of.filter((v) => v < limit).length / Math.max(1, of.length);
  return below(onRow) > LEAST_BARE && (!hasSlanted || below(elsewhere) < below(onRow)) ? limit : 0;
}

/** Where the first two rows cross within the sheet. */
function crossingsOf([a, b]: readonly Row[], { polygon }: Sheet): Crossings {
  const cross = a.nx * b.ny - a.ny * b.nx;
  const nearest: Crossings['nearest'] = (x, y) => {
    const [i, j] = [a, b].map((row) => Math.round((row.nx * x + row.ny * y - row.phase) / row.step));
    const [u, v] = [a.phase + i * a.step, b.phase + j * b.step];
    const [cx, cy] = [(u * b.ny - v * a.ny) / cross, (v * a.nx - u * b.nx) / cross];
    return isAtSide(cx, cy, polygon, a.step / 2) ? null : { key: i * MOST_LINES + j, x: cx, y: cy };
  };
  return { nearest, side: a.step / Math.abs(cross), angle: a.angle, arms: isSixty(a.angle - b.angle) ? 12 : 8 };
}

/** More lines than a row has. */
const MOST_LINES = 4096;

/** Whether a place lies this near to a side of the sheet, or beyond it. */
function isAtSide(x: number, y: number, polygon: Sheet['polygon'], near: number): boolean {
  return polygon.some(([ax, ay], k) => {
    const [bx, by] = polygon[(k + 1) % polygon.length];
    return (bx - ax) * (y - ay) - (by - ay) * (x - ax) < near * Math.hypot(bx - ax, by - ay);
  });
}
