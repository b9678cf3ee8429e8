/** Which polygon on the picture is the sheet: candidates from networks of lines, each side traced, scored by evidence. */
import type { Raster } from '../types.ts';
import { type Evidence, sideEvidence, totalScore, weigh } from './evidence.ts';
import { type InkMap, inkMap, lightShare, type Polarity, type WorkingCopy, workingCopy } from './inkmap.ts';
import { findMarks, type Marks } from './marks.ts';
import { findNetworks, type Network } from './networks.ts';
import { hugPolygon, isConvex, polygonArea, type WorkPoint } from './polygon.ts';
import { guessQuads, type KnownLine, type SideKind } from './quads.ts';
import { findRegions, type Region } from './regions.ts';
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
  readonly score: number;
}

/** Chains shorter than this share of the longest side take no part: words, specks. */
const LEAST_CHAIN_SHARE = 0.008;
/** Gaps between marks of one network, as shares of the longest side. */
const REACHES = [0.006, 0.014];
/** Patterns smaller than this share of the longest side are not looked for. */
const LEAST_EXTENT_SHARE = 0.12;
/** Strong lines have at least this share of the contrast of the strongest ones, which make up STRONGEST_SHARE of all length. */
const STRONG_SHARE = 0.5;
const STRONGEST_SHARE = 0.03;
/** Networks looked at in each region and way of joining. */
const NETWORKS_EACH = 3;
const QUADS_EACH = 3;
/** Candidates that are traced in full. */
const MOST_TRACED = 8;
const MOST_RESERVED = 6;
/** Worth of lying on a clear sheet, and price of joining marks over wide gaps (a frame may be joined to the pattern by words), in the units of the score. */
const ON_SHEET = 0.7;
const LOOSE = 0.4;
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
/** Outlines smaller than this share of the picture are no patterns. */
const LEAST_AREA_SHARE = 0.01;
const LEAST_REACH = 4;
/** A side with less support than this keeps its guess. */
const LEAST_SUPPORT = 0.4;
/** Below and above these shares of light the paper is surely dark, or light. */
const SURELY_DARK = 0.4;
const SURELY_LIGHT = 0.6;
/** Step of light at a region's border that makes it surely a sheet, grey levels. */
const CLEAR_EDGE = 35;
/** Least step of light at a sheet's edge, grey levels. */
const LEAST_STEP = 7;
/** Lines that stop this near to the picture's end are cut by it, px. */
const PICTURE_END_PX = 5;
/** Fewest creases that end on a side for a line through their ends. */
const LEAST_ENDS = 3;

interface Candidate {
  readonly corners: readonly WorkPoint[];
  readonly kinds: readonly SideKind[];
  readonly network: Network;
  readonly marks: Marks;
  readonly map: InkMap;
  readonly quick: number;
  /** The network's mass as a share of the heaviest one on the same sheet, or picture. */
  readonly mass: number;
  /** Lies on a sheet that stands out from the desk. */
  readonly onSheet: boolean;
  /** Its marks are joined over wide gaps. */
  readonly loose: boolean;
  /** Traced beside the best ones, whatever its quick score. */
  readonly reserved: boolean;
}

/** The best outline, or null where no network of lines looks like a pattern. */
export function findOutline(picture: Raster<Uint8Array>): Found | null {
  let best: Found | null = null;
  for (const found of tracedOutlines(picture)) if (!best || found.score > best.score) best = found;
  return best;
}

/** Every candidate that was traced in full, in no order. */
export function tracedOutlines(picture: Raster<Uint8Array>): Found[] {
  const copy = workingCopy(picture);
  const all = polarities(copy).flatMap((polarity) => candidatesOf(inkMap(copy, polarity)));
  if (all.length === 0) return [];
  const worth = (c: Candidate): number =>
    c.quick + (c.onSheet ? 0.2 : 0) - (c.loose ? 0.05 : 0) + 0.1 * Math.log(c.mass);
  all.sort((p, q) => worth(q) - worth(p));
  const distinct: Candidate[] = [];
  for (const wanted of [false, true]) {
    let count = 0;
    for (const c of all) {
      if (c.reserved !== wanted || !distinct.every((d) => !near(d.corners, c.corners, 4))) continue;
      distinct.push(c);
      if (++count >= (wanted ? MOST_RESERVED : MOST_TRACED)) break;
    }
  }
  return distinct.flatMap((c) => refine(c) ?? []);
}

function polarities(copy: WorkingCopy): Polarity[] {
  const light = lightShare(copy);
  if (light > SURELY_LIGHT) return ['dark-ink'];
  if (light < SURELY_DARK) return ['light-ink'];
  return ['dark-ink', 'light-ink'];
}

function near(a: readonly WorkPoint[], b: readonly WorkPoint[], tolerance: number): boolean {
  return a.length === b.length && a.every((p) => b.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < tolerance));
}

/** Edges of the picture at which lines of the drawing stop: elsewhere the picture's end says nothing about the sheet. */
function cutEdges(map: InkMap, marks: Marks): KnownLine[] {
  const near = PICTURE_END_PX;
  return pictureFrame(map).filter(({ from, to }) => {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const off = (x: number, y: number): number =>
      Math.abs((x - from[0]) * (to[1] - from[1]) - (y - from[1]) * (to[0] - from[0])) / length;
    return marks.chains.some((c) => off(c.ax, c.ay) < near || off(c.bx, c.by) < near);
  });
}

function candidatesOf(map: InkMap): Candidate[] {
  const longest = Math.max(map.width, map.height);
  const marks = findMarks(map, map.noise);
  const levels = contrastLevels(marks);
  const least = LEAST_CHAIN_SHARE * longest;
  const out: Candidate[] = [];
  const frame = cutEdges(map, marks);
  for (const region of [...(map.polarity === 'dark-ink' ? findRegions(map) : []), null]) {
    const takes = marks.chains.map((chain, c) => chain.inkLength >= least && (!region || liesInside(marks, c, region)));
    const known = region ? sheetLines(region) : frame;
    const groups: { networks: Network[]; loose: boolean }[] = [];
    for (const level of levels) {
      for (const [k, share] of REACHES.entries()) {
        const networks = findNetworks(marks, map.width, map.height, {
          reach: Math.max(3, share * longest),
          takes: (c) => takes[c] && marks.chains[c].contrast >= level,
          leastExtent: LEAST_EXTENT_SHARE * longest,
        });
        groups.push({ networks: networks.slice(0, NETWORKS_EACH), loose: k > 0 });
      }
    }
    const heaviest = Math.max(0, ...groups.flatMap((g) => g.networks.map((n) => n.mass)));
    const onSheet = region !== null && region.edge > CLEAR_EDGE;
    for (const { networks, loose } of groups) {
      for (const network of networks) {
        for (const guess of guessQuads(marks, network, map.width, map.height, known, QUADS_EACH)) {
          out.push({
            corners: guess.corners,
            kinds: guess.kinds,
            network,
            marks,
            map,
            quick: guess.score,
            mass: network.mass / heaviest,
            reserved: guess.reserved === true,
            loose,
            onSheet,
          });
        }
      }
    }
  }
  return out;
}

/** The picture's own edges, clockwise. */
function pictureFrame(map: InkMap): KnownLine[] {
  const low = map.rim - 0.5;
  const right = map.width - map.rim - 0.5;
  const bottom = map.height - map.rim - 0.5;
  return ring(
    [
      [low, low],
      [right, low],
      [right, bottom],
      [low, bottom],
    ],
    'picture',
  );
}

function sheetLines(region: Region): KnownLine[] {
  const quad = hugPolygon(region.hull, 4);
  return quad ? ring(quad, 'sheet') : [];
}

function ring(corners: readonly WorkPoint[], kind: 'sheet' | 'picture'): KnownLine[] {
  return corners.map((from, i) => ({ from, to: corners[(i + 1) % corners.length], kind }));
}

/**
 * Contrasts above which lines are looked at apart from paler ones: everything; half of the strongest; and the best cut in two classes (Otsu 1979), where those
 * differ. A pattern on squared paper is stronger than the squares.
 */
function contrastLevels(marks: Marks): number[] {
  const lengths = new Float64Array(256);
  let total = 0;
  for (const c of marks.chains) {
    lengths[Math.min(255, c.contrast | 0)] += c.inkLength;
    total += c.inkLength;
  }
  let strongest = 255;
  for (let sum = lengths[255]; strongest > 0 && sum < STRONGEST_SHARE * total; sum += lengths[strongest]) strongest--;
  const cut = otsu(lengths, total);
  const levels = [0, STRONG_SHARE * strongest];
  if (levels.every((l) => Math.abs(l - cut) > 0.2 * cut)) levels.push(cut);
  return levels;
}

function otsu(weights: Float64Array, total: number): number {
  let all = 0;
  for (let v = 0; v < 256; v++) all += v * weights[v];
  let low = 0;
  let lowSum = 0;
  let best = 0;
  let cut = 0;
  for (let v = 0; v < 255; v++) {
    low += weights[v];
    lowSum += v * weights[v];
    if (low === 0 || low === total) continue;
    const gap = lowSum / low - (all - lowSum) / (total - low);
    const between = low * (total - low) * gap * gap;
    if (between > best) {
      best = between;
      cut = v + 1;
    }
  }
  return cut;
}

/** The chain's inner part lies well in the region and its ends in it or at its border: creases end at the sheet's edge, the edge itself is no crease. */
function liesInside(marks: Marks, chain: number, region: Region): boolean {
  const c = marks.chains[chain];
  const has = (t: number, cells: number, all: boolean): boolean => {
    const cx = Math.floor((c.ax + (c.bx - c.ax) * t) / region.step);
    const cy = Math.floor((c.ay + (c.by - c.ay) * t) / region.step);
    for (let dy = -cells; dy <= cells; dy++) {
      for (let dx = -cells; dx <= cells; dx++) {
        const px = Math.min(region.columns - 1, Math.max(0, cx + dx));
        const py = Math.min(region.rows - 1, Math.max(0, cy + dy));
        if ((region.inside[py * region.columns + px] === 1) !== all) return !all;
      }
    }
    return all;
  };
  return has(0.5, 1, true) && has(0.3, 1, true) && has(0.7, 1, true) && has(0, 2, false) && has(1, 2, false);
}

function refine(candidate: Candidate): Found | null {
  const { map, network, marks, kinds } = candidate;
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
  const evidence = weigh(marks, network, sides);
  const shares = sideEvidence(evidence, kinds, sides);
  return {
    map,
    corners,
    sides,
    kinds,
    evidence,
    score:
      totalScore(evidence, shares, candidate.mass) + (candidate.onSheet ? ON_SHEET : 0) - (candidate.loose ? LOOSE : 0),
  };
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
    outward: drawn ? 0.2 : 0,
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
  if (ts.length < LEAST_ENDS || Math.max(...ts) - Math.min(...ts) < 0.3) return null;
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
