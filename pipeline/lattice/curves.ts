import { halfSpan } from '../geometry/segment-ends.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { pointsOf, type Segment } from '../strokes/segments.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import { withoutCircles } from './circles.ts';
import { followCurves, isOn } from './follow-curve.ts';

/** Chords of one arc follow each other within this: stroke widths, and px more. */
const GAP_WIDTHS = 2;
const GAP_PX = 4;
/** ... each turned against the last by an angle in this range, radians, always to the same side. */
const LEAST_TURN = (1.5 * Math.PI) / 180;
const MOST_TURN = (19 * Math.PI) / 180;
/** So many chords that turn by so much in all are a curve; a line drawn by hand turns back. */
const LEAST_CHORDS = 6;
const LEAST_ARC = (50 * Math.PI) / 180;

/** A piece lies on a circle that is this near all along: stroke widths, and px more. */
const CIRCLE_WIDTHS = 0.5;
const CIRCLE_PX = 2;
/** ... and runs along it within this turn (sine of 20 degrees). */
const ALONG = 0.34;

/**
 * The strokes without curves: creases of flat sheets that fold flat are straight, so a chain of chords that keeps turning to
 * one side is a packing circle, an arrow, a letter; so is ink that does. `curves` are the chords that were left out.
 */
export function withoutCurves(drawn: Strokes, ink: InkField): { strokes: Strokes; curves: readonly Segment[] } {
  const { strokes, chords } = withoutCircles(drawn, ink);
  const ends = endsOf(strokes.segments);
  const gap = GAP_WIDTHS * strokes.strokeWidthPx + GAP_PX;
  const cells = cellsOf(ends, gap);
  const next = ends.map((_, i) => nextChord(i, ends, gap, cells));
  const curved = new Set<Segment>();
  const arcs: Circle[] = [];
  for (const sense of [-1, 1]) {
    const seen = new Set<number>();
    for (let start = 0; start < ends.length; start++) {
      if (seen.has(start)) continue;
      const chain = follow(start, next, sense);
      for (const { end } of chain) seen.add(end);
      const arc = chain.reduce((sum, { turn }) => sum + turn, 0);
      if (chain.length < LEAST_CHORDS || arc < LEAST_ARC) continue;
      for (const { end } of chain) curved.add(strokes.segments[end >> 1]);
      const circle = circleThrough(chain.flatMap(({ end }) => [ends[end], ends[end ^ 1]]));
      if (circle) arcs.push(circle);
    }
  }
  const paths = followCurves(
    strokes.segments.filter((s) => !curved.has(s)),
    ink,
    strokes.strokeWidthPx,
  );
  for (const s of strokes.segments) if (paths.some((path) => isOn(path, s))) curved.add(s);
  if (curved.size === 0) return { strokes, curves: chords };
  // Crossings break a circle into short arcs: chords of a circle already known belong to it.
  const near = CIRCLE_WIDTHS * strokes.strokeWidthPx + CIRCLE_PX;
  strokes.segments.forEach((s, i) => {
    if (
      arcs.some((c) => isChord(c, [ends[2 * i], ends[2 * i + 1], { ...ends[2 * i], x: s.x, y: s.y }], s.length, near))
    ) {
      curved.add(s);
    }
  });
  const dropped = pointsOf(curved, strokes.ridges.count);
  // Points beside the chords, in no segment so far, would link to new ones.
  const linked = pointsOf(strokes.segments, strokes.ridges.count);
  const { x, y, angle, count } = strokes.ridges;
  for (let p = 0; p < count; p++) {
    const at = { x: x[p], y: y[p], angle: angle[p] };
    const isCurve = arcs.some((c) => runsAlong(c, at.x, at.y, at.angle, near)) || paths.some((path) => isOn(path, at));
    if (!linked[p] && isCurve) dropped[p] = 1;
  }
  return {
    strokes: linkStrokes(
      keepRidges(strokes.ridges, (p) => dropped[p] === 0),
      ink,
    ),
    curves: [...chords, ...curved],
  };
}

/** One end of a segment: place, and direction out of it. Ends 2 i and 2 i + 1 belong to segment i. */
interface End {
  readonly x: number;
  readonly y: number;
  readonly out: number;
}

function endsOf(segments: readonly Segment[]): End[] {
  return segments.flatMap((segment) => {
    const { x, y, angle } = segment;
    const [dx, dy] = halfSpan(segment);
    return [
      { x: x + dx, y: y + dy, out: angle },
      { x: x - dx, y: y - dy, out: angle + Math.PI },
    ];
  });
}

interface Step {
  /** The far end of the chord that follows, and by how much it turns, radians, left positive. */
  readonly end: number;
  readonly turn: number;
}

/** Ends by the square cell of this side that they lie in. */
function cellsOf(ends: readonly End[], side: number): Map<string, number[]> {
  const cells = new Map<string, number[]>();
  ends.forEach(({ x, y }, i) => {
    const key = `${Math.floor(x / side)},${Math.floor(y / side)}`;
    const cell = cells.get(key);
    if (cell) cell.push(i);
    else cells.set(key, [i]);
  });
  return cells;
}

/** The chords that may follow out of end i, longest first: scraps of neighbours lead nowhere. */
function nextChord(
  i: number,
  ends: readonly End[],
  gap: number,
  cells: ReadonlyMap<string, readonly number[]>,
): Step[] {
  const from = ends[i];
  const steps: Step[] = [];
  for (let right = -1; right <= 1; right++) {
    for (let down = -1; down <= 1; down++) {
      for (const j of cells.get(`${Math.floor(from.x / gap) + right},${Math.floor(from.y / gap) + down}`) ?? []) {
        const to = ends[j];
        if (j >> 1 === i >> 1 || Math.hypot(to.x - from.x, to.y - from.y) > gap) continue;
        const turn = wrapped(to.out + Math.PI - from.out);
        if (Math.abs(turn) >= LEAST_TURN && Math.abs(turn) <= MOST_TURN) steps.push({ end: j ^ 1, turn });
      }
    }
  }
  const lengthOf = ({ end }: Step) => Math.hypot(ends[end].x - ends[end ^ 1].x, ends[end].y - ends[end ^ 1].y);
  return steps.sort((a, b) => lengthOf(b) - lengthOf(a));
}

/** The chain of chords out of an end that keeps turning to one side. */
function follow(start: number, next: readonly (readonly Step[])[], sense: number): Step[] {
  const chain: Step[] = [{ end: start, turn: 0 }];
  const used = new Set([start >> 1]);
  for (;;) {
    const step = next[chain[chain.length - 1].end].find((s) => s.turn * sense > 0 && !used.has(s.end >> 1));
    if (!step) return chain;
    used.add(step.end >> 1);
    chain.push({ end: step.end, turn: Math.abs(step.turn) });
  }
}

interface Circle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/** The circle of least squares (Kasa 1976), or null for points on a line. */
function circleThrough(points: readonly { x: number; y: number }[]): Circle | null {
  const n = points.length;
  const mx = points.reduce((sum, p) => sum + p.x, 0) / n;
  const my = points.reduce((sum, p) => sum + p.y, 0) / n;
  let [uu, uv, vv, ru, rv] = [0, 0, 0, 0, 0];
  for (const p of points) {
    const [u, v] = [p.x - mx, p.y - my];
    const r = u * u + v * v;
    uu += u * u;
    uv += u * v;
    vv += v * v;
    ru += (r * u) / 2;
    rv += (r * v) / 2;
  }
  const det = uu * vv - uv * uv;
  if (Math.abs(det) < 1e-9 * uu * vv) return null;
  const [cx, cy] = [(ru * vv - rv * uv) / det, (rv * uu - ru * uv) / det];
  return { x: mx + cx, y: my + cy, radius: Math.sqrt(cx * cx + cy * cy + (uu + vv) / n) };
}

/** Whether a piece with these points lies on the circle and is short beside it. */
function isChord(
  { x, y, radius }: Circle,
  points: readonly { x: number; y: number }[],
  length: number,
  near: number,
): boolean {
  return length < radius && points.every((p) => Math.abs(Math.hypot(p.x - x, p.y - y) - radius) < near);
}

/** Whether a point of centre line lies on the circle and runs along it. */
function runsAlong(c: Circle, x: number, y: number, angle: number, near: number): boolean {
  const [dx, dy] = [x - c.x, y - c.y];
  const away = Math.hypot(dx, dy);
  return Math.abs(away - c.radius) < near && Math.abs(dx * Math.cos(angle) + dy * Math.sin(angle)) < ALONG * away;
}

function wrapped(angle: number): number {
  return angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
}
