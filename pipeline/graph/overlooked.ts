import type { Bend } from '../geometry/bend.ts';
import { type Side, sideAhead, sidesOf } from '../geometry/sides.ts';
import { weightedQuantile } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import type { StrokeGraph } from './graph.ts';
import { type DensityAt, densityReader } from './ink-rays.ts';
import { insertLine } from './insert-line.ts';

/** A crease that was overlooked has at least this share of the ink that the paler quarter of the creases have, or those that it joins, in the mean along it, ... */
const INK_SHARE = 0.6;
const USUAL = 0.25;
/** ... and as much of its length shows half of that. */
const COVERED = 0.5;
/** Ink counts as far as half a stroke from the line; paper beside it lies from here to here beyond, px. */
const PAPER_FROM_PX = 2;
const PAPER_TO_PX = 5;
/** Along the line the mean over so many px each way is ink or none. */
const ALONG_PX = 4;
/** Ends of a line lie in the ink of others, stroke widths and px. */
const END_WIDTHS = 1;
const END_PX = 2;
/** Shorter lines cannot be told from blots, stroke widths and px in sight; longer ones are hardly overlooked, pattern units. */
const LEAST_WIDTHS = 2;
const LEAST_PX = 7;
const LONGEST = 0.55;
/** Directions this close to a crease at the vertex are that crease, radians; lines this near each other are one, stroke widths and px. */
const KNOWN_TURN = (9 * Math.PI) / 180;
const SAME_WIDTHS = 1.5;
const SAME_PX = 4;
/** Lines that a hand drew beside their vertices are looked for at so many places to either side at most, at so many points of each. */
const MOST_TRIES = 4;
const GLANCES = 40;
/** More odd vertices are no oversight: the drawing is not understood. */
const MOST_ODD = 120;
/** Creases that differ in direction by no more than this are one line, radians. */
const JOINED_TURN = (2 * Math.PI) / 180;
/** On a grid creases run at multiples of 45 degrees, as near as this, radians. */
const EIGHTH = Math.PI / 4;
const OFF_EIGHTH = (2 * Math.PI) / 180;

/** A straight way between two vertices, or from one to a side, that may be a crease. */
interface Way {
  readonly from: number;
  /** Vertex where it ends; null on a side where there is none yet. */
  readonly to: number | null;
  readonly end: PatternPoint;
}

interface Setting {
  readonly densityAt: DensityAt;
  readonly px: number;
  readonly width: number;
}

/**
 * The graph with the creases that left no centre line though their ink is there: where an odd number of creases meets inside the
 * sheet one is missing (Maekawa's theorem leaves an even number), so the ink is looked at once more along the straight ways from
 * such a vertex to others like it and, on a grid, to the sides in the grid's directions.
 */
export function withOverlooked(
  graph: StrokeGraph,
  ink: Pick<InkField, 'width' | 'height' | 'density' | 'strokeWidthPx'>,
  lattice: { readonly step: number; readonly bend: Bend },
  sheet: Sheet,
): StrokeGraph {
  const px = 1 / sheet.pxPerUnit;
  const setting = { densityAt: densityReader(ink, sheet, lattice.bend), px, width: ink.strokeWidthPx * px };
  const sides = sidesOf(sheet.polygon);
  const odd = oddVertices(graph);
  const ways = waysOf(graph, odd, sides, lattice.step > 0, setting);
  if (ways.length === 0) return graph;
  const inks = graph.pieces.map(({ border, from, to }) =>
    border ? 0 : inkAlong(graph.vertices[from], graph.vertices[to], 0, setting).mean,
  );
  const usual = usualInk(graph, inks);
  if (usual <= 0) return graph;
  const seen = ways
    .flatMap((way) => {
      const [from, end] = whereDrawn(graph.vertices[way.from], way.end, graph.meet, setting);
      // Moved, it may have come to lie on a crease that is known.
      if (isDrawn(graph, from, end, setting)) return [];
      const enough = INK_SHARE * Math.min(usual, inkOfJoined(graph, way, inks));
      return [{ way, enough, ...inkAlong(from, end, enough, setting) }];
    })
    .filter(({ enough, mean, covered }) => mean > enough && covered > COVERED)
    .sort((a, b) => b.mean - a.mean);
  const open = new Set(odd);
  let found = graph;
  for (const { way, covered } of seen) {
    if (!open.has(way.from) || (way.to !== null && !open.has(way.to))) continue;
    if (isDrawn(found, graph.vertices[way.from], way.end, setting)) continue;
    open.delete(way.from);
    if (way.to !== null) open.delete(way.to);
    found = insertLine(found, way, covered, { ...setting, sides: sides.length });
  }
  return found;
}

/** Vertices inside the sheet where an odd number of pieces meets. */
function oddVertices({ vertices, pieces }: StrokeGraph): number[] {
  const degree = new Int32Array(vertices.length);
  const isEdge = new Uint8Array(vertices.length);
  for (const { from, to, border } of pieces) {
    degree[from]++;
    degree[to]++;
    if (border) isEdge[from] = isEdge[to] = 1;
  }
  return [...degree.keys()].filter((v) => !isEdge[v] && degree[v] % 2 === 1);
}

function waysOf(
  graph: StrokeGraph,
  odd: readonly number[],
  sides: readonly Side[],
  onGrid: boolean,
  setting: Setting,
): Way[] {
  const { vertices } = graph;
  const ways: Way[] = [];
  if (odd.length > MOST_ODD) return ways;
  const consider = (way: Way): void => {
    const [a, b] = [vertices[way.from], way.end];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const least = Math.max(LEAST_WIDTHS * setting.width, LEAST_PX * setting.px) + 2 * hiddenEnd(setting);
    if (length > least && length < LONGEST && !isDrawn(graph, a, b, setting)) ways.push(way);
  };
  odd.forEach((from, i) => {
    for (const to of odd.slice(i + 1)) {
      const [a, b] = [vertices[from], vertices[to]];
      const angle = Math.atan2(b[1] - a[1], b[0] - a[0]);
      const off = Math.abs(angle - EIGHTH * Math.round(angle / EIGHTH));
      const slack = OFF_EIGHTH + setting.width / Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (!onGrid || off < slack) consider({ from, to, end: b });
    }
    if (!onGrid) return;
    for (let k = 0; k < 8; k++) {
      const angle = k * EIGHTH;
      const ahead = sideAhead(vertices[from], angle, sides);
      if (!ahead) continue;
      const [x, y] = vertices[from];
      const end: PatternPoint = [x + ahead.length * Math.cos(angle), y + ahead.length * Math.sin(angle)];
      consider({ from, to: null, end });
    }
  });
  return ways;
}

function hiddenEnd({ width, px }: Setting): number {
  return END_WIDTHS * width + END_PX * px;
}

/**
 * The way moved to where most ink lies along it: a hand draws past its vertices by about as much as `meet`, at either end to either
 * side.
 */
function whereDrawn(
  a: PatternPoint,
  b: PatternPoint,
  meet: number,
  { densityAt, px, width }: Setting,
): [PatternPoint, PatternPoint] {
  const tries = Math.min(MOST_TRIES, Math.ceil(meet / Math.max(width / 2, px)));
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [nx, ny] = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
  const moved = ([x, y]: PatternPoint, k: number): PatternPoint => {
    const by = tries > 0 ? (k * meet) / tries : 0;
    return [x + by * nx, y + by * ny];
  };
  let best: [PatternPoint, PatternPoint] = [a, b];
  let most = -1;
  for (let i = -tries; i <= tries; i++) {
    for (let j = -tries; j <= tries; j++) {
      const [from, to] = [moved(a, i), moved(b, j)];
      let sum = 0;
      for (let s = 1; s < GLANCES; s++) {
        const share = s / GLANCES;
        sum += densityAt(from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1]));
      }
      if (sum > most) {
        most = sum;
        best = [from, to];
      }
    }
  }
  return best;
}

/** Whether a piece runs along a stretch of the way, or leaves an end of it in the same direction. */
function isDrawn(
  { carriers, pieces, vertices }: StrokeGraph,
  a: PatternPoint,
  b: PatternPoint,
  setting: Setting,
): boolean {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [dx, dy] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  const same = Math.max(SAME_WIDTHS * setting.width, SAME_PX * setting.px);
  const middle: PatternPoint = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  return pieces.some(({ carrier, from, to }) => {
    const c = carriers[carrier];
    if (Math.abs(c.dx * dy - c.dy * dx) > Math.sin(KNOWN_TURN)) return false;
    const [u, v] = [vertices[from], vertices[to]];
    const beside = (p: PatternPoint): number => Math.abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx);
    if (Math.min(beside(u), beside(v)) > same && Math.abs(c.nx * middle[0] + c.ny * middle[1] - c.off) > same)
      return false;
    const along = [u, v].map((p) => (p[0] - a[0]) * dx + (p[1] - a[1]) * dy).sort((s, t) => s - t);
    return Math.min(along[1], length) - Math.max(along[0], 0) > same;
  });
}

/** Ink of the creases, whatever they have, that the way joins into one line, the paler of the two; infinite where there are none. */
function inkOfJoined({ vertices, pieces }: StrokeGraph, { from, to, end }: Way, inks: readonly number[]): number {
  const start = vertices[from];
  const goesOn = (at: number, [ax, ay]: PatternPoint, [bx, by]: PatternPoint): number => {
    const [dx, dy] = [bx - ax, by - ay];
    const piece = pieces.findIndex((p) => {
      if (p.border || (p.from !== at && p.to !== at)) return false;
      const [x, y] = vertices[p.from === at ? p.to : p.from];
      const [ex, ey] = [x - bx, y - by];
      return ex * dx + ey * dy > Math.cos(JOINED_TURN) * Math.hypot(ex, ey) * Math.hypot(dx, dy);
    });
    return piece < 0 ? Number.POSITIVE_INFINITY : inks[piece];
  };
  const before = goesOn(from, end, start);
  if (to === null) return before;
  const after = goesOn(to, start, end);
  return Number.isFinite(before) && Number.isFinite(after) ? Math.min(before, after) : Number.POSITIVE_INFINITY;
}

/** Ink of the creases that have little: what a quarter of their length has no more of. */
function usualInk({ pieces }: StrokeGraph, inks: readonly number[]): number {
  const rows = pieces.flatMap(({ border, t0, t1 }, i) => (border ? [] : [{ value: inks[i], weight: t1 - t0 }]));
  return rows.length > 0 ? weightedQuantile(rows, USUAL) : 0;
}

/**
 * Density along the way less that of the paper on its barer flank: in the mean, and the share of the length where its running mean
 * exceeds half of `enough`.
 */
function inkAlong(
  [ax, ay]: PatternPoint,
  [bx, by]: PatternPoint,
  enough: number,
  setting: Setting,
): { mean: number; covered: number } {
  const { densityAt, px, width } = setting;
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  const half = width / 2;
  const end = Math.min(hiddenEnd(setting), length / 3);
  const at = (t: number, o: number): number => densityAt(ax + t * dx - o * dy, ay + t * dy + o * dx);
  const over = (t: number, from: number, to: number): number => {
    let [sum, n] = [0, 0];
    for (let o = from; o <= to + px / 4; o += px) {
      sum += at(t, o);
      n++;
    }
    return sum / n;
  };
  const net: number[] = [];
  const flanks = [0, 0];
  for (let t = end; t <= length - end; t += px) {
    net.push(over(t, -half, half));
    flanks[0] += over(t, half + PAPER_FROM_PX * px, half + PAPER_TO_PX * px);
    flanks[1] += over(t, -half - PAPER_TO_PX * px, -half - PAPER_FROM_PX * px);
  }
  const paper = Math.min(...flanks) / net.length;
  const mean = net.reduce((sum, v) => sum + v, 0) / net.length - paper;
  let covered = 0;
  net.forEach((_, i) => {
    const near = net.slice(Math.max(0, i - ALONG_PX), i + ALONG_PX + 1);
    if (near.reduce((sum, v) => sum + v, 0) / near.length - paper > enough / 2) covered++;
  });
  return { mean, covered: covered / net.length };
}
