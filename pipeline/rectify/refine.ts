/** A candidate traced along its evidence and weighed. */
import type { Candidate } from './candidates.ts';
import { type Curve, chordOf, cornerOf, curvePoint, offAt, rebase, rulerOf } from './curve.ts';
import { throughEnds } from './ends.ts';
import { coverageOf, type Evidence, sideEvidence, skewPrice, totalScore, weigh } from './evidence.ts';
import type { InkMap } from './inkmap.ts';
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import type { Plane } from './plane.ts';
import { hugPolygon, isConvex, polygonArea, type WorkPoint } from './polygon.ts';
import type { SideKind } from './rim.ts';
import { pointsAlong, type Side, traceSide } from './sides.ts';

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
  /** The sides where they were seen, if they were moved since. */
  readonly seenSides?: readonly Side[];
}

/** Sides this near to the picture's edge from end to end are on it, px. */
const FRAME_PX = 1.5;

interface Pass {
  /** Search around the side, as a share of its length. */
  readonly reachShare: number;
  readonly degree: number;
}

/** First with bends and overshoots in mind, then closer and closer: what bends near one end only is reached step by step. */
const PASSES: readonly Pass[] = [
  { reachShare: 0.02, degree: 2 },
  { reachShare: 0.01, degree: 3 },
  { reachShare: 0.006, degree: 5 },
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
/** Paper is compared this far within a stroke's flank, px; under a sheet's shadow the light has fallen by this share. */
const FLANK_PX = 6;
const SHADOW_FALL = 0.25;
const SHADOW_STATIONS = 40;
/** Creases that must end on one line to believe it: where nothing is drawn along it, and before anything drawn is looked at. */
const FEWEST_ENDS = 3;
const SURE_ENDS = 5;
/** Worth of lying on a clear sheet, and price of joining marks over wide gaps (a frame may be joined to the pattern by words), in the units of the score. */
export const ON_SHEET = 1.1;
const LOOSE = 0.4;
/** Networks with which one outline is weighed. */
const MOST_READINGS = 3;
/** Worth of ink along every side from end to end: bare sides may be had anywhere, a closed border not. */
export const CLOSED = 1;
const CLOSED_SUPPORT = 0.85;
const CLOSED_CROSSED = 0.3;
/** Price of another number of sides than four: most sheets are four-sided. */
const NO_QUAD = 0.3;
/** Price of such an outline that is in part the sheet's edge and in part not: a sheet has its edge all round, and a line across its corner is a crease. */
const CUT_SHEET = 0.5;
/** Price of each end of a drawn side that has no ink up to the corner; that stops short of a bare edge, where nothing but the corner of another border would stop it. */
const BARE_END = 0.15;
const STOPS_SHORT = 0.4;
/** Price of each end of a drawn side whose ink runs on. */
const RUNS_ON = 0.2;

/**
 * Traces every side of the candidates, which share their corners, pass by pass, and weighs the outline with each one's network; the best reading, or null where the
 * outline falls apart. Along a border drawn close to the sheet's edge both are traced.
 *
 * @param room px that a side may move from its guess at most; missing means as far as bends and overshoots ask
 */
export function refine(group: readonly Candidate[], room = Number.POSITIVE_INFINITY): Found | null {
  const [first] = group;
  const found = refineFrom(first, group, room);
  const drawn = first.kinds.includes('sheet') && group.find(({ kinds }) => kinds.every((kind) => kind === 'ink'));
  const rival = drawn ? refineFrom(drawn, group, room) : null;
  return rival && (!found || rival.score > found.score) ? rival : found;
}

function refineFrom(candidate: Candidate, group: readonly Candidate[], room: number): Found | null {
  const { map } = candidate;
  let sides: readonly Traced[] = candidate.sides.map((curve, i) => ({
    ...curve,
    kind: candidate.kinds[i],
    support: 0,
    width: 0,
  }));
  for (const pass of PASSES) {
    const traced = sides.map((side) => refineSide(candidate, side, pass, room));
    const corners = traced.map((side, i) => cornerOf(traced[(i + traced.length - 1) % traced.length], side));
    if (!corners.every((p) => p !== null)) return null;
    sides = traced.map((side, i) => ({ ...side, ...rebase(side, corners[i], corners[(i + 1) % corners.length]) }));
  }
  const corners = sides.map((s) => s.from);
  const kinds = sides.map((s) => (isFrame(map, s) ? 'picture' : s.kind));
  if (!isConvex(corners) || polygonArea(corners) < LEAST_AREA_SHARE * map.ink.length) return null;
  const plain = -shapePrice(kinds) - cornerPrice(corners) - skewPrice(sides);
  let best: Found | null = null;
  for (const { network, marks, all, mass, onSheet, looseness } of distinctNetworks(group)) {
    const evidence = weigh(marks, network, all, sides);
    const score =
      totalScore(evidence, sideEvidence(evidence, kinds, sides), mass) +
      plain +
      (isClosed(evidence) ? CLOSED : 0) -
      BARE_END * evidence.bareEnds -
      STOPS_SHORT * evidence.stopsShort -
      RUNS_ON * evidence.runsOn +
      (onSheet ? ON_SHEET : 0) -
      LOOSE * looseness;
    if (!best || score > best.score) best = { map, corners, sides, kinds, evidence, marks, network, onSheet, score };
  }
  return best;
}

/** True for a side that has come to lie on the picture's own edge: what is left of a border there may be too thin to be a mark. */
function isFrame(map: InkMap, { from, to }: Curve): boolean {
  const low = map.rim;
  const right = map.width - map.rim - 1;
  const bottom = map.height - map.rim - 1;
  const on = (axis: 0 | 1, at: number): boolean =>
    Math.abs(from[axis] - at) < FRAME_PX && Math.abs(to[axis] - at) < FRAME_PX;
  return on(0, low) || on(1, low) || on(0, right) || on(1, bottom);
}

function shapePrice(kinds: readonly SideKind[]): number {
  if (kinds.length === 4) return 0;
  const edges = kinds.filter((k) => k === 'sheet').length;
  return NO_QUAD + (edges > 0 && edges < kinds.length ? CUT_SHEET : 0);
}

/** Share of a quadrilateral that its polygon leaves out where that is no more than corners of it: of a regular octagon, the least, it is 0.17. */
const CUT_CORNERS = 0.13;
/** Price of a quadrilateral with corners cut off: a crease near a corner may pass for a side. */
const CUT_PRICE = 1.2;

function cornerPrice(corners: readonly WorkPoint[]): number {
  const quad = corners.length > 4 ? hugPolygon(corners, 4) : null;
  return quad && polygonArea(corners) > (1 - CUT_CORNERS) * polygonArea(quad) ? CUT_PRICE : 0;
}

export function isClosed(evidence: Evidence): boolean {
  return (
    Math.min(...evidence.support) > CLOSED_SUPPORT &&
    Math.max(...evidence.crossed) < CLOSED_CROSSED &&
    evidence.ends.some((n) => n > 0)
  );
}

interface Traced extends Side {
  readonly kind: SideKind;
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
function refineSide(candidate: Candidate, guess: Traced, pass: Pass, room: number): Traced {
  const { map } = candidate;
  const { kind } = guess;
  if (kind === 'picture') return guess;
  // A thick stroke needs room on both sides for its flanks.
  const reach = Math.min(room, Math.max(LEAST_REACH, pass.reachShare * chordOf(guess), guess.width));
  if (kind === 'sheet') {
    const side = traceStep(map, guess, reach, pass.degree);
    return { ...(side.support >= LEAST_SUPPORT ? side : { ...guess, support: side.support }), kind };
  }
  // Around a hull the ends of creases say where the sheet ends; the nearest drawn line may be a crease inside.
  if (kind === 'hull' && pass === PASSES[0]) {
    const line = throughEnds(candidate.marks, candidate.network, guess, reach, SURE_ENDS);
    if (line) return { ...guess, ...line };
  }
  const side = traceSide(inkPlane(map), guess, { reach, threshold: map.noise, degree: pass.degree, outward: OUTWARD });
  // Creases that cross the side put ink everywhere along it: only marks that run with it make a border.
  if (side.support < LEAST_SUPPORT || coverageOf(side, candidate.all, 0) < LEAST_SUPPORT) {
    // A mark that runs on into lettering bows, the border does not.
    if (guess.bow.some((term) => term !== 0)) return refineSide(candidate, { ...guess, bow: [0] }, pass, room);
    const line = throughEnds(candidate.marks, candidate.network, guess, reach, FEWEST_ENDS);
    return line ? { ...guess, ...line } : guess;
  }
  if (isShadow(map, side)) {
    const edge = traceStep(map, side, side.width + LEAST_REACH, pass.degree);
    if (edge.support > CLOSED_SUPPORT) return { ...edge, kind: 'sheet' };
  }
  return { ...side, kind };
}

/** Sides with less support than this are not traced anew: other lines are near; ... */
const POINTS_SUPPORT = 0.6;
/** ... but a sheet's edge that strays from its hull, as it does where the sheet was folded in, is looked for this far around, a share of its length. */
const WIDE_SHARE = 0.04;

/** Points of each side as they are seen, working px, without any curve laid through them; none for sides that are not seen from end to end. */
export function pointsOfSides({ map, sides, kinds, seenSides = sides }: Found): WorkPoint[][] {
  return seenSides.map((side, i) => {
    const kind = kinds[i];
    const isBacked = side.support >= POINTS_SUPPORT;
    if (kind === 'picture' || (kind !== 'sheet' && !isBacked)) return [];
    const share = isBacked ? PASSES[PASSES.length - 1].reachShare : WIDE_SHARE;
    const reach = Math.max(LEAST_REACH, share * chordOf(side), side.width);
    const points =
      kind === 'sheet'
        ? pointsAlong(stepPlane(map), side, { reach, threshold: LEAST_STEP, outward: 0 })
        : pointsAlong(inkPlane(map), side, { reach, threshold: map.noise, outward: OUTWARD });
    if (sides === seenSides) return points;
    // The side was moved after it was traced: its points go along.
    const [was, now] = [rulerOf(side), rulerOf(sides[i])];
    const [nx, ny] = [now.dy / now.length, -now.dx / now.length];
    return points.map(([x, y]): WorkPoint => {
      const move = offAt(was, x, y) - offAt(now, x, y);
      return [x + move * nx, y + move * ny];
    });
  });
}

const inkPlane = (map: InkMap): Plane => ({ width: map.width, height: map.height, data: map.ink, reads: 'ink' });
const stepPlane = (map: InkMap): Plane => ({
  width: map.width,
  height: map.height,
  data: leastChannel(map),
  reads: 'step',
});

function traceStep(map: InkMap, guess: Curve, reach: number, degree: number): Side {
  const plane = stepPlane(map);
  return { ...traceSide(plane, guess, { reach, threshold: LEAST_STEP, degree, outward: 0 }), width: 0 };
}

/**
 * True for the dark line along a sheet's edge: paper within, desk without. The paper map has fine lines filled in, so under a border on paper, however narrow the
 * margin, it is as light as beside it; under a shadow it is not.
 */
function isShadow(map: InkMap, side: Side): boolean {
  if (map.polarity !== 'dark-ink') return false;
  const plane = leastChannel(map);
  const length = chordOf(side);
  const nx = (side.to[1] - side.from[1]) / length;
  const ny = -(side.to[0] - side.from[0]) / length;
  const away = side.width / 2 + FLANK_PX;
  let inner = 0;
  let under = 0;
  for (let k = 1; k < SHADOW_STATIONS; k++) {
    const [x, y] = curvePoint(side, k / SHADOW_STATIONS);
    const at = (d: number): number => {
      const px = Math.min(map.width - 1, Math.max(0, Math.round(x + nx * d)));
      const py = Math.min(map.height - 1, Math.max(0, Math.round(y + ny * d)));
      return plane[py * map.width + px];
    };
    inner += at(-away);
    under += at(0);
  }
  return under < (1 - SHADOW_FALL) * inner;
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
