import { isInside, type Side, sidesOf } from '../geometry/sides.ts';
import { gridReach } from '../lattice/grid-reach.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { borderCarriers } from './border.ts';
import { type Carrier, findCarriers } from './carriers.ts';
import { joinRadius, lawfulRadius, MOST_RADIUS, settledRadius } from './join-radius.ts';
import { boundRuns } from './loose-ends.ts';
import { clusterNodes, crossCarriers, type Node } from './nodes.ts';
import { withoutPassed } from './passed.ts';
import { dashHole, findRuns, shareSeen } from './runs.ts';
import { isByHand, unsteadiness } from './steadiness.ts';
import { withUnmet } from './unmet.ts';

/** A straight piece between neighbouring vertices on one carrier; its kind is not known yet. */
export interface Piece {
  readonly from: number;
  readonly to: number;
  readonly carrier: number;
  /** Positions along the carrier, pattern units, t of `from` first; from < to. */
  readonly t0: number;
  readonly t1: number;
  /** Share of its length, ends left out, where centre line was seen. */
  readonly coverage: number;
  readonly border: boolean;
}

/** Strokes as a planar straight-line graph, before kinds. Collinear pieces are still apart. */
export interface StrokeGraph {
  readonly carriers: readonly Carrier[];
  readonly vertices: readonly PatternPoint[];
  readonly pieces: readonly Piece[];
  /** Pieces that were looked at and left out, though some centre line was seen on them. */
  readonly rejected: readonly Piece[];
  /** Vertices where a stroke ends inside the paper and nothing meets it. */
  readonly dangling: readonly number[];
  /** Holes up to this long along a carrier count as the drawing's own dashes, pattern units. */
  readonly dashHole: number;
  /** Lines that cross within this of each other were joined in one vertex, pattern units: little in print, more by hand. */
  readonly meet: number;
}

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
  const carriers = [...inner, ...border];
  const usualHole = Math.ceil(2 * w + 3);
  const longestHole = lattice.step > 0 ? Math.min(9 * w + 6, (DASH_HOLE_STEPS * 2 * lattice.step) / px) : 9 * w + 6;
  const hole = dashHole(
    inner.map((c) => c.seen),
    usualHole,
    Math.max(usualHole, longestHole),
  );
  const dashed = hole > usualHole;
  const runs = carriers.map((c, i) =>
    i < inner.length
      ? findRuns(c.seen, hole, Math.max(3, 1.5 * w)).map((r) => ({
          from: c.from + r.from * px,
          to: c.from + r.to * px,
        }))
      : [{ from: c.from, to: c.to }],
  );
  const reach = reachOf(w, hole, lattice.step, px, dashed);
  const crossings = crossCarriers(carriers, runs, reach, sheet.polygon);
  const wavers = lattice.step > 0 ? unsteady : unsteadiness(inner);
  const byHand = lattice.step === 0 && isByHand(wavers, px);
  const cluster = (radius: number): Node[] =>
    clusterNodes(crossings, carriers, runs, {
      radius,
      reach,
      px,
      width: w * px,
      slant: lattice.step === 0 && radius > BLOTS * joinRadius(0, 0, w, px) ? SLANT : 1,
      firstSide: byHand ? inner.length : carriers.length,
    });
  const steady = joinRadius(lattice.step, wavers, w, px);
  const cut = (at: readonly Node[]) =>
    cutPieces(at, carriers, inner.length, w * px, px, dashed ? PRESENT_DASHED : PRESENT);
  const sides = sidesOf(sheet.polygon);
  const oddWithin = (r: number) => {
    const at = cluster(r);
    return countOdd(at, cut(at).pieces, sides);
  };
  // Vertices within the radius of a side fall to it in print as well: they say something only where strokes stray.
  const told = (at: readonly Node[]) =>
    byHand ? at.length : at.filter(({ x, y }) => isInside(sides, x, y, MOST_RADIUS)).length;
  const settled = () => settledRadius(steady, (r) => told(cluster(r)));
  // In print an odd vertex lacks a line; joining it with its neighbours would hide that.
  const joined = lattice.step > 0 ? steady : byHand ? lawfulRadius(settled(), oddWithin) : settled();
  const all = cluster(joined);
  const met = withoutPassed(all, cut(all).pieces, carriers, runs, joined);
  const first = cut(met);
  const bound = boundRuns(met, first.pieces, first.rejected, carriers, runs, {
    reach,
    radius: joined,
    least: LOST_WIDTHS * w * px + LOST_PX * px,
  });
  const nodes = withUnmet(bound, cut(bound).pieces, carriers, joined);
  const found = cut(nodes);
  return tidy(nodes, found.pieces, found.rejected, carriers, hole * px, joined);
}

/** Lines that a hand draws to one place may cross so many radii away from it; a hand is at work where lines are joined over so many blots. */
const SLANT = 2.5;
const BLOTS = 1.5;

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

/** Drops vertices that no piece uses, and crossings where only one straight line is left. */
function tidy(
  nodes: readonly Node[],
  pieces: readonly Piece[],
  rejected: readonly Piece[],
  carriers: readonly Carrier[],
  hole: number,
  meet: number,
): StrokeGraph {
  const at: Piece[][] = nodes.map(() => []);
  for (const p of pieces) {
    at[p.from].push(p);
    at[p.to].push(p);
  }
  const through = at.map((own, n) => own.length === 2 && own[0].carrier === own[1].carrier && !nodes[n].fixed);
  const merged: Piece[] = [];
  const done = new Set<Piece>();
  for (const p of pieces) {
    if (done.has(p)) continue;
    const chain = [p];
    done.add(p);
    extend(
      chain,
      (q) => q.to,
      (q) => q.from,
      true,
    );
    extend(
      chain,
      (q) => q.from,
      (q) => q.to,
      false,
    );
    const first = chain[0];
    const last = chain[chain.length - 1];
    const length = last.t1 - first.t0;
    const coverage = chain.reduce((s, q) => s + q.coverage * (q.t1 - q.t0), 0) / Math.max(length, 1e-12);
    merged.push({ ...first, to: last.to, t1: last.t1, coverage });
  }
  function extend(chain: Piece[], end: (p: Piece) => number, start: (p: Piece) => number, forth: boolean): void {
    for (;;) {
      const p = forth ? chain[chain.length - 1] : chain[0];
      if (!through[end(p)]) return;
      const next = at[end(p)].find((q) => q !== p && start(q) === end(p));
      if (!next || done.has(next)) return;
      done.add(next);
      if (forth) chain.push(next);
      else chain.unshift(next);
    }
  }
  const number = new Int32Array(nodes.length).fill(-1);
  const vertices: PatternPoint[] = [];
  const renumber = (n: number) => {
    if (number[n] < 0) {
      number[n] = vertices.length;
      vertices.push([nodes[n].x, nodes[n].y]);
    }
    return number[n];
  };
  const kept = merged.map((p) => ({ ...p, from: renumber(p.from), to: renumber(p.to) }));
  const degree = new Int32Array(vertices.length);
  for (const p of kept) {
    degree[p.from]++;
    degree[p.to]++;
  }
  const asideOf = rejected
    .filter((p) => number[p.from] >= 0 && number[p.to] >= 0)
    .map((p) => ({ ...p, from: number[p.from], to: number[p.to] }));
  return {
    carriers,
    vertices,
    pieces: kept,
    rejected: asideOf,
    dangling: [...degree.keys()].filter((v) => degree[v] === 1),
    dashHole: hole,
    meet,
  };
}
