import type { Bend } from '../geometry/bend.ts';
import { isInside, type Side, sideAhead, sidesOf } from '../geometry/sides.ts';
import { weightedMedian, weightedQuantile } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import type { Carrier } from './carriers.ts';
import type { Piece, StrokeGraph } from './graph.ts';
import { borderDepth, type DensityAt, densityReader, type InkedRay, inkedRays, lineOfInk } from './ink-rays.ts';
import { straightCarrier, withCarriers } from './straight-carrier.ts';

/** Strokes are looked for at vertices this near a side: stroke widths, and px more. Longer ones have centre lines of their own. */
const NEAR_WIDTHS = 6;
const NEAR_PX = 16;
/** ... and end there within so many times as much. */
const LONGEST = 2;
/** Ink is what has this share of the density of the palest crease at the vertex, .. */
const INK_SHARE = 0.5;
/** ... which is the density that so much of its length exceeds. */
const USUAL = 0.5;
/** ... but no less than this share of what is usual: dashes leave gaps where their creases were looked at. */
const FAINTEST = 0.25;
/** Vertices may lie up to twice so far from where their strokes meet, px. */
const BESIDE_PX = 1.5;
/** Other ink hides a stroke next to its vertex, stroke widths, and px more. */
const HIDDEN_WIDTHS = 0.8;
const HIDDEN_PX = 0.5;
/** Less of it in sight says nothing: stroke widths, and px at least. */
const IN_SIGHT_WIDTHS = 0.7;
const IN_SIGHT_PX = 2;
/** Directions this close to a crease already known at the vertex are that crease, radians. */
const KNOWN_TURN = (9 * Math.PI) / 180;
/** A ray that lies in the ink of other creases over this share is theirs. */
const EXPLAINED = 0.5;
/** Ends on a side this near are one, stroke widths and px at least: nearer strokes cannot be told apart. */
const SAME_WIDTHS = 1.6;
const SAME_PX = 3.5;
/** Where all that is in sight is ink, a stroke is likelier than not, however much of it is hidden: its coverage counts as so much. */
const LEAST_COVERAGE = 0.45;
/** A stroke tells its own direction if so much of it stands clear, stroke widths. */
const CLEAR_WIDTHS = 3;
/** What is usual along a crease is seen in steps of this, px. */
const PIECE_STEP_PX = 3;
/** Steep enough to tell where a ray meets a side. */
const LEAST_SINE = Math.sin((10 * Math.PI) / 180);

interface Setting {
  readonly sides: readonly (Side & { readonly depth: number; readonly carrier: number })[];
  readonly densityAt: DensityAt;
  readonly width: number;
  readonly px: number;
}

/**
 * The graph with the strokes between a vertex and a side of the sheet close by that are too short for a centre line of their
 * own, or run into the border at such a slant that its ink hides theirs: rays from the vertex that are ink all along, as far
 * as neither the ink at the vertex nor that of the border hides them. `coverage` of such a piece is the share of it in sight.
 */
export function withShortStrokes(
  graph: StrokeGraph,
  ink: Pick<InkField, 'width' | 'height' | 'density' | 'strokeWidthPx'>,
  bend: Bend,
  sheet: Sheet,
): StrokeGraph {
  const px = 1 / sheet.pxPerUnit;
  const width = ink.strokeWidthPx * px;
  const densityAt = densityReader(ink, sheet, bend);
  const firstSide = graph.carriers.length - sheet.polygon.length;
  const sides = sidesOf(sheet.polygon).map((side, i) => ({
    ...side,
    carrier: firstSide + i,
    depth: borderDepth(side, densityAt, width, px),
  }));
  const setting: Setting = { sides, densityAt, width, px };
  const crest = graph.pieces.map((p) => (p.border ? Infinity : densityAlong(graph, p, setting)));
  const at: number[][] = graph.vertices.map(() => []);
  graph.pieces.forEach((p, i) => {
    at[p.from].push(i);
    at[p.to].push(i);
  });
  const faintest =
    FAINTEST * weightedMedian(crest.flatMap((c) => (Number.isFinite(c) ? [{ value: c, weight: 1 }] : [])));
  const near = NEAR_WIDTHS * width + NEAR_PX * px;
  const found: Stub[] = [];
  graph.vertices.forEach((place, vertex) => {
    const own = at[vertex];
    if (own.some((i) => graph.pieces[i].border) || !isInside(sides, place[0], place[1])) return;
    if (isInside(sides, place[0], place[1], near)) return;
    const level = Math.max(INK_SHARE * Math.min(...own.map((i) => crest[i])), faintest);
    const known = own.map((i) => directionFrom(graph, graph.pieces[i], vertex));
    const newAt = (from: PatternPoint): Stub[] =>
      raysToSides(from, near, level, setting)
        .filter(({ angle }) => known.every((k) => Math.cos(angle - k) <= Math.cos(KNOWN_TURN)))
        .map((ray) => ({ vertex, place: from, ...ray }))
        .filter((stub) => explainedShare(graph, stub, setting) <= EXPLAINED)
        .map((stub) => straightened(stub, level, setting));
    const isEven = (stubs: readonly Stub[]) => (own.length + stubs.length) % 2 === 0;
    const here = newAt(place);
    if (isEven(here)) found.push(...here);
    else {
      // Few strokes place a vertex poorly: all of them are seen from where they meet, near by.
      const better = placesAround(place, px)
        .map(newAt)
        .find((stubs) => stubs.length > here.length && isEven(stubs));
      found.push(...(better ?? here));
    }
  });
  return found.length > 0 ? addStubs(graph, found, setting) : graph;
}

interface Stub extends InkedRay {
  readonly vertex: number;
  /** Where it was seen from: at the vertex, or a little beside it. */
  readonly place: PatternPoint;
}

/** The stroke along its own ink where enough of it stands clear of the border's. */
function straightened(stub: Stub, level: number, { sides, densityAt, width, px }: Setting): Stub {
  const met = sideAhead(stub.place, stub.angle, sides);
  if (!met) return stub;
  const to = stub.to - (width / 2 + px) / met.sine;
  if (to - stub.from < CLEAR_WIDTHS * width) return stub;
  const line = lineOfInk(stub.place, { ...stub, to }, densityAt, { level, px, width });
  const length = sideAhead(line.place, line.angle, sides)?.length;
  return length === undefined ? stub : { ...stub, ...line, length };
}

/** Places about another, nearer ones first. */
function placesAround([x, y]: PatternPoint, px: number): PatternPoint[] {
  return [1, 2].flatMap((ring) =>
    Array.from({ length: 8 }, (_, k): PatternPoint => {
      const angle = (k * Math.PI) / 4;
      return [x + ring * BESIDE_PX * px * Math.cos(angle), y + ring * BESIDE_PX * px * Math.sin(angle)];
    }),
  );
}

/** Density that is usual along a piece without its ends. */
function densityAlong(
  { carriers }: StrokeGraph,
  { carrier, t0, t1 }: Piece,
  { densityAt, width, px }: Setting,
): number {
  const { nx, ny, dx, dy, off } = carriers[carrier];
  const end = Math.min(0.3 * (t1 - t0), 1.5 * width + px);
  const rows: { value: number; weight: number }[] = [];
  for (let t = t0 + end; t <= t1 - end; t += PIECE_STEP_PX * px) {
    let most = 0;
    for (const o of [-px, 0, px]) most = Math.max(most, densityAt(dx * t + nx * (off + o), dy * t + ny * (off + o)));
    rows.push({ value: most, weight: 1 });
  }
  return rows.length > 0 ? weightedQuantile(rows, USUAL) : Infinity;
}

function directionFrom({ vertices }: StrokeGraph, { from, to }: Piece, vertex: number): number {
  const [a, b] = [vertices[vertex], vertices[vertex === from ? to : from]];
  return Math.atan2(b[1] - a[1], b[0] - a[0]);
}

function raysToSides(place: PatternPoint, near: number, level: number, { sides, densityAt, width, px }: Setting) {
  const stretchOf = (angle: number) => {
    const ahead = sideAhead(place, angle, sides);
    if (!ahead || ahead.sine < LEAST_SINE || ahead.length > LONGEST * near) return null;
    const from = HIDDEN_WIDTHS * width + HIDDEN_PX * px;
    const to = ahead.length - (ahead.side.depth + HIDDEN_PX * px) / ahead.sine;
    return to - from < Math.max(IN_SIGHT_WIDTHS * width, IN_SIGHT_PX * px) ? null : { length: ahead.length, from, to };
  };
  return inkedRays(place, stretchOf, densityAt, { level, px, width });
}

/** Share of a ray that lies in the ink of creases which do not meet its vertex. */
function explainedShare(
  { carriers, pieces }: StrokeGraph,
  { angle, from, to, vertex, place: [x, y] }: Stub,
  { width, px }: Setting,
): number {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  const blot = width / 2 + px;
  let [all, explained] = [0, 0];
  for (let r = from; r <= to; r += px) {
    const [rx, ry] = [x + r * dx, y + r * dy];
    all++;
    const isOn = (p: Piece): boolean => {
      if (p.border || p.from === vertex || p.to === vertex) return false;
      const c = carriers[p.carrier];
      const t = c.dx * rx + c.dy * ry;
      return Math.abs(c.nx * rx + c.ny * ry - c.off) < blot && t > p.t0 - blot && t < p.t1 + blot;
    };
    if (pieces.some(isOn)) explained++;
  }
  return explained / Math.max(1, all);
}

/** Adds the strokes: a carrier each, and a vertex on the side where none is near. */
function addStubs(graph: StrokeGraph, found: readonly Stub[], { sides, width, px }: Setting): StrokeGraph {
  const vertices = [...graph.vertices];
  const pieces = [...graph.pieces];
  const stubs: Carrier[] = [];
  const same = Math.max(SAME_WIDTHS * width, SAME_PX * px);
  for (const stub of found) {
    const [x, y] = stub.place;
    const ahead = sideAhead(stub.place, stub.angle, sides);
    if (!ahead) continue;
    const end: PatternPoint = [x + stub.length * Math.cos(stub.angle), y + stub.length * Math.sin(stub.angle)];
    const to = vertexOnSide(end, ahead.side, same, vertices, pieces);
    if (
      to < 0 ||
      pieces.some((p) => (p.from === to && p.to === stub.vertex) || (p.to === to && p.from === stub.vertex))
    )
      continue;
    const carrier = straightCarrier(vertices[stub.vertex], vertices[to], stub, px);
    const t = (v: number) => carrier.dx * vertices[v][0] + carrier.dy * vertices[v][1];
    pieces.push({
      from: stub.vertex,
      to,
      carrier: graph.carriers.length + stubs.length,
      t0: t(stub.vertex),
      t1: t(to),
      coverage: Math.max(LEAST_COVERAGE, (stub.to - stub.from) / stub.length),
      border: false,
    });
    stubs.push(carrier);
  }
  return withCarriers(graph, stubs, vertices, pieces, sides.length);
}

/** The vertex on the side at this place, made if need be by cutting the side's piece there; -1 where the side has none. */
function vertexOnSide(
  place: PatternPoint,
  side: Setting['sides'][number],
  same: number,
  vertices: PatternPoint[],
  pieces: Piece[],
): number {
  const t = side.dx * place[0] + side.dy * place[1];
  const cut = pieces.findIndex((p) => p.carrier === side.carrier && t >= p.t0 && t <= p.t1);
  if (cut < 0) return -1;
  const whole = pieces[cut];
  if (t - whole.t0 < same || whole.t1 - t < same) return t - whole.t0 < whole.t1 - t ? whole.from : whole.to;
  const vertex = vertices.length;
  vertices.push(place);
  pieces.splice(cut, 1, { ...whole, to: vertex, t1: t }, { ...whole, from: vertex, t0: t });
  return vertex;
}
