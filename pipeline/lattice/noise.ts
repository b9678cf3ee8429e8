import { NO_BEND } from '../geometry/bend.ts';
import { weightedQuantile } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges, type Ridges } from '../strokes/ridges.ts';
import { pointsOf, type Segment } from '../strokes/segments.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { type FreeLine, type FreeSegment, gatherFree } from './free-lines.ts';
import { lineBeside } from './grid-reach.ts';
import { type LatticeFit, straighten } from './lattice.ts';

/**
 * A run of pieces is weak if their ridges stay below this share of what long strokes of the drawing have, the less the
 * longer they are together (pattern units): moire wavers and breaks.
 */
const WEAK = [
  { share: 0.82, length: 0.065 },
  { share: 0.7, length: 0.25 },
];
const LONG_STROKES = 0.6;
/** Collinear pieces lie off their line by so many px at most; where nothing is drawn for longer than a gap, the line is parted. */
const STRAY_PX = 3;
const GAP_PX = 12;
const GAP_WIDTHS = 4;
/** Shorter pieces say nothing; shorter weak runs do not count, px. */
const LEAST_PIECE_PX = 10;
const LEAST_RUN_PX = 20;
/** Pieces that are gathered into lines at most. */
const MOST_GATHERED = 3000;
/** A few weak runs are pale creases; a picture with so many of them is noisy, ... */
const MANY = 12;
/** ... unless more than this share of their ends lies at strong strokes, as ends of creases do. */
const TIED = 0.5;
const ROUNDS = 3;
/** A piece lies on the grid if it is this near a line, as a share of the step and px. */
const ON_GRID = 0.06;
const ON_GRID_PX = 3;
const ON_GRID_STEPS = 3;
/** An end lies at a stroke if it is this near, px; looked up in cells of this size. */
const CELL_PX = 8;

/**
 * The strokes without what a screen's dots, grain or a texture put between them: many weak runs of line beside strong
 * strokes, most of them tied to nothing. The same strokes where there are few such runs. `noise` are the straight pieces
 * that were left out. Once a grid is known, runs along its lines are kept.
 */
export function withoutNoise(
  drawn: Strokes,
  ink: InkField,
  sheet: Sheet,
  lattice: LatticeFit | null = null,
): { strokes: Strokes; noise: readonly Segment[] } {
  let strokes = drawn;
  const noise: Segment[] = [];
  // What is left is linked anew: pieces that noise had bridged come apart.
  for (let round = 0; round < ROUNDS; round++) {
    const weak = weakRuns(strokes, ink, sheet, lattice, round === 0 ? MANY : 1);
    if (weak.length === 0) break;
    noise.push(...weak);
    const dropped = pointsOf(weak, strokes.ridges.count);
    strokes = linkStrokes(
      keepRidges(strokes.ridges, (p) => dropped[p] === 0),
      ink,
    );
  }
  return { strokes, noise };
}

/** The pieces of weak runs, or none where fewer than `many` runs count. */
function weakRuns(strokes: Strokes, ink: InkField, sheet: Sheet, lattice: LatticeFit | null, many: number): Segment[] {
  const px = 1 / sheet.pxPerUnit;
  const pieces = strokes.segments.flatMap((s) => {
    const straight = straighten(s, sheet, NO_BEND);
    const inside = straight.x > 0 && straight.x < sheet.width && straight.y > 0 && straight.y < sheet.height;
    return inside && s.length >= LEAST_PIECE_PX ? [{ ...straight, points: s.points, segment: s }] : [];
  });
  if (pieces.length === 0) return [];
  const usual = weightedQuantile(
    // Squared: moire may draw more than the pattern, but in short pieces.
    pieces.map(({ segment: { strength, length } }) => ({ value: strength, weight: length * length })),
    LONG_STROKES,
  );
  const segmentOf = new Map(pieces.map((p) => [p.points, p.segment]));
  const isWeak = (run: readonly FreeSegment[]): boolean => {
    const whole = run.reduce((sum, { length }) => sum + length, 0);
    const strongest = Math.max(...run.map(({ points }) => segmentOf.get(points)?.strength ?? 0));
    return WEAK.some(({ length, share }) => whole < length && strongest < share * usual);
  };
  // Beyond so many, the short rest is judged piece by piece: gathering takes time with the square of their number.
  pieces.sort((a, b) => b.length - a.length);
  const lines = gatherFree(pieces.slice(0, MOST_GATHERED), px, STRAY_PX * px);
  const alone = pieces.slice(MOST_GATHERED).map((p): FreeSegment[] => [p]);
  const runs = lines
    .flatMap((line) => runsOf(line, (GAP_PX + GAP_WIDTHS * ink.strokeWidthPx) * px))
    .concat(alone)
    .filter(isWeak)
    .map((run) => run.flatMap((m) => segmentOf.get(m.points) ?? []))
    .filter((run) => !lattice || !isOnGrid(run, lattice, sheet));
  const counted = runs.filter((run) => run.reduce((sum, s) => sum + s.length, 0) >= LEAST_RUN_PX);
  const weak = new Set(runs.flat());
  const strong = pieces.flatMap(({ segment }) => (weak.has(segment) ? [] : [segment]));
  return counted.length < many || tiedShare(counted, strong, strokes.ridges) > TIED ? [] : [...weak];
}

/** Whether a run lies along a line of the grid for several steps of it: hardly any noise does. */
function isOnGrid(run: readonly Segment[], { step, bend }: LatticeFit, sheet: Sheet): boolean {
  if (step === 0) return false;
  const on = run.filter((s) => {
    const straight = straighten(s, sheet, bend);
    return (lineBeside(straight, step)?.miss ?? Infinity) < Math.min(ON_GRID * step, ON_GRID_PX / sheet.pxPerUnit);
  });
  return on.reduce((sum, s) => sum + s.length, 0) > ON_GRID_STEPS * step * sheet.pxPerUnit;
}

/** The pieces of a line, parted where nothing is drawn for longer than `gap`. */
function runsOf({ members, nx, ny }: FreeLine, gap: number): FreeSegment[][] {
  const start = (m: FreeSegment) => ny * m.x - nx * m.y - m.length / 2;
  const runs: FreeSegment[][] = [];
  let end = -Infinity;
  for (const m of [...members].sort((a, b) => start(a) - start(b))) {
    if (start(m) > end + gap) runs.push([]);
    runs[runs.length - 1].push(m);
    end = Math.max(end, start(m) + m.length);
  }
  return runs;
}

/** Share of the runs' ends that lie at a strong stroke. */
function tiedShare(runs: readonly (readonly Segment[])[], strong: readonly Segment[], { x, y }: Ridges): number {
  const cellOf = (p: number, right: number, down: number) =>
    `${Math.floor(x[p] / CELL_PX) + right},${Math.floor(y[p] / CELL_PX) + down}`;
  const near = new Set<string>();
  for (const { points } of strong)
    for (const p of points)
      for (let right = -1; right <= 1; right++) for (let down = -1; down <= 1; down++) near.add(cellOf(p, right, down));
  let tied = 0;
  for (const run of runs) {
    const ends = [run[0].points[0], run[run.length - 1].points[run[run.length - 1].points.length - 1]];
    tied += ends.filter((p) => near.has(cellOf(p, 0, 0))).length;
  }
  return tied / (2 * runs.length);
}
