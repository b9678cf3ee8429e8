/** Which polygon on the picture is the sheet: candidates from networks of lines, each side traced, scored by evidence. */
import type { Raster } from '../types.ts';
import { type InkMap, inkMap } from './inkmap.ts';
import { findMarks, type Marks } from './marks.ts';
import { findNetworks, type Network } from './networks.ts';
import { crossing, polygonArea, type WorkPoint } from './polygon.ts';
import { guessQuads } from './quads.ts';
import { findRegions, type Region } from './regions.ts';
import { type Plane, type Side, sidePoint, traceSide } from './sides.ts';

/** An outline on the working copy, clockwise on the screen. */
export interface Found {
  readonly map: InkMap;
  readonly corners: readonly WorkPoint[];
  readonly sides: readonly Side[];
  readonly how: 'drawn-border' | 'outermost-ink';
  readonly score: number;
}

/** Chains shorter than this share of the longest side take no part: words, specks. */
const LEAST_CHAIN_SHARE = 0.008;
/** Gaps between marks of one network, as shares of the longest side. */
const REACHES = [0.006, 0.014];
/** Patterns smaller than this share of the longest side are not looked for. */
const LEAST_EXTENT_SHARE = 0.12;
/** Strong lines have at least this share of the contrast of the strongest tenth. */
const STRONG_SHARE = 0.5;
/** Networks looked at in each region and way of joining. */
const NETWORKS_EACH = 3;
const QUADS_EACH = 3;
/** Candidates that are traced in full. */
const MOST_TRACED = 8;
/** Search around a guessed side, as shares of its length: first with bends and overshoots in mind, then close. */
const REACH_SHARES = [0.016, 0.006];
const LEAST_REACH = 4;
/** A side with less support than this keeps its guess. */
const LEAST_SUPPORT = 0.4;

interface Candidate {
  readonly corners: readonly WorkPoint[];
  readonly network: Network;
  readonly marks: Marks;
  readonly map: InkMap;
  readonly quick: number;
}

/** The best outline, or null where no network of lines looks like a pattern. */
export function findOutline(picture: Raster<Uint8Array>): Found | null {
  const all: Candidate[] = [];
  for (const polarity of ['dark-ink', 'light-ink'] as const) {
    const map = inkMap(picture, polarity);
    all.push(...candidatesOf(map, polarity === 'dark-ink' ? findRegions(map) : []));
  }
  if (all.length === 0) return null;
  const heaviest = Math.max(...all.map((c) => c.network.mass));
  const worth = (c: Candidate): number => c.quick + 0.15 * Math.log(c.network.mass / heaviest);
  all.sort((p, q) => worth(q) - worth(p));
  const distinct: Candidate[] = [];
  for (const c of all) {
    if (distinct.every((d) => !near(d.corners, c.corners, 4))) distinct.push(c);
    if (distinct.length >= MOST_TRACED) break;
  }
  let best: Found | null = null;
  for (const c of distinct) {
    const found = refine(c, heaviest);
    if (found && (!best || found.score > best.score)) best = found;
  }
  return best;
}

function near(a: readonly WorkPoint[], b: readonly WorkPoint[], tolerance: number): boolean {
  return a.length === b.length && a.every((p) => b.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < tolerance));
}

function candidatesOf(map: InkMap, regions: readonly Region[]): Candidate[] {
  const longest = Math.max(map.width, map.height);
  const marks = findMarks(map, map.noise);
  const strong = strongContrast(marks) * STRONG_SHARE;
  const least = LEAST_CHAIN_SHARE * longest;
  const out: Candidate[] = [];
  for (const region of [...regions, null]) {
    const inside = marks.chains.map(
      (_, c) => marks.chains[c].inkLength >= least && (!region || liesInside(marks, c, region)),
    );
    for (const level of [strong, 0]) {
      for (const share of REACHES) {
        const networks = findNetworks(marks, map.width, map.height, {
          reach: Math.max(3, share * longest),
          takes: (c) => inside[c] && marks.chains[c].contrast >= level,
          leastExtent: LEAST_EXTENT_SHARE * longest,
        });
        for (const network of networks.slice(0, NETWORKS_EACH)) {
          for (const { corners, score } of guessQuads(marks, network, map.width, map.height, QUADS_EACH)) {
            out.push({ corners, network, marks, map, quick: score });
          }
        }
      }
    }
  }
  return out;
}

/** Contrast of the strongest tenth of the line length. */
function strongContrast(marks: Marks): number {
  const order = [...marks.chains].sort((p, q) => q.contrast - p.contrast);
  const total = order.reduce((s, c) => s + c.inkLength, 0);
  let sum = 0;
  for (const c of order) {
    sum += c.inkLength;
    if (sum >= 0.1 * total) return c.contrast;
  }
  return 0;
}

/** Both ends and the middle of the chain lie in the region, one cell from its border at least. */
function liesInside(marks: Marks, chain: number, region: Region): boolean {
  const c = marks.chains[chain];
  const inside = (x: number, y: number): boolean => {
    const cx = Math.floor(x / region.step);
    const cy = Math.floor(y / region.step);
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const px = Math.min(region.columns - 1, Math.max(0, cx + dx));
        const py = Math.min(region.rows - 1, Math.max(0, cy + dy));
        if (!region.inside[py * region.columns + px]) return false;
      }
    }
    return true;
  };
  return inside(c.ax, c.ay) && inside(c.bx, c.by) && inside((c.ax + c.bx) / 2, (c.ay + c.by) / 2);
}

function refine(candidate: Candidate, heaviest: number): Found | null {
  const { map, network } = candidate;
  const plane: Plane = { width: map.width, height: map.height, data: map.ink };
  let corners: readonly WorkPoint[] = candidate.corners;
  let sides: Side[] = [];
  for (const share of REACH_SHARES) {
    sides = corners.map((from, i) => {
      const to = corners[(i + 1) % corners.length];
      const reach = Math.max(LEAST_REACH, share * Math.hypot(to[0] - from[0], to[1] - from[1]));
      return traceSide(plane, from, to, { reach, threshold: map.noise, degree: 1, outward: 0.2 });
    });
    const kept = sides.map((s) => (s.support >= LEAST_SUPPORT ? s : { ...s, bow: [0] }));
    const next = kept.map((side, i) => {
      const before = kept[(i + kept.length - 1) % kept.length];
      return crossing(sidePoint(before, 0), sidePoint(before, 1), sidePoint(side, 0), sidePoint(side, 1));
    });
    if (next.some((p) => p === null)) return null;
    corners = next as WorkPoint[];
  }
  const supports = sides.map((s) => s.support);
  const mean = supports.reduce((s, v) => s + v, 0) / supports.length;
  const inside = split(network, corners);
  const score =
    3 * mean +
    1.5 * Math.min(...supports) -
    12 * inside.outside +
    0.5 * Math.log((network.mass / heaviest) * Math.max(0.02, inside.interior));
  if (Math.abs(polygonArea(corners)) < 0.01 * map.ink.length) return null;
  return { map, corners, sides, how: Math.min(...supports) > 0.7 ? 'drawn-border' : 'outermost-ink', score };
}

/** Shares of the network's ink outside the outline, and inside it but not on it. */
function split(network: Network, corners: readonly WorkPoint[]): { outside: number; interior: number } {
  const tolerance = Math.max(4, 0.007 * network.extent);
  let outside = 0;
  let interior = 0;
  for (let i = 0; i < network.count; i++) {
    let worst = Number.NEGATIVE_INFINITY;
    for (let k = 0; k < corners.length; k++) {
      const a = corners[k];
      const b = corners[(k + 1) % corners.length];
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const off = ((network.x[i] - a[0]) * (b[1] - a[1]) - (network.y[i] - a[1]) * (b[0] - a[0])) / length;
      if (off > worst) worst = off;
    }
    if (worst > tolerance) outside += network.weight[i];
    else if (worst < -tolerance) interior += network.weight[i];
  }
  return { outside: outside / network.length, interior: interior / network.length };
}
