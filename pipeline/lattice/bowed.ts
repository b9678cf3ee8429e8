import { type FreeSegment, lineAlong } from './free-lines.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Pieces that follow each other turn by less than this where a hand bows, radians; sharper turns are corners. */
const MOST_TURN = (10 * Math.PI) / 180;
/** A hand that means a straight line leaves it by less than this share of its length. */
const MOST_BOW = 0.03;
/** Gaps between pieces are no longer than the shorter of them, as dashes are, or a few stroke widths, and never longer than this, pattern units. */
const GAP_WIDTHS = 2;
const MOST_GAP = 0.03;
/** A stroke across the joint is one that turns from both pieces by more than this, radians, and comes so near, stroke widths. */
const ACROSS_TURN = (15 * Math.PI) / 180;
const ACROSS_WIDTHS = 1.5;

interface End {
  readonly segment: number;
  /** -1 for the end against the segment's direction, 1 for the other. */
  readonly sense: -1 | 1;
  readonly x: number;
  readonly y: number;
}

/**
 * Joins pieces that follow each other with a slight turn where no other stroke meets them into one segment along their
 * common line, with the bow noted. A crease bends at no place of its own: a vertex of two creases folds flat only if they are
 * in line (Kawasaki), so such a turn is the hand's. `all` are the strokes that may cross; lengths in pattern units.
 */
export function joinBowed(
  pieces: readonly FreeSegment[],
  all: readonly StraightSegment[],
  strokeWidth: number,
): FreeSegment[] {
  const ends = pieces.flatMap((s, segment) => [endOf(s, segment, -1), endOf(s, segment, 1)]);
  const partner = partnersOf(ends, pieces, all, strokeWidth);
  const done = new Uint8Array(pieces.length);
  const out: FreeSegment[] = [];
  pieces.forEach((piece, start) => {
    if (done[start]) return;
    done[start] = 1;
    const chain = [piece];
    for (const sense of [-1, 1] as const) {
      let at = partner[2 * start + (sense < 0 ? 0 : 1)];
      while (at >= 0 && !done[at >> 1]) {
        done[at >> 1] = 1;
        chain.push(pieces[at >> 1]);
        at = partner[at ^ 1];
      }
    }
    out.push(...(chain.length > 1 ? (joined(chain) ?? chain) : chain));
  });
  return out;
}

function endOf({ x, y, angle, length }: FreeSegment, segment: number, sense: -1 | 1): End {
  const half = (sense * length) / 2;
  return { segment, sense, x: x + half * Math.cos(angle), y: y + half * Math.sin(angle) };
}

/** For each end the end that its stroke goes on with, or -1; both choose each other. */
function partnersOf(
  ends: readonly End[],
  pieces: readonly FreeSegment[],
  all: readonly StraightSegment[],
  strokeWidth: number,
): Int32Array {
  const byX = [...ends.keys()].sort((a, b) => ends[a].x - ends[b].x);
  const best = new Int32Array(ends.length).fill(-1);
  const distance = new Float64Array(ends.length).fill(Infinity);
  for (let i = 0; i < byX.length; i++) {
    for (let j = i + 1; j < byX.length && ends[byX[j]].x - ends[byX[i]].x < MOST_GAP; j++) {
      const [a, b] = [byX[i], byX[j]];
      const gap = Math.hypot(ends[a].x - ends[b].x, ends[a].y - ends[b].y);
      if (gap >= Math.max(distance[a], distance[b]) || !follow(ends[a], ends[b], gap, pieces, strokeWidth)) continue;
      for (const [p, q] of [
        [a, b],
        [b, a],
      ]) {
        if (gap >= distance[p]) continue;
        distance[p] = gap;
        best[p] = q;
      }
    }
  }
  return best.map((b, a) =>
    b >= 0 && best[b] === a && !isCrossed(ends[a], ends[b], pieces, all, strokeWidth) ? b : -1,
  );
}

/** Whether the piece of one end may go on in the piece of the other: near, hardly turned, and ahead of it. */
function follow(a: End, b: End, gap: number, pieces: readonly FreeSegment[], strokeWidth: number): boolean {
  if (a.segment === b.segment) return false;
  const [s, t] = [pieces[a.segment], pieces[b.segment]];
  if (gap > Math.min(MOST_GAP, Math.max(GAP_WIDTHS * strokeWidth, Math.min(s.length, t.length)))) return false;
  const [ux, uy] = [a.sense * Math.cos(s.angle), a.sense * Math.sin(s.angle)];
  const [vx, vy] = [-b.sense * Math.cos(t.angle), -b.sense * Math.sin(t.angle)];
  if (ux * vx + uy * vy < Math.cos(MOST_TURN)) return false;
  // Pieces may overlap or lie side by side by about a stroke's width.
  const [along, beside] = [(b.x - a.x) * ux + (b.y - a.y) * uy, (b.x - a.x) * uy - (b.y - a.y) * ux];
  return along > -strokeWidth && Math.abs(beside) < strokeWidth + Math.sin(MOST_TURN) * gap;
}

/** Whether another stroke passes or ends at the joint of two pieces. */
function isCrossed(
  a: End,
  b: End,
  pieces: readonly FreeSegment[],
  all: readonly StraightSegment[],
  strokeWidth: number,
): boolean {
  const [s, t] = [pieces[a.segment], pieces[b.segment]];
  const [x, y] = [(a.x + b.x) / 2, (a.y + b.y) / 2];
  const room = Math.hypot(a.x - b.x, a.y - b.y) / 2 + ACROSS_WIDTHS * strokeWidth;
  return all.some((o) => {
    const [cos, sin] = [Math.cos(o.angle), Math.sin(o.angle)];
    const [along, beside] = [(x - o.x) * cos + (y - o.y) * sin, (x - o.x) * sin - (y - o.y) * cos];
    if (Math.abs(beside) > room || Math.abs(along) > o.length / 2 + room) return false;
    return Math.min(turnBetween(o.angle, s.angle), turnBetween(o.angle, t.angle)) > ACROSS_TURN;
  });
}

function turnBetween(a: number, b: number): number {
  const turn = Math.abs(a - b) % Math.PI;
  return Math.min(turn, Math.PI - turn);
}

/** The pieces as one segment, or null where they bow too far for a straight line. */
function joined(chain: readonly FreeSegment[]): FreeSegment[] | null {
  const { nx, ny, off, low, high, farthest: bow } = lineAlong(chain);
  const length = high - low;
  if (bow > MOST_BOW * length) return null;
  const [dx, dy, t] = [ny, -nx, (low + high) / 2];
  const points = Int32Array.from(chain.flatMap((m) => [...m.points]));
  const angle = (Math.atan2(dy, dx) + 2 * Math.PI) % Math.PI;
  return [{ x: dx * t + nx * off, y: dy * t + ny * off, angle, length, points, bow }];
}
