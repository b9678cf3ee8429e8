/** Which polygon on the picture is the sheet: candidates from the networks of ink, each traced, scored by evidence. */
import { type InkMap, inkMap, type Polarity } from './inkmap.ts';
import {
  crossing,
  findNetworks,
  hugPolygon,
  type Network,
  type Networks,
  polygonArea,
  type WorkPoint,
} from './networks.ts';
import { type Plane, type Side, sidePoint, traceSide } from './sides.ts';

/** An outline on the working copy, clockwise on the screen. */
export interface Found {
  readonly map: InkMap;
  readonly corners: readonly WorkPoint[];
  readonly sides: readonly Side[];
  readonly how: 'drawn-border' | 'outermost-ink';
  readonly score: number;
}

/** Search around the first guess of a side, as a share of its length; overshooting strokes push a hull out by about this. */
const FIRST_REACH_SHARE = 0.02;
const SECOND_REACH_SHARE = 0.006;
const LEAST_REACH = 4;
/** A side with less support than this keeps its first guess. */
const LEAST_SUPPORT = 0.4;
/** Gaps that are bridged to join dashes, as shares of the longest side of the working copy. */
const BRIDGES = [0.001, 0.005, 0.012];
/** Outlines smaller than this share of the picture are not patterns. */
const LEAST_AREA_SHARE = 0.015;

/** The best outline, or null where no network of lines looks like a pattern. */
export function findOutline(picture: Parameters<typeof inkMap>[0]): Found | null {
  let best: Found | null = null;
  for (const polarity of ['dark-ink', 'light-ink'] satisfies Polarity[]) {
    const map = inkMap(picture, polarity);
    for (const found of candidates(map)) if (!best || found.score > best.score) best = found;
  }
  return best;
}

function candidates(map: InkMap): Found[] {
  const out: Found[] = [];
  const longest = Math.max(map.width, map.height);
  const strong = strongThreshold(map);
  const seen: WorkPoint[][] = [];
  for (const threshold of strong > map.noise * 1.6 ? [strong, map.noise] : [map.noise]) {
    for (const share of BRIDGES) {
      const networks = findNetworks(map, threshold, Math.max(1, Math.round(share * longest)));
      for (const network of networks.list.slice(0, 3)) {
        const quad = hugPolygon(network.hull, 4);
        if (!quad || Math.abs(polygonArea(quad)) < LEAST_AREA_SHARE * map.width * map.height) continue;
        if (seen.some((q) => q.every((p, i) => Math.hypot(p[0] - quad[i][0], p[1] - quad[i][1]) < 2))) continue;
        seen.push(quad);
        const found = refine(map, quad, threshold, networks, network);
        if (found) out.push(found);
      }
    }
  }
  return out;
}

/** Contrast between pale and strong ink: half of the 90th percentile of what is above noise. */
function strongThreshold(map: InkMap): number {
  const counts = new Uint32Array(256);
  let n = 0;
  for (let i = 0; i < map.ink.length; i++) {
    if (map.ink[i] > map.noise) {
      counts[map.ink[i]]++;
      n++;
    }
  }
  let seen = 0;
  let v = 0;
  while (v < 255 && seen + counts[v] < 0.9 * n) seen += counts[v++];
  return v * 0.5;
}

function refine(map: InkMap, quad: WorkPoint[], threshold: number, networks: Networks, network: Network): Found | null {
  const plane: Plane = { width: map.width, height: map.height, data: map.ink };
  let corners: WorkPoint[] = quad;
  let sides: Side[] = [];
  for (const share of [FIRST_REACH_SHARE, SECOND_REACH_SHARE]) {
    sides = corners.map((from, i) => {
      const to = corners[(i + 1) % corners.length];
      const reach = Math.max(LEAST_REACH, share * Math.hypot(to[0] - from[0], to[1] - from[1]));
      return traceSide(plane, from, to, { reach, threshold, degree: 1, outward: 0.25 });
    });
    const kept = sides.map((s) => (s.support >= LEAST_SUPPORT ? s : { ...s, bow: [0] }));
    const next = kept.map((side, i) => {
      const before = kept[(i + kept.length - 1) % kept.length];
      return crossing(sidePoint(before, 0), sidePoint(before, 1), sidePoint(side, 0), sidePoint(side, 1));
    });
    if (next.some((p) => p === null)) return null;
    corners = next as WorkPoint[];
  }
  const support = sides.reduce((sum, s) => sum + s.support, 0) / sides.length;
  const balance = insideShare(map, corners, networks, network, threshold);
  const reach = (network.area / longestSide(corners)) ** 0.5;
  const score =
    (0.25 + 0.75 * support) *
    Math.exp(-4 * (1 - balance)) *
    reach *
    Math.sqrt(Math.abs(polygonArea(corners)) / map.ink.length);
  return { map, corners, sides, how: support > 0.75 ? 'drawn-border' : 'outermost-ink', score };
}

function longestSide(corners: readonly WorkPoint[]): number {
  let longest = 0;
  corners.forEach((p, i) => {
    const q = corners[(i + 1) % corners.length];
    longest = Math.max(longest, Math.hypot(p[0] - q[0], p[1] - q[1]));
  });
  return longest;
}

/** Share of the network's ink that lies inside the outline, a stroke's width allowed. */
function insideShare(
  map: InkMap,
  corners: readonly WorkPoint[],
  networks: Networks,
  network: Network,
  threshold: number,
): number {
  let inside = 0;
  let all = 0;
  const slack = 3;
  for (let y = 0; y < map.height; y += 2) {
    for (let x = 0; x < map.width; x += 2) {
      const i = y * map.width + x;
      if (networks.labels[i] !== network.label || map.ink[i] <= threshold) continue;
      all++;
      let out = false;
      for (let k = 0; k < corners.length && !out; k++) {
        const a = corners[k];
        const b = corners[(k + 1) % corners.length];
        const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
        out = ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / length < -slack;
      }
      if (!out) inside++;
    }
  }
  return all ? inside / all : 0;
}
