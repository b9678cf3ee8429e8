import { isInside, type Side, sidesOf } from '../geometry/sides.ts';
import { gridReach } from '../lattice/grid-reach.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import { checkVertices } from '../laws/laws.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { borderCarriers } from './border.ts';
import { type Carrier, findCarriers } from './carriers.ts';
import { type Fused, fuseMeant } from './fused.ts';
import { joinRadius, lawfulRadius, MOST_RADIUS, settledRadius } from './join-radius.ts';
import { laidAsMeant } from './laid.ts';
import { boundRuns } from './loose-ends.ts';
import { type MeantLine, meantLines } from './meant-lines.ts';
import { clusterNodes, crossCarriers, type Node, placedOn, type Stretch } from './nodes.ts';
import { withoutPassed } from './passed.ts';
import { dashHole, findRuns, shareSeen } from './runs.ts';
import { isByHand, unsteadiness } from './steadiness.ts';
import type { Piece, StrokeGraph } from './stroke-graph.ts';
import { tidy } from './tidy.ts';
import { withUnmet } from './unmet.ts';

export type { Piece, StrokeGraph } from './stroke-graph.ts';

/** A piece is there if at least this share of it was seen; dashes leave holes of their own. */
const PRESENT = 0.5;
const PRESENT_DASHED = 0.36;
/** Rejected pieces with at least this share are kept aside as candidates. */
const CANDIDATE = 0.15;

/** Carriers, their crossings, and the pieces between them that carry ink. */
export function buildGraph(strokes: Strokes, lattice: LatticeFit, sheet: Sheet): StrokeGraph {
  const px = 1 / sheet.pxPerUnit;
  const w = strokes.strokeWidthPx;
  const unsteady = gridReach(lattice);
  const { inner, border } = borderCarriers(findCarriers(strokes, lattice, sheet, unsteady), sheet, w * px);
  const usualHole = Math.ceil(2 * w + 3);
  const longestHole = lattice.step > 0 ? Math.min(9 * w + 6, (DASH_HOLE_STEPS * 2 * lattice.step) / px) : 9 * w + 6;
  const hole = dashHole(
    inner.map((c) => c.seen),
    usualHole,
    Math.max(usualHole, longestHole),
  );
  const runsOf = (c: Carrier): Stretch[] =>
    findRuns(c.seen, hole, Math.max(3, 1.5 * w)).map((r) => ({ from: c.from + r.from * px, to: c.from + r.to * px }));
  const setting: Setting = {
    border,
    runsOf,
    unsteady,
    hole,
    dashed: hole > usualHole,
    w,
    px,
    step: lattice.step,
    sheet,
  };
  const asDrawn = arrange({ carriers: inner, meant: null }, setting);
  const mayMean = isByHand(unsteadiness(inner), px) && (lattice.step === 0 || lattice.step >= COARSE_STEP);
  const meant = mayMean ? meantLines(inner, inner.map(runsOf), sheet.polygon) : null;
  if (!meant) return asDrawn.graph;
  const asMeant = arrange(fuseMeant(inner, meant, px), setting);
  const [drawnWrong, meantWrong] = [countLawless(asDrawn.graph, STRAY), countLawless(asMeant.meant, ROUNDING)];
  const isSimpler = asMeant.graph.vertices.length < asDrawn.graph.vertices.length;
  if (meantWrong < drawnWrong || (meantWrong === 0 && drawnWrong === 0 && isSimpler)) return asMeant.graph;
  return { ...asDrawn.graph, carriers: asDrawn.graph.carriers.map((c, i) => withMeant(c, meant[i])) };
}

/** How far a hand's vertices may be from where they should be, pattern units, and those of lines laid as they were meant. */
const STRAY = 0.008;
const ROUNDING = 0.001;

/** Vertices that break a law of flat folding whatever the kinds of their creases: it tells whether lines meet as drawn or as meant. */
function countLawless({ vertices, pieces }: StrokeGraph, positionTolerance: number): number {
  const creases = pieces.map(({ from, to, border }) => ({ from, to, kind: border ? ('B' as const) : ('U' as const) }));
  const broken = checkVertices(
    { vertices, exact: vertices.map(() => null), creases, lattice: null },
    { positionTolerance },
  );
  return new Set(broken.map(({ vertex }) => vertex)).size;
}

interface Setting {
  readonly border: readonly Carrier[];
  readonly runsOf: (c: Carrier) => Stretch[];
  /** How far strokes of a grid lie beside its lines, and its step, pattern units; 0 without a grid. */
  readonly unsteady: number;
  readonly step: number;
  /** Holes up to so many bins are dashes' own, and whether the drawing is dashed. */
  readonly hole: number;
  readonly dashed: boolean;
  /** Stroke width, px; a px in pattern units. */
  readonly w: number;
  readonly px: number;
  readonly sheet: Sheet;
}

function withMeant(c: Carrier, meant: MeantLine | null | undefined): Carrier {
  return meant ? { ...c, meant } : c;
}

/**
 * The graph of the carriers: where it is known how they were meant, that tells what meets, and they as they were drawn tell where;
 * and the same graph with everything where it was meant.
 */
function arrange(
  { carriers: inner, meant }: { readonly carriers: readonly Carrier[]; readonly meant: Fused['meant'] | null },
  { border, runsOf, unsteady, step, hole, dashed, w, px, sheet }: Setting,
): { graph: StrokeGraph; meant: StrokeGraph } {
  const wavers = step > 0 ? unsteady : unsteadiness(inner);
  const byHand = step === 0 && isByHand(wavers, px);
  const drawn = [...inner, ...border];
  const drawnRuns = [...inner.map(runsOf), ...border.map(({ from, to }) => [{ from, to }])];
  const reach = reachOf(w, hole, step, px, dashed);
  const { carriers, runs } = meant ? laidAsMeant(drawn, drawnRuns, meant) : { carriers: drawn, runs: drawnRuns };
  const crossings = crossCarriers(carriers, runs, reach, sheet.polygon);
  const cluster = (radius: number): Node[] =>
    clusterNodes(crossings, carriers, runs, {
      radius,
      reach,
      px,
      width: w * px,
      slant: step === 0 && radius > BLOTS * joinRadius(0, 0, w, px) ? SLANT : 1,
      firstSide: byHand ? inner.length : carriers.length,
    });
  const present = dashed ? PRESENT_DASHED : PRESENT;
  const cut = (at: readonly Node[], along = carriers) => cutPieces(at, along, inner.length, w * px, px, present);
  const steady = joinRadius(step, wavers, w, px);
  const sides = sidesOf(sheet.polygon);
  const oddWithin = (r: number) => {
    const at = cluster(r);
    return countOdd(at, cut(at).pieces, sides);
  };
  // Vertices within the radius of a side fall to it in print as well: they say something only where strokes stray.
  const countOf = (at: readonly Node[]) =>
    byHand ? at.length : at.filter(({ x, y }) => isInside(sides, x, y, MOST_RADIUS)).length;
  const settled = () => settledRadius(steady, (r) => countOf(cluster(r)));
  // In print an odd vertex lacks a line; joining it with its neighbours would hide that.
  const joined = step > 0 ? steady : byHand ? lawfulRadius(settled(), oddWithin) : settled();
  const all = cluster(joined);
  const met = withoutPassed(all, cut(all).pieces, carriers, runs, joined);
  const first = cut(met);
  const bound = boundRuns(met, first.pieces, first.rejected, carriers, runs, {
    reach,
    radius: joined,
    least: LOST_WIDTHS * w * px + LOST_PX * px,
  });
  const nodes = withUnmet(bound, cut(bound).pieces, carriers, joined);
  const placed = meant ? placedOn(nodes, drawn, inner.length) : nodes;
  const { pieces, rejected } = cut(placed, drawn);
  const meet = meant ? Math.max(joined, farMoved(placed, nodes)) : joined;
  const told = drawn.map((c, i) => withMeant(c, meant?.[i]));
  const graph = tidy(placed, pieces, rejected, told, hole * px, meet);
  if (!meant) return { graph, meant: graph };
  const laid = cut(nodes);
  return { graph, meant: tidy(nodes, laid.pieces, laid.rejected, carriers, hole * px, joined) };
}

/** Lines that a hand draws to one place may cross so many radii away from it; a hand is at work where lines are joined over so many blots. */
const SLANT = 2.5;
const BLOTS = 1.5;

/** A grid this coarse may carry but few of the lines, pattern units. */
const COARSE_STEP = 0.24;

/** Lines that a hand meant to meet cross up to so many spreads away from there, the spread of where they do. */
const MEET_SPREADS = 2;

/** How far places usually lie from where they were meant, in both directions together, times MEET_SPREADS. */
function farMoved(placed: readonly Node[], meant: readonly Node[]): number {
  const sum = placed.reduce((all, { x, y }, n) => all + (x - meant[n].x) ** 2 + (y - meant[n].y) ** 2, 0);
  return Math.min(MOST_RADIUS, MEET_SPREADS * Math.sqrt(sum / Math.max(1, placed.length)));
}

/** Longest dash hole believed, in whole grid units. */
const DASH_HOLE_STEPS = 0.45;

/** Strokes stop short of borders and of crowded vertices by up to this, stroke widths and px; coverage decides afterwards. */
const REACH_WIDTHS = 4;
const REACH_PX = 5;

/** A stroke this long without vertices at its ends is shown all the same, stroke widths and px. */
const LOST_WIDTHS = 5;
const LOST_PX = 15;

/** How far a run's end may lie from the vertex that ends it, pattern units. */
function reachOf(w: number, hole: number, step: number, px: number, dashed: boolean): number {
  const wish = Math.max(dashed ? hole + w : 0, REACH_WIDTHS * w + REACH_PX) * px;
  return step > 0 ? Math.min(wish, 0.6 * step) : wish;
}

function cutPieces(
  nodes: readonly Node[],
  carriers: readonly Carrier[],
  innerCount: number,
  width: number,
  px: number,
  present: number,
): { pieces: Piece[]; rejected: Piece[] } {
  const pieces: Piece[] = [];
  const rejected: Piece[] = [];
  const onCarrier: { node: number; t: number }[][] = carriers.map(() => []);
  nodes.forEach((n, node) => {
    for (const c of n.carriers) onCarrier[c].push({ node, t: carriers[c].dx * n.x + carriers[c].dy * n.y });
  });
  onCarrier.forEach((stops, c) => {
    stops.sort((a, b) => a.t - b.t);
    const carrier = carriers[c];
    for (let i = 0; i + 1 < stops.length; i++) {
      const t0 = stops[i].t;
      const t1 = stops[i + 1].t;
      // Crossing strokes blot out the ends, at a slant more of them.
      const [m0, m1] = [stops[i], stops[i + 1]].map(
        ({ node }) => (1.4 * width + px) / leastSine(c, nodes[node], carriers),
      );
      const left = Math.min(1, (MOST_HIDDEN * (t1 - t0)) / (m0 + m1));
      const [low, high] = [t0 + left * m0, t1 - left * m1];
      const coverage = shareSeen(carrier.seen, (low - carrier.from) / px, (high - carrier.from) / px);
      const border = c >= innerCount;
      const piece = { from: stops[i].node, to: stops[i + 1].node, carrier: c, t0, t1, coverage, border };
      if (border || coverage >= present) pieces.push(piece);
      else if (coverage >= CANDIDATE) rejected.push(piece);
    }
  });
  return { pieces, rejected };
}

/** At most this share of a piece is left out at its ends. */
const MOST_HIDDEN = 0.56;

/** The least sine between a carrier and the others of its node. */
function leastSine(c: number, node: Node, carriers: readonly Carrier[]): number {
  const sines = node.carriers.flatMap((k) =>
    k === c ? [] : [Math.abs(carriers[c].nx * carriers[k].ny - carriers[c].ny * carriers[k].nx)],
  );
  return Math.max(LEAST_SINE, Math.min(1, ...sines));
}

/** Strokes at a smaller slant are one stroke, or their blot is as long as it gets. */
const LEAST_SINE = 0.2;

/**
 * Vertices inside the sheet where an odd number of pieces meet. Not those near a side: its stroke hides short ones, and with a large radius
 * any vertex there falls to the side.
 */
function countOdd(nodes: readonly Node[], pieces: readonly Piece[], sides: readonly Side[]): number {
  const degree = new Int32Array(nodes.length);
  const isEdge = Uint8Array.from(nodes, ({ x, y }) => (isInside(sides, x, y, MOST_RADIUS) ? 0 : 1));
  const pairs = new Set<number>();
  for (const { from, to, border } of pieces) {
    // Two lines through the same two vertices are one, drawn twice.
    const pair = Math.min(from, to) * nodes.length + Math.max(from, to);
    if (pairs.has(pair)) continue;
    pairs.add(pair);
    degree[from]++;
    degree[to]++;
    if (border) isEdge[from] = isEdge[to] = 1;
  }
  return degree.reduce((count, own, n) => count + (isEdge[n] ? 0 : own % 2), 0);
}
