/** What the marks of a network say about a traced outline. */
import { type Curve, chordOf, evaluate, offAt, type Ruler, rulerOf, shareAt, straight } from './curve.ts';
import { isSquare } from './known.ts';
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import type { WorkPoint } from './polygon.ts';
import type { SideKind } from './rim.ts';
import type { Side } from './sides.ts';

export interface Evidence {
  /** For each side, the share of its length along which marks run. */
  readonly support: readonly number[];
  /** For each side, the number of chains that come from inside and end at it. */
  readonly ends: readonly number[];
  /** For each side, the share of the lines at it that pass through it. */
  readonly crossed: readonly number[];
  /** Shares of the network's ink outside the outline, and inside it but not on it. */
  readonly outside: number;
  readonly interior: number;
  /** Ends of drawn sides at which the ink stops short of a corner with another drawn side, and with a bare one. */
  readonly bareEnds: number;
  readonly stopsShort: number;
  /** Ends of drawn sides at which the ink runs on beyond the corner. */
  readonly runsOn: number;
}

/** Marks on a side agree with its direction to this (sine). */
const PARALLEL_SINE = 0.2;
/** Marks on a side lie this near to its curve: px, or share of its length. */
const ON_SIDE_PX = 2.5;
const ON_SIDE_SHARE = 0.0025;
/** Ink beyond this is outside: px, or share of the network's extent; hand-drawn ends overshoot by about this. */
const OUTSIDE_PX = 4;
const OUTSIDE_SHARE = 0.007;
/** Ink along a side counts from this share of the border's contrast. */
const LEAST_SIDE_CONTRAST = 0.5;
/** Ends this near to a side are at it, as a share of the longest side: the last gap of a dashed line, an overshoot. */
const END_SHARE = 0.013;
/** A line that ends beyond a side by so many times that passes through it in full; in between it may be an overshoot. */
const PASSED_FULL = 2;
/** Ends may lie beyond a side's end by this share of it. */
const END_ZONE = 0.015;
/** The sides' contrast is taken from this much ink along them at least, in network extents. */
const LEAST_ALONG = 0.5;
/** Length of a bin of coverage, px, and how many a side has at least. */
const BIN_PX = 8;
const LEAST_BINS = 4;
/** A side with ink along this share of it is drawn; its stroke reaches the corner to this share, or this many bins. */
export const DRAWN_SHARE = 0.6;
const SHORT_SHARE = 0.025;
const SHORT_BINS = 2;
/** An overshoot is shorter than this share of the side; ink is looked for this far, beyond the corner's own, and is there along so much of it. */
const OVERSHOOT_SHARE = 0.035;
const CORNER_SHARE = 0.012;
const RUN_ON = 0.8;

/**
 * Weighs the outline with one network: what of it lies outside, inside, and ends at the sides. What runs along a side or across it is told by `all` marks
 * around, whatever network they belong to.
 */
export function weigh(marks: Marks, network: Network, all: Network, sides: readonly Stroked[]): Evidence {
  const lengths = sides.map(chordOf);
  const halfStroke = Math.max(...sides.map(({ width = 0 }) => width / 2));
  const slack = Math.max(OUTSIDE_PX, OUTSIDE_SHARE * Math.max(...lengths), halfStroke);
  const rulers = sides.map(rulerOf);
  const depths = depthsIn(rulers, network);
  const reference = sideContrast(network, depths);
  const like = likeness(marks, sides);
  // Lines paler than the border say little: printed squares and moire run on under it.
  const say = (contrast: number): number => Math.min(1, contrast / reference) ** 3;
  let outside = 0;
  let interior = 0;
  let total = 0;
  let [chain, said, likely] = [-1, 0, 0];
  for (let i = 0; i < network.count; i++) {
    // Points of a chain follow each other.
    if (network.chain[i] !== chain) {
      chain = network.chain[i];
      said = say(network.contrast[i]);
      likely = like(chain);
    }
    const weight = network.weight[i] * said * likely;
    total += weight;
    if (depths[i] < -slack) outside += weight;
    else if (depths[i] > slack) interior += weight;
  }
  const covers = sides.map((side) => coverBins(side, all, LEAST_SIDE_CONTRAST * reference));
  return {
    support: covers.map(shareOf),
    ...bareEndsOf(covers),
    runsOn: runsOnOf(covers, sides, all, LEAST_SIDE_CONTRAST * reference),
    ...passages(
      marks,
      network,
      all,
      rulers,
      Math.max(OUTSIDE_PX, END_SHARE * Math.max(...lengths), halfStroke),
      say,
      like,
    ),
    outside: outside / (total || 1),
    interior: interior / (total || 1),
  };
}

/** Share of the curve's length along which marks of at least that contrast run. */
export function coverageOf(side: Stroked, all: Network, leastContrast: number): number {
  return shareOf(coverBins(side, all, leastContrast));
}

/** A border's strokes end in its corners: how many ends of drawn sides run on. */
function runsOnOf(covers: readonly Uint8Array[], sides: readonly Curve[], all: Network, leastContrast: number): number {
  let count = 0;
  sides.forEach((side, k) => {
    if (shareOf(covers[k]) < DRAWN_SHARE) return;
    for (const [at, sense] of [
      [side.from, -1],
      [side.to, 1],
    ] as const) {
      const beyond = (share: number): WorkPoint => [
        at[0] + sense * share * (side.to[0] - side.from[0]),
        at[1] + sense * share * (side.to[1] - side.from[1]),
      ];
      const on = straight(beyond(CORNER_SHARE), beyond(OVERSHOOT_SHARE));
      if (shareOf(coverBins(on, all, leastContrast, 1)) > RUN_ON) count++;
    }
  });
  return count;
}

/** A curve, and how wide the stroke along it is where that is known, px: the marks of a broad stroke may lie on its flanks. */
type Stroked = Curve & { readonly width?: number };

/** 1 for each stretch of the curve along which such marks run. */
function coverBins(side: Stroked, all: Network, leastContrast: number, leastBins = LEAST_BINS): Uint8Array {
  const length = chordOf(side);
  const ux = (side.to[0] - side.from[0]) / length;
  const uy = (side.to[1] - side.from[1]) / length;
  const bins = new Uint8Array(Math.max(leastBins, Math.round(length / BIN_PX)));
  const near = Math.max(ON_SIDE_PX, ON_SIDE_SHARE * length, (side.width ?? 0) / 2);
  const ruler = rulerOf(side);
  for (let i = 0; i < all.count; i++) {
    if (all.contrast[i] < leastContrast || Math.abs(all.ux[i] * uy - all.uy[i] * ux) > PARALLEL_SINE) continue;
    const t = shareAt(ruler, all.x[i], all.y[i]);
    if (t >= 0 && t < 1 && Math.abs(offAt(ruler, all.x[i], all.y[i])) < near) bins[Math.floor(t * bins.length)] = 1;
  }
  return bins;
}

function shareOf(bins: Uint8Array): number {
  let covered = 0;
  for (const b of bins) covered += b;
  return covered / bins.length;
}

/** The strokes of a border meet in its corners, and run up to a bare edge: how many ends of drawn sides fall short of the one and of the other. */
function bareEndsOf(covers: readonly Uint8Array[]): Pick<Evidence, 'bareEnds' | 'stopsShort'> {
  const drawn = covers.map((bins) => shareOf(bins) >= DRAWN_SHARE);
  let bareEnds = 0;
  let stopsShort = 0;
  covers.forEach((bins, k) => {
    if (!drawn[k]) return;
    const most = Math.max(SHORT_BINS, SHORT_SHARE * bins.length);
    const { length } = covers;
    const count = (bare: number, beside: number): void => {
      if (bare <= most) return;
      if (drawn[beside]) bareEnds++;
      else stopsShort++;
    };
    count(bins.indexOf(1), (k + length - 1) % length);
    count(bins.length - 1 - bins.lastIndexOf(1), (k + 1) % length);
  });
  return { bareEnds, stopsShort };
}

/** Distance inside the outline, px; negative outside. */
export function depthIn(sides: readonly Ruler[], x: number, y: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (const side of sides) least = Math.min(least, -offAt(side, x, y));
  return least;
}

/** Distance inside the outline of each of the network's points, px; negative outside. */
function depthsIn(sides: readonly Ruler[], { count, x, y }: Network): Float64Array {
  const depths = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  for (const side of sides) {
    for (let i = 0; i < count; i++) {
      const depth = -offAt(side, x[i], y[i]);
      if (depth < depths[i]) depths[i] = depth;
    }
  }
  return depths;
}

/** Mean contrast of the network's ink along the sides; of all of it where they are bare. `depths`: inside the outline, px. */
function sideContrast({ count, contrast, weight, extent }: Network, depths: Float64Array): number {
  let [along, alongWeight, all, allWeight] = [0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    const part = contrast[i] * weight[i];
    all += part;
    allWeight += weight[i];
    if (Math.abs(depths[i]) >= ON_SIDE_PX) continue;
    along += part;
    alongWeight += weight[i];
  }
  if (alongWeight > LEAST_ALONG * extent) return along / alongWeight;
  return allWeight > 0 ? all / allWeight : 0;
}

/** Creases bend as the sheet does, this many times as much as its sides do, and this share of their length more, or px: a hand's wobble. */
const BEND_PER_BOW = 2;
const BEND_SHARE = 0.008;
const BEND_PX = 2;
/** Chains less like a crease than this are none. */
export const LIKELY = 0.5;

/** How much each chain is like a crease, 0..1: straight, as far as the sides are. Bands of moire, grain of wood and letters bend. */
export function likeness(marks: Marks, sides: readonly Curve[]): (chain: number) => number {
  let bow = 0;
  for (const side of sides) {
    const length = chordOf(side);
    for (const t of [0.25, 0.5, 0.75]) bow = Math.max(bow, Math.abs(evaluate(side.bow, t)) / length);
  }
  const share = BEND_SHARE + BEND_PER_BOW * bow;
  return (c) => {
    const { ax, ay, bx, by, bend } = marks.chains[c];
    const allowed = Math.max(BEND_PX, share * Math.hypot(bx - ax, by - ay));
    return Math.min(1, Math.max(0, 2 - bend / allowed));
  };
}

/**
 * For each side: how many of the network's chains come from inside and end there, and what share of all lines there passes through. Chains that lie along a
 * side do not count. `near`: how far from a side its ends lie at most, px.
 */
function passages(
  marks: Marks,
  network: Network,
  all: Network,
  sides: readonly Ruler[],
  near: number,
  say: (contrast: number) => number,
  like: (chain: number) => number,
): { ends: number[]; crossed: number[] } {
  const ends = sides.map(() => 0);
  const stopped = sides.map(() => 0);
  const passed = sides.map(() => 0);
  const own = new Set(network.chains);
  const offA = new Float64Array(sides.length);
  const offB = new Float64Array(sides.length);
  for (const c of all.chains) {
    const { ax, ay, bx, by, contrast } = marks.chains[c];
    const weight = say(contrast) * like(c);
    for (let k = 0; k < sides.length; k++) {
      offA[k] = offAt(sides[k], ax, ay);
      offB[k] = offAt(sides[k], bx, by);
    }
    if (sides.some((_, k) => Math.abs(offA[k]) < near && Math.abs(offB[k]) < near)) continue;
    for (let k = 0; k < sides.length; k++) {
      const isOuter = offA[k] > offB[k];
      const [outer, inner] = isOuter ? [offA[k], offB[k]] : [offB[k], offA[k]];
      if (inner > -near) continue;
      const [tA, tB] = [shareAt(sides[k], ax, ay), shareAt(sides[k], bx, by)];
      const [outerT, innerT] = isOuter ? [tA, tB] : [tB, tA];
      if (Math.abs(outer) < near) {
        if (outerT < -END_ZONE || outerT > 1 + END_ZONE) continue;
        if (own.has(c) && like(c) > LIKELY) ends[k]++;
        stopped[k] += weight;
      } else if (outer > 0) {
        const t = innerT + ((outerT - innerT) * -inner) / (outer - inner);
        if (t <= 0 || t >= 1) continue;
        const through = Math.min(1, (outer / near - 1) / (PASSED_FULL - 1));
        passed[k] += through * weight;
        stopped[k] += (1 - through) * weight;
      }
    }
  }
  return { ends, crossed: sides.map((_, k) => passed[k] / (passed[k] + stopped[k] + 1)) };
}

/** What a side counts for without ink: a sheet's edge, a line where the other sides have none, the picture's edge with and without creases that end there, creases' ends alone. */
const SHEET_EDGE = 0.7;
const LINE_BESIDE_SHEET = 0.65;
const SHEET_EDGE_NO_ENDS = 0.45;
const PICTURE_EDGE = 0.55;
const LINE_BESIDE_PICTURE = 0.5;
const PICTURE_EDGE_NO_ENDS = 0.25;
const ENDS_ALONE = 0.5;
/** So many ends count in full. */
const ENDS_FULL = 4;
/** Worth of creases ending at every side, as they do in nearly every pattern, in the units of the score. */
const ENDS_WORTH = 0.8;
/** Mean departure of the corners from right angles that costs nothing (6 degrees), and the price of each radian more. */
const SKEW_FREE = 0.1;
const SKEW_PRICE = 3;
/** That share of lines that pass through is forgiven: an arrow, a long overshoot. */
const CROSSED_FREE = 0.1;

/** A square picture with creases that end at so many of its edges is the sheet, whether or not any ends at the last. */
const EDGES_WITH_ENDS = 3;

/** True where creases end at nearly all edges of a square picture: most sheets are square, and pictures cut to them. */
function fillsSquare({ ends }: Evidence, sides: readonly Side[]): boolean {
  return ends.filter((count) => count > 0).length >= EDGES_WITH_ENDS && isSquare(sides);
}

/** How well each side is backed, about -1..1. */
export function sideEvidence(evidence: Evidence, kinds: readonly SideKind[], sides: readonly Side[]): number[] {
  const endsAtEdges = evidence.ends.reduce((s, n, k) => s + (kinds[k] === 'sheet' ? n : 0), 0);
  // Borders are drawn all round or not at all: where half of the sides or more are bare edges, a line along another is as likely a crease.
  const bare = evidence.support.filter((share) => share < DRAWN_SHARE).length;
  const beside = kinds.includes('sheet') ? LINE_BESIDE_SHEET : kinds.includes('picture') ? LINE_BESIDE_PICTURE : 1;
  const mostOf = (kind: SideKind): number =>
    2 * bare >= sides.length && kind !== 'sheet' && kind !== 'picture' ? beside : 1;
  const atPicture = kinds.every((kind) => kind === 'picture') && fillsSquare(evidence, sides);
  return sides.map((side, k) => {
    const ends = Math.min(1, evidence.ends[k] / ENDS_FULL);
    let without = ENDS_ALONE * ends;
    if (kinds[k] === 'sheet') without = (endsAtEdges >= 2 ? SHEET_EDGE : SHEET_EDGE_NO_ENDS) * side.support;
    if (kinds[k] === 'picture')
      without = evidence.ends[k] > 0 || atPicture ? PICTURE_EDGE + 0.1 * ends : PICTURE_EDGE_NO_ENDS;
    return (
      Math.max(Math.min(mostOf(kinds[k]), evidence.support[k]), without) -
      1.5 * Math.max(0, evidence.crossed[k] - CROSSED_FREE)
    );
  });
}

/**
 * Price of corners that are far from square: a square needs a strong perspective to be seen so. In the units of the score; 0 for other numbers of corners
 * than four.
 */
export function skewPrice(sides: readonly Curve[]): number {
  if (sides.length !== 4) return 0;
  let off = 0;
  sides.forEach((side, k) => {
    const next = sides[(k + 1) % 4];
    const turn =
      Math.atan2(next.to[1] - next.from[1], next.to[0] - next.from[0]) -
      Math.atan2(side.to[1] - side.from[1], side.to[0] - side.from[0]);
    off += Math.abs(Math.abs(Math.atan2(Math.sin(turn), Math.cos(turn))) - Math.PI / 2) / 4;
  });
  return SKEW_PRICE * Math.max(0, off - SKEW_FREE);
}

/** One number to compare outlines by; `mass` is the network's share of the heaviest one's mass. */
export function totalScore(evidence: Evidence, shares: readonly number[], mass: number): number {
  const mean = shares.reduce((s, v) => s + v, 0) / shares.length;
  return (
    3 * mean +
    (ENDS_WORTH * evidence.ends.filter((n) => n > 0).length) / shares.length +
    1.5 * Math.min(...shares) -
    8 * evidence.outside +
    0.35 * Math.log(mass) +
    0.35 * Math.log(Math.max(0.02, evidence.interior))
  );
}
