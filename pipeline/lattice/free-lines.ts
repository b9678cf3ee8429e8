import { halfSpan } from '../geometry/segment-ends.ts';
import type { StraightSegment } from './straight-segment.ts';

export interface FreeSegment extends StraightSegment {
  /** Ridge point indices of the segment. */
  readonly points: Int32Array;
  /** How far its ink bows off it, pattern units, where it is made of several pieces. */
  readonly bow?: number;
}

export interface FreeLine {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
  /** Summed length of its segments, pattern units. */
  readonly length: number;
  readonly members: readonly FreeSegment[];
  /** Its ink lies so much farther off it than that of steady strokes: it bows, or the line was turned to the family's direction; pattern units. */
  readonly aside: number;
}

/** Running sums of segments on one line, weighted by length, and the stretch they span along it. */
interface Group {
  w: number;
  x: number;
  y: number;
  xx: number;
  xy: number;
  yy: number;
  nx: number;
  ny: number;
  off: number;
  low: number;
  high: number;
  members: FreeSegment[];
  turned: number;
}

/**
 * Gathers collinear free segments, longest first, into lines by weighted refitting; then joins lines that one straight
 * line explains. `stray` is how far a segment's end may lie off its line; all lengths in pattern units. Where nearly all
 * ink runs at multiples of 22.5 degrees, lines that do are turned to them exactly.
 */
export function gatherFree(free: readonly FreeSegment[], px: number, stray: number): FreeLine[] {
  const groups: Group[] = [];
  // Only where lines are turned to exact directions does a common line of two strokes leave the ink of both.
  const mayJoin = keepsToEighths(free) ? (a: Group, b: Group) => agree(a, b, px, stray) : () => true;
  for (const s of [...free].sort((u, v) => v.length - u.length)) {
    let home: Group | null = null;
    let homeMiss = Infinity;
    for (const g of groups) {
      const miss = endMiss(g, s);
      // A short line knows its direction poorly: allow more the farther away the piece lies.
      const t = g.ny * s.x - g.nx * s.y;
      const away = Math.max(0, g.low - t, t - g.high);
      const limit = stray + (0.5 * px * away) / Math.max(g.high - g.low, px);
      if (miss < Math.min(limit, 3 * stray) && miss < homeMiss && mayJoin(g, startGroup(s))) {
        home = g;
        homeMiss = miss;
      }
    }
    if (home) addTo(home, s);
    else groups.push(startGroup(s));
  }
  joinGroups(groups, stray, mayJoin);
  const turned = alignToEighths(groups, stray);
  return turned.map((g) => ({
    nx: g.nx,
    ny: g.ny,
    off: g.off,
    length: g.members.reduce((sum, m) => sum + m.length, 0),
    members: g.members,
    aside: g.members.reduce((most, { bow = 0 }) => Math.max(most, bow), g.turned),
  }));
}

function startGroup(s: FreeSegment): Group {
  const g: Group = {
    w: 0,
    x: 0,
    y: 0,
    xx: 0,
    xy: 0,
    yy: 0,
    nx: 0,
    ny: 0,
    off: 0,
    low: Infinity,
    high: -Infinity,
    members: [],
    turned: 0,
  };
  addTo(g, s);
  return g;
}

function addTo(g: Group, s: FreeSegment): void {
  const ux = Math.cos(s.angle);
  const uy = Math.sin(s.angle);
  const w = s.length;
  const spread = (w * s.length * s.length) / 12;
  g.members.push(s);
  g.w += w;
  g.x += w * s.x;
  g.y += w * s.y;
  g.xx += w * s.x * s.x + spread * ux * ux;
  g.xy += w * s.x * s.y + spread * ux * uy;
  g.yy += w * s.y * s.y + spread * uy * uy;
  refit(g);
}

function refit(g: Group): void {
  const mx = g.x / g.w;
  const my = g.y / g.w;
  const angle = 0.5 * Math.atan2(2 * (g.xy / g.w - mx * my), g.xx / g.w - mx * mx - (g.yy / g.w - my * my));
  turnTo(g, angle);
}

/** Gives the line this direction through the middle of its segments, and measures the stretch anew. */
function turnTo(g: Group, angle: number): void {
  g.nx = -Math.sin(angle);
  g.ny = Math.cos(angle);
  g.off = (g.nx * g.x + g.ny * g.y) / g.w;
  g.low = Infinity;
  g.high = -Infinity;
  for (const m of g.members) {
    const t = g.ny * m.x - g.nx * m.y;
    g.low = Math.min(g.low, t - m.length / 2);
    g.high = Math.max(g.high, t + m.length / 2);
  }
}

/** The greater distance of the segment's two ends from the line. */
export function endMiss(g: Pick<Group, 'nx' | 'ny' | 'off'>, s: StraightSegment): number {
  const [hx, hy] = halfSpan(s);
  return Math.max(
    Math.abs(g.nx * (s.x + hx) + g.ny * (s.y + hy) - g.off),
    Math.abs(g.nx * (s.x - hx) + g.ny * (s.y - hy) - g.off),
  );
}

/** The greatest distance of the segments' ends from their line. */
function farthest(g: Group): number {
  return g.members.reduce((most, m) => Math.max(most, endMiss(g, m)), 0);
}

/** Lines whose directions differ more than this are not tried as one, radians. */
const JOIN_TURN = 0.06;

/** Joins two lines into one where the common fit keeps every segment within `stray`. */
function joinGroups(groups: Group[], stray: number, mayJoin: (a: Group, b: Group) => boolean): void {
  for (let i = 0; i < groups.length; i++) {
    for (let j = groups.length - 1; j > i; j--) {
      const a = groups[i];
      const b = groups[j];
      if (Math.abs(a.nx * b.ny - a.ny * b.nx) > JOIN_TURN) continue;
      const mx = b.x / b.w;
      const my = b.y / b.w;
      if (Math.abs(a.nx * mx + a.ny * my - a.off) > 4 * stray) continue;
      const joint = joined(a, b);
      if (joint.members.some((m) => endMiss(joint, m) > stray) || !mayJoin(a, b)) continue;
      groups[i] = joint;
      groups.splice(j, 1);
    }
  }
}

function joined(a: Group, b: Group): Group {
  const joint: Group = {
    ...a,
    w: a.w + b.w,
    x: a.x + b.x,
    y: a.y + b.y,
    xx: a.xx + b.xx,
    xy: a.xy + b.xy,
    yy: a.yy + b.yy,
    members: [...a.members, ...b.members],
  };
  refit(joint);
  return joint;
}

/**
 * Far-off strokes are one line only where it turns their ends by no more than this off their own directions: px, or a share of the stray;
 * for a stroke shorter than SURE_PX by more, as the root of its length: fewer points tell its direction.
 */
const TURNED_PX = 0.4;
const TURNED_SHARE = 0.15;
const SURE_PX = 100;

/**
 * Whether two lines may be one as their directions go: a straight line through two short strokes far apart leaves neither's
 * place by much, however far beside each other they run, but turns both. Where they are near, places say enough.
 */
function agree(a: Group, b: Group, px: number, stray: number): boolean {
  const joint = joined(a, b);
  const [spanA, spanB] = [a.high - a.low, b.high - b.low];
  if (joint.high - joint.low - spanA - spanB <= Math.min(spanA, spanB)) return true;
  const most = Math.max(TURNED_PX * px, TURNED_SHARE * stray);
  return [a, b].every((g) => {
    const span = Math.max(px, g.high - g.low);
    const turned = (Math.abs(joint.nx * g.ny - joint.ny * g.nx) * span) / 2;
    return turned <= most * Math.max(1, Math.sqrt((SURE_PX * px) / span));
  });
}

const EIGHTH = Math.PI / 8;
/** Share of the length that must run at multiples of 22.5 degrees, and how near, radians. */
const FAMILY_SHARE = 0.8;
const FAMILY_SLACK = 0.014;

/** A long line knows its direction well: turned so many strays off its own ink, it is no line of the family. */
const OFF_ITS_INK = 2;

/** The line along which the segments lie, from the first end (`low`) to the last along (ny, -nx), and the farthest end off it. */
export function lineAlong(
  segments: readonly FreeSegment[],
): Readonly<Pick<Group, 'nx' | 'ny' | 'off' | 'low' | 'high'>> & { readonly farthest: number } {
  const g = startGroup(segments[0]);
  for (const s of segments.slice(1)) addTo(g, s);
  return { ...g, farthest: farthest(g) };
}

function offEighths(angle: number): number {
  return Math.abs(angle - Math.round(angle / EIGHTH) * EIGHTH);
}

/** Whether nearly all length runs at multiples of 22.5 degrees. */
function keepsToEighths(lines: readonly { readonly angle: number; readonly length: number }[]): boolean {
  let all = 0;
  let kept = 0;
  for (const { angle, length } of lines) {
    all += length;
    if (offEighths(angle) < FAMILY_SLACK) kept += length;
  }
  return kept >= FAMILY_SHARE * all;
}

/** Turns the lines to exact multiples of 22.5 degrees where the drawing as a whole keeps to them. */
function alignToEighths(groups: Group[], stray: number): Group[] {
  const angleOf = (g: Group) => Math.atan2(-g.nx, g.ny);
  if (!keepsToEighths(groups.map((g) => ({ angle: angleOf(g), length: g.high - g.low })))) return groups;
  for (const g of groups) {
    const measured = angleOf(g);
    if (offEighths(measured) >= FAMILY_SLACK) continue;
    const before = farthest(g);
    turnTo(g, Math.round(measured / EIGHTH) * EIGHTH);
    const after = farthest(g);
    if (after > before + OFF_ITS_INK * stray) turnTo(g, measured);
    else g.turned = Math.max(0, after - before);
  }
  return groups;
}
