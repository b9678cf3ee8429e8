/** Vertices that a hand drew as two: strokes that should meet on a third end on it side by side, stop short of it, or pass beside a corner. */
import type { PatternPoint } from '../types.ts';
import { type Draft, partsAt } from './draft.ts';
import { meetingPoint, settleVertices } from './settle.ts';
import { deviation, folds, type Ray, sortRays } from './soundness.ts';
import { joinInto } from './twins.ts';

/** Lines miss the vertex in which they meet by up to so many spreads of what is usual in the drawing; ... */
const SPREADS = 3;
/** ... and a corner, where no law counts the creases, by so many. */
const CORNER_SPREADS = 1.5;
/** Spread of a normal distribution in units of the middle one of the distances from its mean. */
const OF_MIDDLE = 1.4826;
/** Fewer vertices than this do not tell what is usual. */
const LEAST_VERTICES = 4;
/** Two places that lines miss to opposite sides lie twice as far apart, at a slant farther; never farther than this, pattern units. */
const MOST_APART = 0.03;
/** A crease is a stub only where all others at its ends are so many times as long. */
const STUB_SHARE = 4;
/** Alternate angles may be off by so much at most where a hand drew the creases, radians. */
const MOST_TURNED = (12 * Math.PI) / 180;

interface Pair {
  /** The first stays where the second is joined into it. */
  readonly ends: readonly [number, number];
  readonly apart: number;
  /** The most that one of the lines misses the place where they meet best, or half of what an end stops short. */
  readonly miss: number;
  readonly isCorner: boolean;
}

/** The draft with what is looked up often. */
interface Drawing {
  readonly draft: Draft;
  /** Parts that are present at each vertex, and the sides of the sheet on which it lies, as carriers: two at a corner. */
  readonly at: readonly (readonly number[])[];
  readonly sidesAt: readonly ReadonlySet<number>[];
  readonly sides: ReadonlySet<number>;
}

/** A fold that leaves a vertex, the vertex where it ends or turns, and its length. */
interface Leaving {
  readonly part: number;
  readonly far: number;
  readonly length: number;
}

/**
 * Joins two vertices that a stub links, or an end inside the sheet with a vertex beside it, where the folds at each cannot lie flat by
 * their number and those of both together can, by their number and by alternate angles. At a vertex of a flat folding mountains and
 * valleys differ by two (Maekawa, Justin), so that two odd vertices are two errors; one stroke laid aside is one. Likewise a
 * crease that ends beside a corner ends in it, where alternate angles at its other end then still are equal. Only where the lines
 * miss the joint vertex by no more than is usual in this drawing, by its other vertices: in print that is next to nothing. In place.
 *
 * @returns whether anything was joined
 */
export function joinSplit(draft: Draft): boolean {
  const sidesAt = sidesOf(draft);
  const drawing = { draft, at: partsAt(draft), sidesAt, sides: new Set(sidesAt.flatMap((own) => [...own])) };
  const pairs = [...oddPairs(drawing), ...cornerPairs(drawing)].sort((p, q) => p.apart - q.apart);
  if (pairs.length === 0) return false;
  const usual = [...pairs.map(({ miss }) => miss), ...missesOf(drawing)].sort((a, b) => a - b);
  if (usual.length < LEAST_VERTICES) return false;
  const spread = OF_MIDDLE * usual[usual.length >> 1];
  const home = new Map<number, number>();
  const kept = new Set<number>();
  for (const pair of pairs) {
    const { ends, apart, miss, isCorner } = pair;
    if (miss > (isCorner ? CORNER_SPREADS : SPREADS) * spread || ends.some((v) => home.has(v) || kept.has(v))) continue;
    if (!isLawful(drawing, pair, spread)) continue;
    home.set(ends[1], ends[0]);
    kept.add(ends[0]);
    draft.split.set(ends[0], apart);
    draft.meet = Math.max(draft.meet, 2 * miss);
  }
  if (!joinInto(draft, home)) return false;
  settleVertices(
    draft,
    [...kept].filter((v) => sidesAt[v].size === 0),
  );
  return true;
}

/** Pairs of vertices inside the sheet that cannot lie flat by the number of their folds, and that can together. */
function oddPairs(drawing: Drawing): Pair[] {
  const { draft, at, sidesAt } = drawing;
  const linked = new Set(draft.parts.map(({ from, to }) => linkOf(from, to)));
  const odd = [...at.keys()].filter((v) => sidesAt[v].size === 0 && isMiscounted(drawing, v));
  odd.sort((a, b) => draft.measured[a][0] - draft.measured[b][0]);
  const found: Pair[] = [];
  odd.forEach((a, i) => {
    for (const b of odd.slice(i + 1)) {
      if (draft.measured[b][0] - draft.measured[a][0] > MOST_APART) break;
      const apart = apartOf(draft, a, b);
      const isLinked = linked.has(linkOf(a, b));
      if (!isLinked && at[a].length > 1 && at[b].length > 1) continue;
      if (apart > MOST_APART || (draft.exact[a] && draft.exact[b])) continue;
      const ends = at[a].length >= at[b].length ? ([a, b] as const) : ([b, a] as const);
      const out = leaving(drawing, ends);
      if (out.length < 4 || out.length % 2 === 1 || out.some(({ length }) => length < STUB_SHARE * apart)) continue;
      const miss = missAt(drawing, linesOf(draft, out), draft.measured[a]);
      found.push({ ends, apart, miss: isLinked ? miss : Math.max(miss, apart / 2), isCorner: false });
    }
  });
  return found;
}

/** An odd number of folds, or two that are not one line. */
function isMiscounted({ draft, at }: Drawing, v: number): boolean {
  const own = at[v].filter((p) => folds(draft, p));
  return own.length % 2 === 1 || (own.length === 2 && draft.parts[own[0]].carrier !== draft.parts[own[1]].carrier);
}

/** Corners, each with a vertex beside it where a single crease ends on a side. */
function cornerPairs(drawing: Drawing): Pair[] {
  const { draft, at, sidesAt } = drawing;
  return draft.parts.flatMap(({ from, to, border, present }): Pair[] => {
    if (!border || !present || sidesAt[from].size === sidesAt[to].size) return [];
    const [corner, beside] = sidesAt[from].size > 1 ? [from, to] : [to, from];
    const apart = apartOf(draft, corner, beside);
    const creases = leaving(drawing, [beside]);
    const edges = at[beside].map((p) => draft.parts[p]).filter((p) => p.border);
    const next = Math.max(...edges.map(({ t0, t1 }) => t1 - t0));
    if (apart > MOST_APART || draft.exact[beside] || creases.length !== 1 || edges.length + 1 !== at[beside].length)
      return [];
    if (Math.min(creases[0].length, next) < STUB_SHARE * apart) return [];
    const { nx, ny, off } = draft.carriers[draft.parts[creases[0].part].carrier];
    const [x, y] = draft.measured[corner];
    return [{ ends: [corner, beside], apart, miss: Math.abs(nx * x + ny * y - off), isCorner: true }];
  });
}

function apartOf({ measured }: Draft, a: number, b: number): number {
  return Math.hypot(measured[b][0] - measured[a][0], measured[b][1] - measured[a][1]);
}

/** The folds that leave these vertices, without those that link them. */
function leaving({ draft, at }: Drawing, ends: readonly number[]): Leaving[] {
  const { parts } = draft;
  return ends.flatMap((own) =>
    at[own].flatMap((part) => {
      let far = parts[part].from === own ? parts[part].to : parts[part].from;
      if (ends.includes(far) || !folds(draft, part)) return [];
      let length = parts[part].t1 - parts[part].t0;
      for (let last = part; at[far].length === 2; ) {
        const next = at[far][0] === last ? at[far][1] : at[far][0];
        if (parts[next].carrier !== parts[part].carrier) break;
        far = parts[next].from === far ? parts[next].to : parts[next].from;
        length += parts[next].t1 - parts[next].t0;
        last = next;
      }
      return [{ part, far, length }];
    }),
  );
}

function linesOf({ parts }: Draft, out: readonly Leaving[]): number[] {
  return [...new Set(out.map(({ part }) => parts[part].carrier))];
}

/** By how much lines miss the place where they meet best, at most, pattern units. */
function missAt({ draft: { carriers }, sides }: Drawing, lines: readonly number[], near: PatternPoint): number {
  const [x, y] = meetingPoint(lines, carriers, near, sides);
  return Math.max(...lines.map((l) => Math.abs(carriers[l].nx * x + carriers[l].ny * y - carriers[l].off)));
}

/** The same at the vertices inside the sheet that tell of it: three lines or more, not all of them made to agree by a grid. */
function missesOf(drawing: Drawing): number[] {
  const { draft, at, sidesAt } = drawing;
  return at.flatMap((own, v) => {
    const lines = [...new Set(own.map((p) => draft.parts[p].carrier))];
    const isTelling = sidesAt[v].size === 0 && lines.length > 2 && lines.some((l) => !draft.carriers[l].grid);
    return isTelling ? [missAt(drawing, lines, draft.measured[v])] : [];
  });
}

/**
 * Whether alternate angles are equal once the pair is joined, as far as places that stray by `spread` tell: about the joint vertex,
 * or about the far end of the crease that a corner takes in.
 */
function isLawful(drawing: Drawing, { ends, isCorner }: Pair, spread: number): boolean {
  const { draft, sides, sidesAt } = drawing;
  const raysFrom = ([x, y]: PatternPoint, out: readonly Leaving[]): Ray[] =>
    out.map(({ part, far }) => {
      const [dx, dy] = [draft.vertices[far][0] - x, draft.vertices[far][1] - y];
      return { angle: Math.atan2(dy, dx), spread: (Math.SQRT2 * spread) / Math.hypot(dx, dy), part };
    });
  if (!isCorner) {
    const out = leaving(drawing, ends);
    return isEqual(raysFrom(meetingPoint(linesOf(draft, out), draft.carriers, draft.measured[ends[0]], sides), out));
  }
  const [corner, beside] = ends;
  const [{ far }] = leaving(drawing, [beside]);
  const moved = leaving(drawing, [far]).map((ray) => (ray.far === beside ? { ...ray, far: corner } : ray));
  return sidesAt[far].size === 0 && isEqual(raysFrom(draft.vertices[far], moved));
}

/** Whether an even number of folds has equal alternate angles, as far as a hand's drawing tells. */
function isEqual(rays: Ray[]): boolean {
  const turned = deviation(sortRays(rays), () => true, MOST_TURNED);
  return turned !== null && Math.abs(turned.amount) <= turned.tolerance;
}

function sidesOf({ parts, vertices }: Draft): ReadonlySet<number>[] {
  const sides = vertices.map(() => new Set<number>());
  for (const { from, to, border, carrier } of parts) if (border) for (const v of [from, to]) sides[v].add(carrier);
  return sides;
}

function linkOf(a: number, b: number): string {
  return a < b ? `${a} ${b}` : `${b} ${a}`;
}
