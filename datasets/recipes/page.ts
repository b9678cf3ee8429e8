import type { Crease, Pattern, PatternPoint } from '../../pipeline/types.ts';
import type { Convention, Ink } from './convention.ts';
import type { Mark, Placement } from './drawing.ts';
import { placed } from './drawing.ts';
import type { Random } from './random.ts';

/** Corners of the outline, counterclockwise, the bottom left one first; straight-on vertices of the border are left out. */
export function outlineOf(pattern: Pattern): PatternPoint[] {
  const next = new Map<number, number[]>();
  for (const crease of pattern.creases) {
    if (crease.kind !== 'B') continue;
    next.set(crease.from, [...(next.get(crease.from) ?? []), crease.to]);
    next.set(crease.to, [...(next.get(crease.to) ?? []), crease.from]);
  }
  const start = next.keys().next().value;
  if (start === undefined) throw new Error('a pattern needs its border');
  const loop = [start];
  for (let before = -1, at = start; ; ) {
    const onward = next.get(at)?.find((vertex) => vertex !== before);
    if (onward === undefined) throw new Error('the border of a pattern is one closed loop');
    if (onward === start) break;
    loop.push(onward);
    [before, at] = [at, onward];
  }
  const points = loop.map((vertex) => pattern.vertices[vertex]);
  const corners = points.filter((point, i) => {
    const before = points[(i + points.length - 1) % points.length];
    const after = points[(i + 1) % points.length];
    return Math.abs(cross(before, point, after)) > 1e-9;
  });
  let area = 0;
  for (let i = 1; i + 1 < corners.length; i++) area += cross(corners[0], corners[i], corners[i + 1]);
  if (area < 0) corners.reverse();
  let first = 0;
  corners.forEach((corner, i) => {
    if (corner[0] + corner[1] < corners[first][0] + corners[first][1] - 1e-9) first = i;
  });
  return [...corners.slice(first), ...corners.slice(0, first)];
}

function cross(a: PatternPoint, b: PatternPoint, c: PatternPoint): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

/** True where the sheet fills its bounding box, so that a page cut to the box is the sheet. */
export function isRectangle(pattern: Pattern): boolean {
  const corners = outlineOf(pattern);
  return (
    corners.length === 4 && corners.every(([x, y], i) => x === corners[(i + 1) % 4][0] || y === corners[(i + 1) % 4][1])
  );
}

/** Sides of the pattern, pattern units. */
export function sidesOf(pattern: Pattern): { width: number; height: number } {
  let [width, height] = [0, 0];
  for (const [x, y] of pattern.vertices) {
    width = Math.max(width, x);
    height = Math.max(height, y);
  }
  return { width, height };
}

/** Length below which one crease in twenty falls, pattern units. */
export function shortCreaseOf(pattern: Pattern): number {
  const lengths = pattern.creases.map((crease) => creaseLength(pattern, crease)).sort((a, b) => a - b);
  return lengths[Math.floor(lengths.length * 0.05)];
}

function creaseLength(pattern: Pattern, crease: Crease): number {
  const [a, b] = [pattern.vertices[crease.from], pattern.vertices[crease.to]];
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** Chains of creases that one pull of the pen would draw: end to end, straight on, of one kind. Each is two vertex indices and the kind. */
export function straightRuns(pattern: Pattern): Crease[] {
  const around = new Map<number, number[]>();
  pattern.creases.forEach((crease, i) => {
    for (const vertex of [crease.from, crease.to]) around.set(vertex, [...(around.get(vertex) ?? []), i]);
  });
  const used = new Uint8Array(pattern.creases.length);
  const extend = (from: number, at: number, kind: string): number => {
    let [tail, head] = [from, at];
    for (;;) {
      const onward = (around.get(head) ?? []).find((i) => {
        const crease = pattern.creases[i];
        if (used[i] || crease.kind !== kind) return false;
        const far = crease.from === head ? crease.to : crease.from;
        const [a, b, c] = [pattern.vertices[tail], pattern.vertices[head], pattern.vertices[far]];
        const scale = Math.hypot(b[0] - a[0], b[1] - a[1]) * Math.hypot(c[0] - b[0], c[1] - b[1]);
        const forward = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]);
        return forward > 0 && Math.abs(cross(a, b, c)) < 1e-6 * scale;
      });
      if (onward === undefined) return head;
      used[onward] = 1;
      const crease = pattern.creases[onward];
      [tail, head] = [head, crease.from === head ? crease.to : crease.from];
    }
  };
  const runs: Crease[] = [];
  pattern.creases.forEach((crease, i) => {
    if (used[i]) return;
    used[i] = 1;
    const to = extend(crease.from, crease.to, crease.kind);
    const from = extend(crease.to, crease.from, crease.kind);
    runs.push({ from, to, kind: crease.kind });
  });
  return runs;
}

export interface CreaseStyle {
  /** Whole straight runs, or crease by crease (dashes then start anew at every vertex). */
  readonly byRun: boolean;
  /** How far each stroke stops short of its vertices, finished px. */
  readonly short: number;
  readonly opacity: number;
  /** Page px per px of the finished picture. */
  readonly pagePx: number;
}

export function drawStyle(random: Random, convention: Convention, shortCrease: number): Omit<CreaseStyle, 'pagePx'> {
  const stops = random.chance(0.12);
  return {
    byRun: stops ? false : random.chance(0.55),
    short: stops ? Math.min(0.12 * shortCrease, convention.mountain.width * random.range(0.5, 1.5)) : 0,
    opacity: random.chance(0.85) ? 1 : random.range(0.7, 1),
  };
}

export function inkFor(convention: Convention, kind: Crease['kind']): Ink | null {
  switch (kind) {
    case 'M':
      return convention.mountain;
    case 'V':
      return convention.valley;
    case 'B':
    case 'C':
      return convention.edge;
    default:
      return convention.guide;
  }
}

/** The creases as strokes; guides first, the border last, as most programs stack them. */
export function creaseMarks(
  random: Random,
  pattern: Pattern,
  convention: Convention,
  at: Placement,
  style: CreaseStyle,
): Mark[] {
  const order = 'FUVMCB';
  const strokes = style.byRun ? straightRuns(pattern) : [...pattern.creases];
  strokes.sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
  const marks: Mark[] = [];
  for (const stroke of strokes) {
    const ink = inkFor(convention, stroke.kind);
    if (!ink) continue;
    const [ax, ay] = placed(at, ...pair(pattern.vertices[stroke.from]));
    const [bx, by] = placed(at, ...pair(pattern.vertices[stroke.to]));
    const length = Math.hypot(bx - ax, by - ay);
    const cut = stroke.kind === 'B' ? 0 : Math.min(0.3, (style.short * style.pagePx) / length);
    const dash = ink.dash.map((part) => part * style.pagePx);
    const period = dash.reduce((sum, part) => sum + part, 0);
    marks.push({
      mark: 'stroke',
      points: [ax + (bx - ax) * cut, ay + (by - ay) * cut, bx + (ax - bx) * cut, by + (ay - by) * cut],
      width: ink.width * style.pagePx,
      colour: ink.colour,
      opacity: style.opacity,
      dash,
      dashOffset: period > 0 && style.byRun && random.chance(0.3) ? random.range(0, period) : 0,
      // Butt ends leave notches where border lines meet.
      cap: stroke.kind === 'B' ? 'square' : ink.cap,
    });
  }
  return marks;
}

function pair(point: PatternPoint): [number, number] {
  return [point[0], point[1]];
}
