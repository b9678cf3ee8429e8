/** A candidate traced along its evidence and weighed. */
import type { Candidate } from './candidates.ts';
import { type Evidence, sideEvidence, skewPrice, totalScore, weigh } from './evidence.ts';
import type { InkMap } from './inkmap.ts';
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import { isConvex, polygonArea, type WorkPoint } from './polygon.ts';
import type { SideKind } from './quads.ts';
import {
  bareSide,
  cornerOf,
  offsetFromSide,
  type Plane,
  rebase,
  robustPolynomial,
  type Side,
  traceSide,
} from './sides.ts';

/** An outline on the working copy, clockwise on the screen. */
export interface Found {
  readonly map: InkMap;
  readonly corners: readonly WorkPoint[];
  readonly sides: readonly Side[];
  readonly kinds: readonly SideKind[];
  readonly evidence: Evidence;
  readonly marks: Marks;
  readonly network: Network;
  readonly onSheet: boolean;
  readonly score: number;
}

interface Pass {
  /** Search around the side, as a share of its length. */
  readonly reachShare: number;
  readonly degree: number;
}

/** First with bends and overshoots in mind, then close. */
const PASSES: readonly Pass[] = [
  { reachShare: 0.02, degree: 2 },
  { reachShare: 0.006, degree: 3 },
];
const LEAST_REACH = 4;
/** A side with less support than this keeps its guess. */
const LEAST_SUPPORT = 0.4;
/** Outlines smaller than this share of the picture are no patterns. */
const LEAST_AREA_SHARE = 0.01;
/** Least step of light at a sheet's edge, grey levels. */
const LEAST_STEP = 7;
/** Share of the reward that the outermost line gets over the innermost: borders lie outside of pleats. */
const OUTWARD = 0.2;
/** Fewest creases that end on a side for a line through their ends, and the share of the side over which they spread. */
const LEAST_ENDS = 3;
const ENDS_SPAN = 0.3;
/** Worth of lying on a clear sheet, and price of joining marks over wide gaps (a frame may be joined to the pattern by words), in the units of the score. */
const ON_SHEET = 1.1;
const LOOSE = 0.4;
/** Networks with which one outline is weighed. */
const MOST_READINGS = 3;
/** Price of another number of sides than four: most sheets are four-sided. */
const NO_QUAD = 0.3;

/**
 * Traces every side of the candidates, which share their corners, twice, and weighs the outline with each one's network; the best reading, or null where the
 * outline falls apart.
 */
export function refine(group: readonly Candidate[]): Found | null {
  const candidate = group[0];
  const { map, kinds } = candidate;
  let sides: readonly Side[] = candidate.corners.map((from, i) =>
    bareSide(from, candidate.corners[(i + 1) % candidate.corners.length]),
  );
  for (const pass of PASSES) {
    const traced = sides.map((side, i) => refineSide(candidate, side, kinds[i], pass));
    const corners = traced.map((side, i) => cornerOf(traced[(i + traced.length - 1) % traced.length], side));
    if (!corners.every((p) => p !== null)) return null;
    sides = traced.map((side, i) => rebase(side, corners[i], corners[(i + 1) % corners.length]));
  }
  const corners = sides.map((s) => s.from);
  if (!isConvex(corners) || polygonArea(corners) < LEAST_AREA_SHARE * map.ink.length) return null;
  const plain = (corners.length === 4 ? 0 : -NO_QUAD) - skewPrice(sides);
  let best: Found | null = null;
  for (const { network, marks, all, mass, onSheet, looseness } of distinctNetworks(group)) {
    const evidence = weigh(marks, network, all, sides);
    const score =
      totalScore(evidence, sideEvidence(evidence, kinds, sides), mass) +
      plain +
      (onSheet ? ON_SHEET : 0) -
      LOOSE * looseness;
    if (!best || score > best.score) best = { map, corners, sides, kinds, evidence, marks, network, onSheet, score };
  }
  return best;
}

/** The candidates with the most mass of their own network each, a few at most. */
function distinctNetworks(group: readonly Candidate[]): Candidate[] {
  const out: Candidate[] = [];
  for (const c of [...group].sort((p, q) => q.mass - p.mass)) {
    if (!out.some((o) => o.network === c.network)) out.push(c);
    if (out.length >= MOST_READINGS) break;
  }
  return out;
}

/** The side near the guess: along its ink, the sheet's edge, or the ends of the creases that stop there. */
function refineSide(candidate: Candidate, guess: Side, kind: SideKind, pass: Pass): Side {
  if (kind === 'picture') return guess;
  const { map } = candidate;
  const { from, to } = guess;
  const reach = Math.max(LEAST_REACH, pass.reachShare * Math.hypot(to[0] - from[0], to[1] - from[1]));
  const drawn = kind !== 'sheet';
  const plane: Plane = drawn
    ? { width: map.width, height: map.height, data: map.ink, reads: 'ink' }
    : { width: map.width, height: map.height, data: leastChannel(map), reads: 'step' };
  const side = traceSide(plane, guess, {
    reach,
    threshold: drawn ? map.noise : LEAST_STEP,
    degree: pass.degree,
    outward: drawn ? OUTWARD : 0,
  });
  if (side.support >= LEAST_SUPPORT) return side;
  return drawn ? (throughEnds(candidate, guess, reach) ?? guess) : { ...guess, support: side.support };
}

/** The line through the ends of creases that come from inside and stop near the side; null for too few. */
function throughEnds(candidate: Candidate, side: Side, reach: number): Side | null {
  const ts: number[] = [];
  const offs: number[] = [];
  for (const c of candidate.network.chains) {
    const chain = candidate.marks.chains[c];
    const a = offsetFromSide(side, chain.ax, chain.ay);
    const b = offsetFromSide(side, chain.bx, chain.by);
    const outer = a.off > b.off ? a : b;
    const inner = a.off > b.off ? b : a;
    if (outer.t < -0.02 || outer.t > 1.02 || Math.abs(outer.off) > reach || inner.off > outer.off - 2 * reach) continue;
    ts.push(outer.t);
    offs.push(outer.off);
  }
  if (ts.length < LEAST_ENDS || Math.max(...ts) - Math.min(...ts) < ENDS_SPAN) return null;
  const { bow, residual } = robustPolynomial(
    ts,
    offs,
    ts.map(() => 1),
    1,
  );
  return Number.isFinite(residual) ? { ...side, bow, residual } : null;
}

const LEAST_CHANNEL = new WeakMap<InkMap, Uint8Array>();

/** The least channel of the paper colour: white paper is light in it, wood, cloth and shade are not. */
function leastChannel(map: InkMap): Uint8Array {
  let plane = LEAST_CHANNEL.get(map);
  if (!plane) {
    plane = new Uint8Array(map.ink.length);
    for (let i = 0, p = 0; i < plane.length; i++, p += 3) {
      plane[i] = Math.min(map.paper[p], map.paper[p + 1], map.paper[p + 2]);
    }
    LEAST_CHANNEL.set(map, plane);
  }
  return plane;
}
