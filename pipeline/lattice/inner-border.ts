import { NO_BEND } from '../geometry/bend.ts';
import { sidesOf } from '../geometry/sides.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { type StraightPoints, straightPoints } from './straight-points.ts';

/** A second line of the border lies this far inside of it at most, pattern units, and this far at least, stroke widths and px: nearer it is the border's own rim. */
const MOST_INSIDE = 0.02;
const LEAST_WIDTHS = 1;
const LEAST_PX = 3;
/** It is drawn along this share of each side, as far from each to this, px; its points run along the side within this turn (sine). */
const DRAWN = 0.85;
const SAME_PX = 1.5;
const ALONG = 0.1;
/** Its points lie this near to its middle, px. */
const STROKE_PX = 2.5;
/** It runs on where it shows along so much of the way from its corners to the sides, between these shares of it. */
const RUNS_ON = 0.8;
const BEYOND = [0.3, 0.8];
/** Colours are alike where the cosine between them is above this, and others below that. */
const ALIKE = 0.97;

/**
 * The strokes without a second line drawn inside the border all round: as far from each side, ended in its own corners, in the border's ink
 * where most creases have another. Creases that run around a sheet so near to its edge end at its sides. Common practice, no source.
 */
export function withoutInnerBorder(
  strokes: Strokes,
  ink: InkField,
  sheet: Sheet,
): { strokes: Strokes; at: PatternPoint | null } {
  const asDrawn = { strokes, at: null };
  const points = straightPoints(strokes.ridges, NO_BEND, sheet);
  const px = 1 / sheet.pxPerUnit;
  const sides = sidesOf(sheet.polygon).map((side) => {
    const to = sheet.polygon[(sheet.polygon.indexOf(side.from) + 1) % sheet.polygon.length];
    return { ...side, length: Math.hypot(to[0] - side.from[0], to[1] - side.from[1]) };
  });
  const least = LEAST_WIDTHS * strokes.strokeWidthPx + LEAST_PX;
  // For each side the places of the points along it, by their distance from it in px.
  const bySide = sides.map((side) => depthsAlong(points, side, MOST_INSIDE));
  const near = (depth: number, reach: number): Deep[][] =>
    bySide.map((of) => of.filter(({ deep }) => Math.abs(deep * sheet.pxPerUnit - depth) < reach));
  const isWhole = (own: readonly Deep[][]): boolean => own.every((of, k) => coverOf(of, sides[k].length, px) >= DRAWN);
  for (let first = least; first <= MOST_INSIDE * sheet.pxPerUnit; first += 0.5) {
    const some = near(first, SAME_PX);
    if (!isWhole(some)) continue;
    const depths = some.flatMap((of) => of.map(({ deep }) => deep)).sort((one, other) => one - other);
    const depth = depths[depths.length >> 1] * sheet.pxPerUnit;
    const own = near(depth, STROKE_PX);
    if (own.some((of, k) => runsOn(of, sides[k].length, depth * px, px))) continue;
    const chosen = new Set(own.flat().map(({ p }) => p));
    if (!isOfBorder(strokes, ink, points, sides, chosen, px)) continue;
    const middle = own[0][own[0].length >> 1].p;
    return {
      strokes: linkStrokes(
        keepRidges(strokes.ridges, (p) => !chosen.has(p)),
        ink,
      ),
      at: [points.x[middle], points.y[middle]],
    };
  }
  return asDrawn;
}

type SheetSide = ReturnType<typeof sidesOf>[number] & { readonly length: number };
interface Deep {
  readonly p: number;
  readonly t: number;
  readonly deep: number;
}

function depthsAlong({ x, y, angle }: StraightPoints, { from, nx, ny, length }: SheetSide, most: number): Deep[] {
  const out: Deep[] = [];
  const way = Math.atan2(ny, nx) + Math.PI / 2;
  for (let p = 0; p < x.length; p++) {
    const deep = nx * (x[p] - from[0]) + ny * (y[p] - from[1]);
    if (deep <= 0 || deep > 1.2 * most || Math.abs(Math.sin(angle[p] - way)) > ALONG) continue;
    const t = Math.abs(ny * (x[p] - from[0]) - nx * (y[p] - from[1]));
    if (t <= length) out.push({ p, t, deep });
  }
  return out;
}

/** Whether a line goes on beyond the corners in which it meets its neighbours, up to the ink of the sheet's sides. */
function runsOn(of: readonly Deep[], length: number, depth: number, px: number): boolean {
  const [from, to] = BEYOND.map((share) => share * depth);
  const bins = Math.max(1, Math.round((to - from) / px));
  const seen = (at: (t: number) => number): number =>
    new Set(of.map(({ t }) => Math.floor((at(t) - from) / px)).filter((k) => k >= 0 && k < bins)).size;
  return seen((t) => t) + seen((t) => length - t) > RUNS_ON * bins;
}

/** Share of a side's length along which there are points. */
function coverOf(of: readonly Deep[], length: number, px: number): number {
  const seen = new Set(of.map(({ t }) => Math.floor(t / (2 * px))));
  return (seen.size * 2 * px) / length;
}

/** Whether the chosen points have the colour of the border, and most creases another. */
function isOfBorder(
  { ridges }: Strokes,
  { diff, width }: InkField,
  points: StraightPoints,
  sides: readonly SheetSide[],
  chosen: ReadonlySet<number>,
  px: number,
): boolean {
  const [frame, border, creases] = [
    [0, 0, 0],
    [0, 0, 0],
    [0, 0, 0],
  ];
  const colourAt = (p: number, c: number): number =>
    diff[3 * (Math.floor(ridges.y[p]) * width + Math.floor(ridges.x[p])) + c];
  const others: number[] = [];
  for (let p = 0; p < ridges.count; p++) {
    const deep = Math.min(
      ...sides.map(({ from, nx, ny }) => nx * (points.x[p] - from[0]) + ny * (points.y[p] - from[1])),
    );
    const into = chosen.has(p) ? frame : deep < 2 * px ? border : deep > MOST_INSIDE ? creases : null;
    if (into === creases) others.push(p);
    else if (into) for (let c = 0; c < 3; c++) into[c] += colourAt(p, c);
  }
  if (cosine(frame, border) < ALIKE) return false;
  const unlike = others.filter(
    (p) =>
      cosine(
        [0, 1, 2].map((c) => colourAt(p, c)),
        frame,
      ) < ALIKE,
  );
  return 2 * unlike.length > others.length;
}

function cosine(a: readonly number[], b: readonly number[]): number {
  const dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  return dot / (Math.hypot(...a) * Math.hypot(...b) || 1);
}
