/** Exactness spreads: exact lines cross in exact points, and lines through exact points in known directions are exact. */

import { toPoint } from '../geometry/exact.ts';
import type { Exact, ExactPoint, PatternPoint } from '../types.ts';
import { crossingOf, type ExactLine, floatLine, isOn, lineKey, lineOf, lineThrough, pointKey } from './exact-lines.ts';

/** Which vertices lie on which lines, as measured. */
export interface Incidence {
  readonly places: readonly PatternPoint[];
  readonly lines: readonly MeasuredLine[];
  /** Vertices on each line, in the order in which they lie. */
  readonly verticesOn: readonly (readonly number[])[];
  /** Lines through each vertex. */
  readonly linesAt: readonly (readonly number[])[];
}

export interface MeasuredLine {
  /** Direction, radians in [0, π). */
  readonly angle: number;
  /** From the first vertex to the last, pattern units. */
  readonly length: number;
}

/** What is exact so far; grows in place. */
export interface ExactState {
  readonly points: (ExactPoint | null)[];
  readonly lines: (ExactLine | null)[];
  /** Points and lines that were given, not derived: never taken back. */
  readonly givenPoints: Set<number>;
  readonly givenLines: ReadonlySet<number>;
}

export interface GrowRules {
  /** Normal of the family's direction that a line has, or null where it has none. */
  readonly normalOf: (line: number) => readonly [Exact, Exact] | null;
  /** Whether a line through two exact points is exact whatever its direction. */
  readonly throughTwo: boolean;
  /** How far an exact place may lie from the measured one, pattern units. */
  readonly tolerance: number;
  /** How much more than that at single vertices: on sides of the sheet that were measured worse than the grid. */
  readonly slackAt?: Float64Array | undefined;
}

/** Share of a line's vertices that must lie near an exact line for it to be believed. */
const NEAR_SHARE = 0.7;
/** Rounds of taking back lines that most of their points contradict. */
const MOST_REPAIRS = 3;

export function cloneState(state: ExactState): ExactState {
  return { ...state, points: [...state.points], lines: [...state.lines], givenPoints: new Set(state.givenPoints) };
}

/** Spreads exactness until nothing more follows. What most of the evidence contradicts is taken back. */
export function growExact(inc: Incidence, state: ExactState, rules: GrowRules): void {
  const refused = new Set<string>();
  for (let repair = 0; repair <= MOST_REPAIRS; repair++) {
    spread(inc, state, rules, refused);
    if (repair === MOST_REPAIRS || !takeBack(inc, state, refused)) return;
  }
}

function spread(inc: Incidence, state: ExactState, rules: GrowRules, refused: ReadonlySet<string>): void {
  const openLines = new Set<number>();
  const openPoints = new Set<number>();
  inc.lines.forEach((_, l) => {
    if (!state.lines[l]) openLines.add(l);
  });
  inc.places.forEach((_, v) => {
    if (!state.points[v]) openPoints.add(v);
  });
  for (let changed = true; changed; ) {
    changed = false;
    // All of a round's answers rest on the round before: short derivations come first.
    const lines = [...openLines].map((l) => [l, lineFrom(inc, state, rules, refused, l)] as const);
    const points = [...openPoints].map((v) => [v, pointFrom(inc, state, rules, v)] as const);
    for (const [l, line] of lines) {
      if (!line) continue;
      state.lines[l] = line;
      openLines.delete(l);
      changed = true;
    }
    for (const [v, point] of points) {
      if (!point) continue;
      state.points[v] = point;
      openPoints.delete(v);
      changed = true;
    }
  }
}

function toleranceAt({ tolerance, slackAt }: GrowRules, v: number): number {
  return tolerance + (slackAt ? slackAt[v] : 0);
}

/** The exact line that the exact points on a measured line agree upon. */
function lineFrom(
  inc: Incidence,
  state: ExactState,
  rules: GrowRules,
  refused: ReadonlySet<string>,
  l: number,
): ExactLine | null {
  const own = inc.verticesOn[l].filter((v) => state.points[v]);
  if (own.length === 0) return null;
  const normal = rules.normalOf(l);
  const votes = new Map<string, { line: ExactLine; count: number }>();
  const vote = (line: ExactLine | null) => {
    if (!line) return;
    const key = lineKey(line);
    const known = votes.get(key);
    if (known) known.count++;
    else if (!refused.has(`${l} ${key}`)) votes.set(key, { line, count: 1 });
  };
  if (normal) for (const v of own) vote(lineThrough(state.points[v]!, normal));
  else if (rules.throughTwo && own.length > 1) {
    const [first, last] = [own[0], own[own.length - 1]];
    const line = lineOf(state.points[first]!, state.points[last]!);
    if (line && own.every((v) => isOn(line, state.points[v]!))) vote(line);
  }
  const line = favourite([...votes.values()])?.line ?? null;
  if (!line) return null;
  const { nx, ny, off } = floatLine(line);
  let near = 0;
  for (const v of inc.verticesOn[l]) {
    const [x, y] = inc.places[v];
    if (Math.abs(nx * x + ny * y - off) <= toleranceAt(rules, v)) near++;
  }
  return near >= NEAR_SHARE * inc.verticesOn[l].length ? line : null;
}

/** The exact point that most pairs of exact lines through a vertex agree upon. */
function pointFrom(inc: Incidence, state: ExactState, rules: GrowRules, v: number): ExactPoint | null {
  const lines = inc.linesAt[v].flatMap((l) => (state.lines[l] ? [state.lines[l]] : []));
  const votes = new Map<string, { point: ExactPoint; count: number }>();
  for (let i = 0; i < lines.length; i++) {
    for (let j = i + 1; j < lines.length; j++) {
      const point = crossingOf(lines[i], lines[j]);
      if (!point) continue;
      const key = pointKey(point);
      const known = votes.get(key);
      if (known) known.count++;
      else votes.set(key, { point, count: 1 });
    }
  }
  const near = [...votes.values()].filter(({ point }) => {
    const [x, y] = toPoint(point);
    return Math.hypot(x - inc.places[v][0], y - inc.places[v][1]) <= toleranceAt(rules, v);
  });
  return favourite(near)?.point ?? null;
}

/** The one with most votes; null for a draw. */
function favourite<T extends { count: number }>(candidates: readonly T[]): T | null {
  const most = Math.max(0, ...candidates.map((c) => c.count));
  const best = candidates.filter((c) => c.count === most);
  return best.length === 1 ? best[0] : null;
}

/** Unsets lines that miss more of their exact points than they hit, and then points that fewer than two lines hold. */
function takeBack(inc: Incidence, state: ExactState, refused: Set<string>): boolean {
  const gone = new Set<number>();
  inc.lines.forEach((_, l) => {
    const line = state.lines[l];
    if (!line || state.givenLines.has(l)) return;
    const own = inc.verticesOn[l].filter((v) => state.points[v]);
    const hits = own.filter((v) => isOn(line, state.points[v]!)).length;
    if (own.length - hits <= hits) return;
    refused.add(`${l} ${lineKey(line)}`);
    gone.add(l);
  });
  if (gone.size === 0) return false;
  for (const l of gone) {
    state.lines[l] = null;
    for (const v of inc.verticesOn[l]) {
      const point = state.points[v];
      if (!point || state.givenPoints.has(v)) continue;
      const held = inc.linesAt[v].filter((m) => state.lines[m] && isOn(state.lines[m], point)).length;
      if (held < 2) state.points[v] = null;
    }
  }
  return true;
}

/** Exact lines that pass exactly through an exact vertex of theirs beyond the two it takes, and those that miss one. */
export function countAgreement(inc: Incidence, state: ExactState): { agreed: number; missed: number } {
  let agreed = 0;
  let missed = 0;
  inc.linesAt.forEach((lines, v) => {
    const point = state.points[v];
    if (!point) return;
    let hits = 0;
    for (const l of lines) {
      const line = state.lines[l];
      if (!line) continue;
      if (isOn(line, point)) hits++;
      else missed++;
    }
    agreed += Math.max(0, hits - 2);
  });
  return { agreed, missed };
}
