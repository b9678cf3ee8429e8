import { type Bend, type BendRow, bendAt, bendSamples, fitBend, NO_BEND } from '../geometry/bend.ts';
import { type Side, sidesOf } from '../geometry/sides.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { type FreeLine, gatherFree } from './free-lines.ts';
import { lineRows } from './line-rows.ts';
import { sideRows } from './side-rows.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Lines shorter than this say nothing about a bend, pattern units. */
const LEAST_SPAN = 0.2;
/** How far pieces of one bent line may lie off it at first, pattern units; later rounds are stricter. */
const ROUNDS = [
  { stray: 0.008, degree: 2 },
  { stray: 0.006, degree: 3 },
  { stray: 0.004, degree: 4 },
  { stray: 0.003, degree: 4 },
  { stray: 0.0025, degree: 5 },
];
/** The bend must leave at most this share of the lines' crookedness, and of that of lines it was not fitted to: every hand's lines are crooked in their own way. */
const WORTH = 0.8;
const FORETOLD = 0.75;
const PARTS = 4;
/** The bend's pull towards none, a share of the samples' weight. */
const PULL = 3e-4;

/**
 * The bend of a sheet without a grid: drawn lines are straight and the sides of the outline stay where they are, so the
 * smooth displacement that straightens the long lines is the bend (the plumb-line principle, Brown 1971). `segments` are
 * in the pattern frame without any bend; `straightenBy` takes a bend out of them.
 */
export function unbendLines(
  strokes: Strokes,
  sheet: Sheet,
  straightenBy: (bend: Bend) => StraightSegment[],
  least: number,
): Bend {
  const px = 1 / sheet.pxPerUnit;
  const crooked = (bend: Bend, stray: number) => {
    const lines = longLines(strokes, straightenBy(bend), least, px, stray);
    return { lines, miss: missOf(lines) };
  };
  const seated = seatSides(longLines(strokes, straightenBy(NO_BEND), least, px, ROUNDS[2].stray), strokes, sheet);
  const before = crooked(seated, ROUNDS[0].stray);
  let bend = seated;
  let lines = before.lines;
  let degree = -1;
  const fitTo = (some: readonly FreeLine[], to: number) =>
    fitBend(bendSamples(lineSamples(some, strokes, sheet)), to, 2 * px, PULL);
  for (const round of ROUNDS) {
    if (lineSamples(lines, strokes, sheet).length < 30 * (round.degree + 1)) break;
    degree = round.degree;
    bend = fitTo(lines, degree);
    lines = crooked(bend, round.stray).lines;
  }
  const after = missOf(longLines(strokes, straightenBy(bend), least, px, ROUNDS[0].stray));
  if (after >= WORTH * before.miss) return seated;
  const rowsOf = (line: FreeLine) => line.members.flatMap((m) => lineRows(m.points, line, strokes.ridges, sheet));
  let own = 0;
  let foretold = 0;
  for (let part = 0; part < PARTS; part++) {
    const others = fitTo(
      lines.filter((_, i) => i % PARTS !== part),
      degree,
    );
    lines.forEach((line, i) => {
      if (i % PARTS !== part) return;
      own += strayAlong(rowsOf(line), seated);
      foretold += strayAlong(rowsOf(line), others);
    });
  }
  return foretold < FORETOLD ** 2 * own ? bend : seated;
}

/** Sum of the squared distances of a line's samples from the straight line through them, bend taken out, pattern units. */
function strayAlong(rows: readonly BendRow[], bend: Bend): number {
  let [w, wt, wtt, wr, wtr, wrr] = [0, 0, 0, 0, 0, 0];
  for (const [x, y, nx, ny, off, weight] of rows) {
    const [bx, by] = bendAt(bend, x, y);
    const t = ny * x - nx * y;
    const r = off - nx * bx - ny * by;
    w += weight;
    wt += weight * t;
    wtt += weight * t * t;
    wr += weight * r;
    wtr += weight * t * r;
    wrr += weight * r * r;
  }
  if (w === 0) return 0;
  const spread = wtt - (wt * wt) / w;
  const slope = spread > 0 ? (wtr - (wt * wr) / w) / spread : 0;
  return Math.max(0, wrr - (wr * wr) / w - slope * slope * spread);
}

/** A drawn side is sought this near its outline, pattern units, and must be drawn along this share of it. */
const SEAT_REACH = 0.02;
const SEAT_SPAN = 0.75;
/** Outlines that miss their drawn sides by less than this are left alone, paper px. */
const SEAT_MISS_PX = 1.5;

/** The stiff bend that lays the drawn sides on the outline, where the outline was found beside its strokes' middles. */
function seatSides(lines: readonly FreeLine[], strokes: Strokes, sheet: Sheet): Bend {
  const px = 1 / sheet.pxPerUnit;
  const drawn: { line: FreeLine; side: Side }[] = [];
  for (const side of sidesOf(sheet.polygon)) {
    const near = lines.filter((l) => {
      const sense = side.nx * l.nx + side.ny * l.ny;
      return (
        Math.abs(sense) > SIDE_SENSE &&
        Math.abs(l.off * Math.sign(sense) - side.off) < SEAT_REACH &&
        l.length > SEAT_SPAN * side.length
      );
    });
    // A second line beside the border would make the choice a guess.
    if (near.length !== 1) return NO_BEND;
    drawn.push({ line: near[0], side });
  }
  const misses = drawn.map(({ line: l, side: s }) => Math.abs(l.off * Math.sign(s.nx * l.nx + s.ny * l.ny) - s.off));
  if (Math.max(...misses) < SEAT_MISS_PX * px) return NO_BEND;
  const rows = drawn.flatMap(({ line, side }) =>
    line.members.flatMap((m) => lineRows(m.points, side, strokes.ridges, sheet)),
  );
  return fitBend(bendSamples(rows), 1, 2 * px, 1e-6);
}

function longLines(
  strokes: Strokes,
  straight: readonly StraightSegment[],
  least: number,
  px: number,
  stray: number,
): FreeLine[] {
  const free = straight.flatMap((s, i) =>
    s.length >= least && s.x > -0.01 && s.x < 1.01 && s.y > -0.01 && s.y < 1.01
      ? [{ ...s, points: strokes.segments[i].points }]
      : [],
  );
  return gatherFree(free, px, stray).filter((l) => spanOf(l) > LEAST_SPAN && l.length > 0.6 * spanOf(l));
}

function spanOf(l: FreeLine): number {
  let low = Infinity;
  let high = -Infinity;
  for (const m of l.members) {
    const t = l.ny * m.x - l.nx * m.y;
    low = Math.min(low, t - m.length / 2);
    high = Math.max(high, t + m.length / 2);
  }
  return high - low;
}

/** Mean distance of the segments from their lines, by length. */
function missOf(lines: readonly FreeLine[]): number {
  let sum = 0;
  let all = 0;
  for (const l of lines) {
    for (const m of l.members) {
      sum +=
        m.length *
        (Math.abs(l.nx * m.x + l.ny * m.y - l.off) +
          0.25 * m.length * Math.abs(Math.sin(m.angle - Math.atan2(-l.nx, l.ny))));
      all += m.length;
    }
  }
  return all > 0 ? sum / all : 0;
}

/** Two directions are one if their normals' product is at least this. */
const SIDE_SENSE = 0.9995;
/** A line this near a side after the bend so far is that side, pattern units. */
const SIDE_REACH = 0.006;

/** Points of the lines' segments, each to lie on its line; lines along a side, on the side. */
function lineSamples(lines: readonly FreeLine[], strokes: Strokes, sheet: Sheet): BendRow[] {
  const sides = sidesOf(sheet.polygon);
  const rows: BendRow[] = [];
  for (const l of lines) {
    const side = sides.find((s) => {
      const sense = s.nx * l.nx + s.ny * l.ny;
      return Math.abs(sense) > SIDE_SENSE && Math.abs(l.off * Math.sign(sense) - s.off) < SIDE_REACH;
    });
    for (const m of l.members) rows.push(...lineRows(m.points, side ?? l, strokes.ridges, sheet, side ? 2 : 1));
  }
  for (const side of sides) rows.push(...sideRows(side));
  return rows;
}
