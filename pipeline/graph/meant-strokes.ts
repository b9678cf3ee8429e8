/** Strokes as a hand draws them for lines in multiples of 22.5 degrees: how far each may be from where it was meant. */
import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';
import type { Stretch } from './nodes.ts';

/** Directions of the family are multiples of this, radians. */
export const EIGHTH = Math.PI / 8;
/** A stroke's ends may lie so many times as far beside its line as its middle, and so far along it off the vertex where it ends. */
export const END_STRAYS = 1.5;
/** No stroke turns by more, radians, however short. */
export const MOST_TURN = (8 * Math.PI) / 180;
/** The middle may be off by less than this share of the distance to the next stroke beside it: else the two are not told apart. */
const GAP_SHARE = 0.4;
/** Places nearer than this are one by the rounding of their derivation. */
export const ROUNDING = 1e-6;
/** Shorter runs, as a share of the longest, are ink of other strokes that the carrier passes. */
const SCRAP = 0.15;

/** A carrier as one stroke from its first ink to its last. */
export interface Stroke {
  readonly carrier: Carrier;
  readonly from: number;
  readonly to: number;
  readonly middle: PatternPoint;
  /** Length of its ink. */
  readonly length: number;
  /** How far its middle may lie beside where it was meant. */
  readonly stray: number;
  /** Normal of the direction that it was meant to have; null where it has none of the family. */
  readonly normal: readonly [number, number] | null;
}

/** The stroke along a carrier that has ink there; null where that is none. `stray` is how far its middle may lie beside its line. */
export function strokeOf(carrier: Carrier, all: readonly Stretch[], stray: number): Stroke | null {
  if (all.length === 0) return null;
  const longest = Math.max(...all.map((r) => r.to - r.from));
  const runs = all.filter((r) => r.to - r.from >= SCRAP * longest);
  const from = Math.min(...runs.map((r) => r.from));
  const to = Math.max(...runs.map((r) => r.to));
  const middle = pointOn(carrier, (from + to) / 2);
  const angle = Math.atan2(carrier.dy, carrier.dx);
  const meant = Math.round(angle / EIGHTH) * EIGHTH;
  const most = Math.min(MOST_TURN, (2 * END_STRAYS * stray) / (to - from));
  const length = runs.reduce((sum, r) => sum + r.to - r.from, 0);
  const normal = Math.abs(angle - meant) <= most ? ([-Math.sin(meant), Math.cos(meant)] as const) : null;
  return { carrier, from, to, middle, length, stray, normal };
}

/** The place at a position along a carrier. */
export function pointOn({ nx, ny, dx, dy, off }: Carrier, t: number): PatternPoint {
  return [nx * off + dx * t, ny * off + dy * t];
}

/** The strokes, those that run beside another in one direction held the nearer to their places. */
export function apart(strokes: readonly (Stroke | null)[]): (Stroke | null)[] {
  return strokes.map((a, i) => {
    if (!a?.normal) return a;
    const [nx, ny] = a.normal;
    let stray = a.stray;
    strokes.forEach((b, j) => {
      if (j === i || !b?.normal || Math.abs(nx * b.normal[1] - ny * b.normal[0]) > ROUNDING) return;
      const sense = a.carrier.dx * b.carrier.dx + a.carrier.dy * b.carrier.dy;
      const [low, high] = sense > 0 ? [b.from, b.to] : [-b.to, -b.from];
      const overlap = Math.min(a.to, high) - Math.max(a.from, low);
      if (overlap < OVERLAP * Math.min(a.to - a.from, b.to - b.from)) return;
      const gap = Math.abs(nx * (a.middle[0] - b.middle[0]) + ny * (a.middle[1] - b.middle[1]));
      if (gap > SAME_STROKE * a.stray) stray = Math.min(stray, GAP_SHARE * gap);
    });
    return { ...a, stray };
  });
}

/** So near, in strays, they are one stroke that bows, or was drawn twice. */
const SAME_STROKE = 0.8;
/** Strokes of one direction run beside each other if they do so over this share of the shorter. */
const OVERLAP = 0.3;

/** How far along a stroke a place lies beyond its ends; negative between them. */
export function outside({ carrier: { dx, dy }, from, to }: Stroke, [x, y]: PatternPoint): number {
  const t = dx * x + dy * y;
  return Math.max(from - t, t - to);
}

/** How far a place lies beside a stroke. */
export function besideOf({ carrier: { nx, ny, off } }: Stroke, [x, y]: PatternPoint): number {
  return Math.abs(nx * x + ny * y - off);
}
