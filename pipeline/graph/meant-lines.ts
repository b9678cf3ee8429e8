/**
 * Where a hand meant its lines to run: drawings in multiples of 22.5 degrees hang on the corners of the sheet, and what was drawn a
 * little past a vertex was meant to pass through it. Only tells which lines meet; places stay as they were measured.
 */
import { sidesOf } from '../geometry/sides.ts';
import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';
import { apart, besideOf, END_STRAYS, outside, pointOn, ROUNDING, type Stroke, strokeOf } from './meant-strokes.ts';
import type { Stretch } from './nodes.ts';

/** nx x + ny y = off with a unit normal, pattern frame. */
export interface MeantLine {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
}

/** The most that the middle of a stroke may lie beside where it was meant, at first and in the end, pattern units; ... */
const MOST_STRAY = 0.02;
const LEAST_STRAY = 0.0025;
/** ... in spreads of the strokes' ends. */
const SPREADS = 3;
/** Strokes at smaller angles, radians, do not tell where they cross. */
const LEAST_TURN = (20 * Math.PI) / 180;
/** Share of the drawn length that must be understood. */
const UNDERSTOOD = 0.85;
/** Details finer than so many strays are not told apart from a hand's misses: all but this share of the strokes must be longer. */
const CLEAR_STRAYS = 5;
const SHORT_SHARE = 0.06;
/** More lines than this are no drawing by an unsteady hand. */
const MOST_LINES = 300;
/** A vertex where a stroke ends says more than one that it passes. */
const END_WEIGHT = 2;
/** The favourite must have so much more than the next, in vertices that the stroke passes; with less, where nothing else follows any more. */
const CLEARLY = 0.5;
const HARDLY = 0.15;
const MOST_REVIEWS = 3;

/** A place that follows from the corners, and the lines through it; -1 and below are the sides of the sheet. */
interface Anchor {
  readonly at: PatternPoint;
  readonly lines: Set<number>;
}

/**
 * The line that each carrier was meant to be, null where that is not known; null for all where the drawing is not understood so.
 * `runs` are where each carrier has ink, `polygon` is the sheet; pattern frame.
 */
export function meantLines(
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  polygon: readonly PatternPoint[],
): (MeantLine | null)[] | null {
  if (carriers.length > MOST_LINES) return null;
  let stray = MOST_STRAY;
  let lines: (MeantLine | null)[] = [];
  for (let reading = 0; reading < 2; reading++) {
    const strokes = apart(carriers.map((c, i) => strokeOf(c, runs[i], stray)));
    lines = grow({ strokes, polygon, stray });
    if (shareOf(strokes, lines) < UNDERSTOOD) return null;
    if (reading > 0 && shortOf(strokes, lines) < CLEAR_STRAYS * stray) return null;
    stray = Math.min(MOST_STRAY, Math.max(LEAST_STRAY, SPREADS * spreadOf(strokes, lines)));
  }
  return lines;
}

interface Drawing {
  readonly strokes: readonly (Stroke | null)[];
  readonly polygon: readonly PatternPoint[];
  readonly stray: number;
}

function grow(drawing: Drawing): (MeantLine | null)[] {
  const { strokes, polygon } = drawing;
  const lines = strokes.map((s): MeantLine | null => (s?.carrier.grid ? s.carrier : null));
  const seeds: PatternPoint[] = [...polygon];
  const settle = (margin: number): boolean => {
    let changed = false;
    for (;;) {
      const anchors = anchorsOf(drawing, lines, seeds);
      const found = strokes.map((s, i) => (s && !lines[i] ? throughAnchors(s, anchors, margin) : null));
      if (found.every((line) => !line)) return changed;
      changed = true;
      found.forEach((line, i) => {
        if (line) lines[i] = line;
      });
    }
  };
  settle(CLEARLY);
  // What does not hang on the corners hangs on halves of the sheet, or on quarters.
  for (const parts of SEED_PARTS) {
    const places = dividedSheet(polygon, parts);
    for (;;) {
      const seed = bestSeed(drawing, lines, places);
      if (!seed) break;
      lines[seed.stroke] = seed.line;
      settle(CLEARLY);
    }
  }
  settle(HARDLY);
  for (let review = 0; review < MOST_REVIEWS; review++) {
    const anchors = anchorsOf(drawing, lines, seeds);
    let changed = false;
    strokes.forEach((s, i) => {
      if (!s || !lines[i] || s.carrier.grid) return;
      const others = anchors.filter((a) => seeds.includes(a.at) || [...a.lines].filter((l) => l !== i).length > 1);
      const line = throughAnchors(s, others, CLEARLY);
      if (!line || sameLine(line, lines[i])) return;
      lines[i] = line;
      changed = true;
    });
    if (!changed) break;
  }
  const anchors = anchorsOf(drawing, lines, seeds);
  return lines.map((line, i) => line ?? onwards(strokes, lines, i) ?? betweenAnchors(strokes[i], anchors));
}

const SEED_PARTS = [2, 4];
/** One such place that a stroke passes may be chance; on so many it was meant. */
const SEEDED = 2;

function sameLine(a: MeantLine, b: MeantLine): boolean {
  return Math.abs(a.off - b.off) < ROUNDING && Math.abs(a.nx * b.ny - a.ny * b.nx) < ROUNDING;
}

/** Places that divide a rectangular sheet into `parts` by `parts`; none on other sheets. */
function dividedSheet(polygon: readonly PatternPoint[], parts: number): PatternPoint[] {
  if (polygon.length !== 4) return [];
  const [width, height] = [0, 1].map((axis) => Math.max(...polygon.map((p) => p[axis])));
  if (polygon.some(([x, y]) => Math.min(x, width - x) > ROUNDING || Math.min(y, height - y) > ROUNDING)) return [];
  const places: PatternPoint[] = [];
  for (let i = 0; i <= parts; i++) {
    for (let j = 0; j <= parts; j++) places.push([(i * width) / parts, (j * height) / parts]);
  }
  return places;
}

/** Places where known lines, and the sides of the sheet, cross where their strokes are drawn. */
function anchorsOf(
  { strokes, polygon, stray }: Drawing,
  lines: readonly (MeantLine | null)[],
  seeds: readonly PatternPoint[],
): Anchor[] {
  const reach = END_STRAYS * stray;
  const known = lines.flatMap((line, i) => (line ? [{ ...line, i, stroke: strokes[i] }] : []));
  const sides = sidesOf(polygon).map(({ nx, ny, off }, i) => ({ nx, ny, off, i: -1 - i, stroke: null }));
  const found = new Map<string, Anchor>();
  const add = (at: PatternPoint, own: readonly number[]) => {
    const key = at.map((v) => Math.round(v / ROUNDING / 10)).join(' ');
    const anchor = found.get(key) ?? { at, lines: new Set<number>() };
    for (const l of own) anchor.lines.add(l);
    found.set(key, anchor);
  };
  for (const seed of seeds) add(seed, []);
  known.forEach((a, k) => {
    for (const b of [...known.slice(k + 1), ...sides]) {
      const sine = a.nx * b.ny - a.ny * b.nx;
      if (Math.abs(sine) < Math.sin(LEAST_TURN)) continue;
      const at: PatternPoint = [(a.off * b.ny - b.off * a.ny) / sine, (a.nx * b.off - b.nx * a.off) / sine];
      if (sides.some((s) => s.nx * at[0] + s.ny * at[1] - s.off < -ROUNDING)) continue;
      if ([a.stroke, b.stroke].some((s) => s && outside(s, at) > reach)) continue;
      add(at, [a.i, b.i]);
    }
  });
  return [...found.values()];
}

/** The line in the stroke's direction that the anchors along it agree upon; null where none is clearly the favourite. */
function throughAnchors(stroke: Stroke, anchors: readonly Anchor[], margin: number, least = 1): MeantLine | null {
  const { stray } = stroke;
  if (!stroke.normal) return null;
  const [nx, ny] = stroke.normal;
  const middle = nx * stroke.middle[0] + ny * stroke.middle[1];
  const votes: { off: number; weight: number; count: number }[] = [];
  for (const { at } of anchors) {
    const off = nx * at[0] + ny * at[1];
    const beside = besideOf(stroke, at);
    const beyond = outside(stroke, at);
    if (Math.abs(off - middle) > stray || beside > END_STRAYS * stray || beyond > END_STRAYS * stray) continue;
    const isEnd = beyond > -END_STRAYS * stray;
    const weight = (isEnd ? END_WEIGHT : 1) * (1 - (beside / (2 * stray)) ** 2);
    const known = votes.find((v) => Math.abs(v.off - off) < 10 * ROUNDING);
    if (known) {
      known.weight += weight;
      known.count++;
    } else votes.push({ off, weight, count: 1 });
  }
  votes.sort((a, b) => b.weight - a.weight);
  if (votes.length === 0 || (votes.length > 1 && votes[0].weight - votes[1].weight < margin)) return null;
  return votes[0].count < least ? null : { nx, ny, off: votes[0].off };
}

/** The longest open stroke that runs through several of the places and hence along a line that is known then. */
function bestSeed(
  drawing: Drawing,
  lines: readonly (MeantLine | null)[],
  places: readonly PatternPoint[],
): { stroke: number; line: MeantLine } | null {
  const anchors = places.map((at): Anchor => ({ at, lines: new Set() }));
  let best: { stroke: number; line: MeantLine } | null = null;
  drawing.strokes.forEach((s, i) => {
    if (!s || lines[i] || (best && s.length <= drawing.strokes[best.stroke]!.length)) return;
    const line = throughAnchors(s, anchors, CLEARLY, SEEDED);
    if (line) best = { stroke: i, line };
  });
  return best;
}

/** The line of a stroke in the same direction that reaches to where this one begins: a line that was drawn on. */
function onwards(
  strokes: readonly (Stroke | null)[],
  lines: readonly (MeantLine | null)[],
  open: number,
): MeantLine | null {
  const stroke = strokes[open];
  if (!stroke?.normal) return null;
  const [nx, ny] = stroke.normal;
  const [x, y] = stroke.middle;
  const before = lines.find((line, k) => {
    const other = strokes[k];
    if (!line || !other || Math.abs(nx * line.ny - ny * line.nx) > ROUNDING) return false;
    if (Math.abs(line.nx * x + line.ny * y - line.off) > stroke.stray) return false;
    const reach = END_STRAYS * other.stray;
    return [stroke.from, stroke.to].some((t) => outside(other, pointOn(stroke.carrier, t)) < reach);
  });
  return before ?? null;
}

/** The line from anchor to anchor along a stroke that runs in no direction of the family, where it ends near one at either end. */
function betweenAnchors(stroke: Stroke | null, anchors: readonly Anchor[]): MeantLine | null {
  if (!stroke) return null;
  const { stray } = stroke;
  const ends = [stroke.from, stroke.to].map((t) => {
    const [x, y] = pointOn(stroke.carrier, t);
    const near = anchors
      .map(({ at }) => ({ at, away: Math.hypot(at[0] - x, at[1] - y) }))
      .filter(({ away }) => away < END_STRAYS * stray)
      .sort((a, b) => a.away - b.away);
    return near[0]?.at ?? null;
  });
  const [a, b] = ends;
  if (!a || !b) return null;
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (length < END_STRAYS * stray) return null;
  const [nx, ny] = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
  return { nx, ny, off: nx * a[0] + ny * a[1] };
}

/** Length of the short ones of the strokes; those meant as one line count together. */
function shortOf(strokes: readonly (Stroke | null)[], lines: readonly (MeantLine | null)[]): number {
  const lengths = strokes.flatMap((s, i) => {
    const line = lines[i];
    if (!s || !line) return s ? [s.to - s.from] : [];
    return [
      strokes.reduce((sum, other, k) => {
        const own = lines[k];
        return other && own && sameLine(own, line) ? sum + other.to - other.from : sum;
      }, 0),
    ];
  });
  lengths.sort((a, b) => a - b);
  return lengths[Math.floor(SHORT_SHARE * lengths.length)] ?? 0;
}

function shareOf(strokes: readonly (Stroke | null)[], lines: readonly (MeantLine | null)[]): number {
  let [all, known] = [0, 0];
  strokes.forEach((s, i) => {
    all += s?.length ?? 0;
    if (lines[i]) known += s?.length ?? 0;
  });
  return all > 0 ? known / all : 0;
}

/** How far the ends of strokes lie beside where they were meant: the spread that the middle one of their distances tells. */
function spreadOf(strokes: readonly (Stroke | null)[], lines: readonly (MeantLine | null)[]): number {
  const misses = strokes.flatMap((s, i) => {
    const line = lines[i];
    if (!s || !line) return [];
    return [s.from, s.to].map((t) => {
      const [x, y] = pointOn(s.carrier, t);
      return Math.abs(line.nx * x + line.ny * y - line.off);
    });
  });
  misses.sort((a, b) => a - b);
  return OF_MIDDLE * (misses[misses.length >> 1] ?? 0);
}

/** Spread of a normal distribution in units of the middle one of the distances from its mean. */
const OF_MIDDLE = 1.4826;
