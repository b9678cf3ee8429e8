import { type Bend, type BendSamples, fitBend, NO_BEND } from '../geometry/bend.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { type FreeLine, gatherFree } from './free-lines.ts';
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
const SAMPLE_EVERY_PX = 20;
/** The bend must take away at least this share of the lines' crookedness. */
const WORTH = 0.8;

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
  const before = crooked(NO_BEND, ROUNDS[0].stray);
  let bend = NO_BEND;
  let lines = before.lines;
  for (const round of ROUNDS) {
    const samples = lineSamples(lines, strokes, sheet);
    if (samples.x.length < 30 * (round.degree + 1)) break;
    bend = fitBend(samples, round.degree, 2 * px, 3e-4);
    lines = crooked(bend, round.stray).lines;
  }
  return missOf(longLines(strokes, straightenBy(bend), least, px, ROUNDS[0].stray)) < WORTH * before.miss
    ? bend
    : NO_BEND;
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

/** Points of the lines' segments, each to lie on its line; lines along a side, on the side. */
function lineSamples(lines: readonly FreeLine[], strokes: Strokes, sheet: Sheet): BendSamples {
  const px = 1 / sheet.pxPerUnit;
  const { ridges } = strokes;
  const rows: number[][] = [];
  const sides = sheet.polygon.map(([ax, ay], i) => {
    const [bx, by] = sheet.polygon[(i + 1) % sheet.polygon.length];
    const length = Math.hypot(bx - ax, by - ay);
    const nx = -(by - ay) / length;
    const ny = (bx - ax) / length;
    return { nx, ny, off: nx * ax + ny * ay };
  });
  for (const l of lines) {
    const side = sides.find((s) => {
      const sense = s.nx * l.nx + s.ny * l.ny;
      return Math.abs(sense) > 0.9995 && Math.abs(l.off * Math.sign(sense) - s.off) < 0.006;
    });
    const line = side ?? l;
    for (const m of l.members) {
      const every = Math.max(1, Math.min(SAMPLE_EVERY_PX, m.points.length >> 1));
      for (let k = every >> 1; k < m.points.length; k += every) {
        const x = (ridges.x[m.points[k]] - sheet.originPx[0]) * px;
        const y = (sheet.originPx[1] - ridges.y[m.points[k]]) * px;
        const weight = (every / SAMPLE_EVERY_PX) * (side ? 2 : 1);
        rows.push([x, y, line.nx, line.ny, line.off - line.nx * x - line.ny * y, weight]);
      }
    }
  }
  // The sides are known even where no stroke shows them.
  for (const s of sides) {
    for (let k = 0; k <= 20; k++) {
      const p = sheet.polygon[sides.indexOf(s)];
      const q = sheet.polygon[(sides.indexOf(s) + 1) % sides.length];
      rows.push([p[0] + ((q[0] - p[0]) * k) / 20, p[1] + ((q[1] - p[1]) * k) / 20, s.nx, s.ny, 0, 1]);
    }
  }
  const column = (c: number) => Float64Array.from(rows, (r) => r[c]);
  return { x: column(0), y: column(1), nx: column(2), ny: column(3), off: column(4), weight: column(5) };
}
