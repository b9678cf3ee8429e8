/** What the marks of a network say about a traced outline. */
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import type { WorkPoint } from './polygon.ts';
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
/** Length of a bin of coverage, px. */
const BIN_PX = 8;

export function weigh(marks: Marks, network: Network, sides: readonly Side[]): Evidence {
  const lengths = sides.map((s) => Math.hypot(s.to[0] - s.from[0], s.to[1] - s.from[1]));
  const bins = lengths.map((l) => new Uint8Array(Math.max(4, Math.round(l / BIN_PX))));
  const slack = Math.max(OUTSIDE_PX, OUTSIDE_SHARE * network.extent);
  const beyond = new Float64Array(sides.length);
  const within = new Float64Array(sides.length);
  let outside = 0;
  let interior = 0;
  for (let i = 0; i < network.count; i++) {
    let worst = Number.NEGATIVE_INFINITY;
    for (let k = 0; k < sides.length; k++) {
      const side = sides[k];
      const { t, off } = offsetFromSide(side, network.x[i], network.y[i]);
      if (off > worst) worst = off;
      const ux = (side.to[0] - side.from[0]) / lengths[k];
      const uy = (side.to[1] - side.from[1]) / lengths[k];
      const parallel = Math.abs(network.ux[i] * uy - network.uy[i] * ux) < PARALLEL_SINE;
      if (t < 0 || t >= 1) continue;
      if (parallel) {
        if (Math.abs(off) < Math.max(ON_SIDE_PX, ON_SIDE_SHARE * lengths[k]))
          bins[k][Math.floor(t * bins[k].length)] = 1;
      } else if (off > slack && off < 4 * slack) beyond[k] += network.weight[i];
      else if (off < -slack && off > -4 * slack) within[k] += network.weight[i];
    }
    if (worst > slack) outside += network.weight[i];
    else if (worst < -slack) interior += network.weight[i];
  }
  return {
    support: bins.map((b) => b.reduce((s, v) => s + v, 0) / b.length),
    ends: countEnds(marks, network, sides, slack),
    crossed: sides.map((_, k) => beyond[k] / (beyond[k] + within[k] + slack)),
    outside: outside / network.length,
    interior: interior / network.length,
  };
}

function countEnds(marks: Marks, network: Network, sides: readonly Side[], slack: number): number[] {
  const ends = sides.map(() => 0);
  for (const c of network.chains) {
    const chain = marks.chains[c];
    const a: WorkPoint = [chain.ax, chain.ay];
    const b: WorkPoint = [chain.bx, chain.by];
    sides.forEach((side, k) => {
      for (const [end, other] of [
        [a, b],
        [b, a],
      ]) {
        const here = offsetFromSide(side, end[0], end[1]);
        if (here.t < -0.01 || here.t > 1.01 || Math.abs(here.off) > slack) continue;
        // Comes from inside: the other end is clearly further in.
        if (offsetFromSide(side, other[0], other[1]).off < -2.5 * slack) ends[k]++;
      }
    });
  }
  return ends;
}

/** What a side counts for without ink: a sheet's edge, the picture's edge with and without creases that end there, creases' ends alone. */
const SHEET_EDGE = 0.8;
const SHEET_EDGE_NO_ENDS = 0.45;
const PICTURE_EDGE = 0.55;
const PICTURE_EDGE_NO_ENDS = 0.25;
const ENDS_ALONE = 0.5;
/** So many ends count in full. */
const ENDS_FULL = 4;
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

/** One number to compare outlines by; `mass` is the network's share of the heaviest one's mass. */
export function totalScore(evidence: Evidence, shares: readonly number[], mass: number): number {
  const mean = shares.reduce((s, v) => s + v, 0) / shares.length;
  return (
    3 * mean +
    1.5 * Math.min(...shares) -
    8 * evidence.outside +
    0.35 * Math.log(mass) +
    0.35 * Math.log(Math.max(0.02, evidence.interior))
  );
}
