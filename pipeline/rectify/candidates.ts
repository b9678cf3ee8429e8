/** Outlines worth tracing: from every network of marks, on every sheet and on the picture as a whole. */
import type { Chain } from './chains.ts';
import type { Curve } from './curve.ts';
import { guessOutlines } from './guesses.ts';
import type { InkMap } from './inkmap.ts';
import { cutEdges, sheetLines } from './known.ts';
import { contrastLevels } from './levels.ts';
import { type Marks, marksWithin } from './marks.ts';
import { findNetworks, type Network } from './networks.ts';
import type { Region } from './regions.ts';
import type { KnownLine, SideKind } from './rim.ts';

export interface Candidate {
  /** Clockwise on the screen, each from its corner to the next. */
  readonly sides: readonly Curve[];
  readonly kinds: readonly SideKind[];
  readonly network: Network;
  /** Every line on the same sheet, or picture, as one network. */
  readonly all: Network;
  readonly marks: Marks;
  readonly map: InkMap;
  /** Coverage less ink outside, before tracing. */
  readonly quick: number;
  /** The network's mass as a share of the heaviest one on the same sheet, or picture. */
  readonly mass: number;
  /** Lies on a sheet that stands out from the desk. */
  readonly onSheet: boolean;
  /** 0 for marks that touch, 1 and 2 for marks joined over wider and wider gaps. */
  readonly looseness: number;
  /** Traced beside the best ones, whatever its quick score. */
  readonly reserved: boolean;
}

/** Where the marks of candidates may lie. */
export interface Ground {
  readonly marks: Marks;
  /** Chains that take part; all where absent. */
  readonly takes?: (chain: number) => boolean;
  readonly known: readonly KnownLine[];
  readonly onSheet: boolean;
}

/** Chains shorter than this share of the longest side take no part: words, specks. */
const LEAST_CHAIN_SHARE = 0.008;
/** Gaps between marks of one network, as shares of the longest side. */
const REACHES = [0.006, 0.014, 0.1];
/** Chains shorter than this share of the longest side are not joined over the widest gaps. */
const LEAST_WIDE_SHARE = 0.02;
/** Patterns smaller than this share of the longest side are not looked for. */
const LEAST_EXTENT_SHARE = 0.12;
/** Lines are at least this share of the longest side long, and bend by less than this share of their length, or px. */
const LINE_SHARE = 0.04;
const LINE_BEND = 0.01;
const LINE_BEND_PX = 2;
/** Of chains this long, two lines at a narrow angle that pass for one are lines, too. */
const LONG_SHARE = 0.2;
const LONG_BEND = 0.03;
/** Marks are cluttered when more than this share of their length is no such lines. */
const CLUTTERED = 0.3;
/** From this share on they are also joined without the clutter. */
const SOME_CLUTTER = 0.15;
/** Networks looked at on each ground and way of joining. */
const NETWORKS_EACH = 3;
/** Step of light at a region's border that makes it surely a sheet, grey levels. */
const CLEAR_EDGE = 35;

/** The grounds of a picture: each sheet found on it, and the whole. */
export function groundsOf(map: InkMap, marks: Marks, regions: readonly Region[]): Ground[] {
  return [
    ...regions.map((region) => ({
      marks: marksWithin(map, marks, region),
      known: sheetLines(region),
      onSheet: isClear(region),
    })),
    { marks, known: cutEdges(map, marks), onSheet: false },
  ];
}

export function isClear(region: Region): boolean {
  return region.edge > CLEAR_EDGE;
}

export function candidatesOn(ground: Ground, map: InkMap): Candidate[] {
  const { marks } = ground;
  const groups = networksOn(ground, map);
  const all = allMarks(ground, map);
  if (!all) return [];
  const heaviest = Math.max(0, ...groups.map((g) => g.network.mass));
  const out: Candidate[] = [];
  for (const { network, looseness } of groups) {
    for (const guess of guessOutlines(marks, network, map.width, map.height, ground.known)) {
      out.push({
        sides: guess.sides,
        kinds: guess.kinds,
        network,
        all,
        marks,
        map,
        quick: guess.score,
        mass: network.mass / heaviest,
        reserved: guess.reserved,
        looseness,
        onSheet: ground.onSheet,
      });
    }
  }
  return out;
}

/** Every line of some length on the ground, as one network. */
export function allMarks(ground: Ground, map: InkMap): Network | null {
  const longest = Math.max(map.width, map.height);
  const networks = findNetworks(ground.marks, map.width, map.height, {
    reach: longest,
    takes: (c) => ground.marks.chains[c].inkLength >= LEAST_CHAIN_SHARE * longest && (ground.takes?.(c) ?? true),
    leastExtent: 0,
  });
  return networks[0] ?? null;
}

/** A way of joining marks to networks. */
interface Way {
  readonly reach: number;
  readonly looseness: number;
  /** At every level of contrast, or all in one. */
  readonly levels: readonly number[];
  readonly takes: (chain: number) => boolean;
}

/** The heaviest networks, joined in each way and at each level of contrast; the same network once. */
function networksOn(ground: Ground, map: InkMap): { network: Network; looseness: number }[] {
  const longest = Math.max(map.width, map.height);
  const { marks } = ground;
  const out: { network: Network; looseness: number }[] = [];
  const seen = new Set<string>();
  for (const { reach, looseness, levels, takes } of waysOn(ground, longest)) {
    for (const level of levels) {
      const networks = findNetworks(marks, map.width, map.height, {
        reach,
        takes: (c) => marks.chains[c].contrast >= level && takes(c),
        leastExtent: LEAST_EXTENT_SHARE * longest,
      });
      for (const network of networks.slice(0, NETWORKS_EACH)) {
        const key = `${network.chains.length} ${network.length} ${network.mass}`;
        if (seen.has(key)) continue;
        seen.add(key);
        out.push({ network, looseness });
      }
    }
  }
  return out;
}

function waysOn({ marks, takes }: Ground, longest: number): Way[] {
  const { chains } = marks;
  const some = chains.map((chain, c) => chain.inkLength >= LEAST_CHAIN_SHARE * longest && (takes?.(c) ?? true));
  const levels = contrastLevels(marks);
  const ways: Way[] = REACHES.map((share, looseness) => {
    const reach = Math.max(3, share * longest);
    // Over the widest gaps everything is joined, so only lines of some length and of any contrast take part.
    return looseness < REACHES.length - 1
      ? { reach, looseness, levels, takes: (c) => some[c] }
      : { reach, looseness, levels: [0], takes: (c) => some[c] && chains[c].inkLength >= LEAST_WIDE_SHARE * longest };
  });
  // Moire and grain join with everything they touch: the long straight lines are looked at alone, too.
  const heard = chains.filter((_, c) => some[c]);
  if (isCluttered(heard, longest, SOME_CLUTTER))
    ways.push({ ...ways[1], takes: (c) => some[c] && isLine(chains[c], longest) });
  return ways;
}

/** True where much of the chains' ink is no long straight line: moire, grain, letters. */
export function isCluttered(chains: readonly Chain[], longest: number, most = CLUTTERED): boolean {
  let all = 0;
  let lines = 0;
  for (const chain of chains) {
    all += chain.inkLength;
    if (isLine(chain, longest)) lines += chain.inkLength;
  }
  return all - lines > most * all;
}

/** True for a long straight chain. */
function isLine({ ax, ay, bx, by, bend }: Chain, longest: number): boolean {
  const length = Math.hypot(bx - ax, by - ay);
  const most = length >= LONG_SHARE * longest ? LONG_BEND : LINE_BEND;
  return length >= LINE_SHARE * longest && bend < Math.max(LINE_BEND_PX, most * length);
}
