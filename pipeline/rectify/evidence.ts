/** What the marks of a network say about a traced outline. */
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import type { SideKind } from './quads.ts';
import { offsetFromSide, type Side } from './sides.ts';

export interface Evidence {
  /** For each side, the share of its length along which marks run. */
  readonly support: readonly number[];
  /** For each side, the number of chains that come from inside and end at it. */
  readonly ends: readonly number[];
  /** For each side, the share of the lines at it that go on beyond it. */
  readonly crossed: readonly number[];
  /** Shares of the network's ink outside the outline, and inside it but not on it. */
  readonly outside: number;
  readonly interior: number;
}

/** Marks on a side agree with its direction to this (sine). */
const PARALLEL_SINE = 0.2;
/** Marks on a side lie this near to its curve: px, or share of its length. */
const ON_SIDE_PX = 2.5;
const ON_SIDE_SHARE = 0.0025;
/** Ink beyond this is outside: px, or share of the network's extent; hand-drawn ends overshoot by about this. */
const OUTSIDE_PX = 4;
const OUTSIDE_SHARE = 0.007;
/** Ends may lie beyond a side's end by this share of it. */
const END_ZONE = 0.015;
/** The sides' contrast is taken from this much ink along them at least, in network extents. */
const LEAST_ALONG = 0.5;
/** Length of a bin of coverage, px. */
const BIN_PX = 8;

export function weigh(marks: Marks, network: Network, sides: readonly Side[]): Evidence {
  const lengths = sides.map((s) => Math.hypot(s.to[0] - s.from[0], s.to[1] - s.from[1]));
  const bins = lengths.map((l) => new Uint8Array(Math.max(4, Math.round(l / BIN_PX))));
  const slack = Math.max(OUTSIDE_PX, OUTSIDE_SHARE * network.extent);
  // Where each sample point lies: the side it runs along or comes near to, and how far it is outside all sides.
  const along = new Int8Array(network.count).fill(-1);
  const worst = new Float32Array(network.count).fill(Number.NEGATIVE_INFINITY);
  const near = new Int8Array(network.count).fill(-1);
  const nearOff = new Float32Array(network.count);
  for (let i = 0; i < network.count; i++) {
    for (let k = 0; k < sides.length; k++) {
      const side = sides[k];
      const { t, off } = offsetFromSide(side, network.x[i], network.y[i]);
      if (off > worst[i]) worst[i] = off;
      if (t < 0 || t >= 1 || Math.abs(off) > 4 * slack) continue;
      const ux = (side.to[0] - side.from[0]) / lengths[k];
      const uy = (side.to[1] - side.from[1]) / lengths[k];
      if (Math.abs(network.ux[i] * uy - network.uy[i] * ux) >= PARALLEL_SINE) {
        near[i] = k;
        nearOff[i] = off;
      } else if (Math.abs(off) < Math.max(ON_SIDE_PX, ON_SIDE_SHARE * lengths[k])) {
        bins[k][Math.floor(t * bins[k].length)] = 1;
        along[i] = k;
      }
    }
  }
  const reference = sideContrast(network, along);
  const beyond = new Float64Array(sides.length);
  const within = new Float64Array(sides.length);
  let outside = 0;
  let interior = 0;
  let total = 0;
  for (let i = 0; i < network.count; i++) {
    // Lines paler than the border say little: printed squares run on under it.
    const weight = network.weight[i] * Math.min(1, network.contrast[i] / reference) ** 2;
    total += weight;
    if (worst[i] > slack) outside += weight;
    else if (worst[i] < -slack) interior += weight;
    if (near[i] < 0) continue;
    if (nearOff[i] > slack) beyond[near[i]] += weight;
    else if (nearOff[i] < -slack) within[near[i]] += weight;
  }
  return {
    support: bins.map((b) => b.reduce((s, v) => s + v, 0) / b.length),
    ends: countEnds(marks, network, sides, slack),
    crossed: sides.map((_, k) => beyond[k] / (beyond[k] + within[k] + slack)),
    outside: outside / total,
    interior: interior / total,
  };
}

/** Mean contrast of the ink along the sides; of all the network where they are bare. */
function sideContrast(network: Network, along: Int8Array): number {
  let sum = 0;
  let weight = 0;
  for (const onlySides of [true, false]) {
    for (let i = 0; i < network.count; i++) {
      if (onlySides && along[i] < 0) continue;
      sum += network.contrast[i] * network.weight[i];
      weight += network.weight[i];
    }
    if (weight > LEAST_ALONG * network.extent) break;
  }
  return sum / weight;
}

/** Ends of chains at each side, of chains that come from inside; chains that lie along a side themselves do not count. */
function countEnds(marks: Marks, network: Network, sides: readonly Side[], slack: number): number[] {
  const ends = sides.map(() => 0);
  for (const c of network.chains) {
    const { ax, ay, bx, by } = marks.chains[c];
    const a = sides.map((side) => offsetFromSide(side, ax, ay));
    const b = sides.map((side) => offsetFromSide(side, bx, by));
    if (sides.some((_, k) => Math.abs(a[k].off) < slack && Math.abs(b[k].off) < slack)) continue;
    sides.forEach((_, k) => {
      for (const [here, other] of [
        [a[k], b[k]],
        [b[k], a[k]],
      ]) {
        const stops = here.t > -END_ZONE && here.t < 1 + END_ZONE && Math.abs(here.off) < slack;
        if (stops && other.off < -2.5 * slack) ends[k]++;
      }
    });
  }
  return ends;
}

/** What a side counts for without ink: a sheet's edge, the picture's edge with and without creases that end there, creases' ends alone. */
const SHEET_EDGE = 0.7;
const SHEET_EDGE_NO_ENDS = 0.45;
const PICTURE_EDGE = 0.55;
const PICTURE_EDGE_NO_ENDS = 0.25;
const ENDS_ALONE = 0.5;
/** So many ends count in full. */
const ENDS_FULL = 4;
/** Worth of creases ending at every side, as they do in nearly every pattern, in the units of the score. */
const ENDS_WORTH = 0.8;
/** Mean departure of the corners from right angles that costs nothing (10 degrees), and the price of each radian more. */
const SKEW_FREE = 0.17;
const SKEW_PRICE = 2;
/** Overshoots of hand-drawn lines: that share of crossing is forgiven. */
const CROSSED_FREE = 0.12;

/** How well each side is backed, about -1..1. */
export function sideEvidence(evidence: Evidence, kinds: readonly SideKind[], sides: readonly Side[]): number[] {
  const endsAtEdges = evidence.ends.reduce((s, n, k) => s + (kinds[k] === 'sheet' ? n : 0), 0);
  return sides.map((side, k) => {
    const ends = Math.min(1, evidence.ends[k] / ENDS_FULL);
    let bare = ENDS_ALONE * ends;
    if (kinds[k] === 'sheet') bare = (endsAtEdges >= 2 ? SHEET_EDGE : SHEET_EDGE_NO_ENDS) * side.support;
    if (kinds[k] === 'picture') bare = evidence.ends[k] > 0 ? PICTURE_EDGE + 0.1 * ends : PICTURE_EDGE_NO_ENDS;
    return Math.max(evidence.support[k], bare) - 3 * Math.max(0, evidence.crossed[k] - CROSSED_FREE);
  });
}

/**
 * Price of corners that are far from square: a square needs a strong perspective to be seen so. In the units of the score; 0 for other numbers of corners
 * than four.
 */
export function skewPrice(sides: readonly Side[]): number {
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
