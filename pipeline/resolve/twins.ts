/** Vertices that are one, and pieces drawn twice. */
import type { ExactPoint } from '../types.ts';
import type { Draft, Part } from './draft.ts';
import { pointKey } from './exact-lines.ts';

/** Lines that meet at a smaller angle say little about where, sine. */
const LEAST_SINE = 0.08;
/** Two vertices on the same two lines are one if they are this close: in stroke widths, px and pattern units. */
const TWIN_WIDTHS = 3;
const TWIN_PX = 6;
const TWIN_UNITS = 0.005;

/**
 * Joins vertices that lie on the same two crossing lines, or have the same exact place: straight lines meet once. Pieces
 * between them vanish, and of two pieces with the same ends the shorter line's goes.
 *
 * @param exact exact places as far as known, or null
 * @returns whether anything was joined
 */
export function joinTwins(draft: Draft, exact: readonly (ExactPoint | null)[] | null): boolean {
  const { measured: vertices, parts, carriers } = draft;
  const linesAt: Set<number>[] = vertices.map(() => new Set());
  const sidesAt: Set<number>[] = vertices.map(() => new Set());
  for (const { from, to, carrier, border, present } of parts) {
    if (!present) continue;
    for (const v of [from, to]) {
      linesAt[v].add(carrier);
      if (border) sidesAt[v].add(carrier);
    }
  }
  const reach = Math.max(TWIN_WIDTHS * draft.strokeWidth, TWIN_PX * draft.px, TWIN_UNITS);
  const home = vertices.map((_, v) => v);
  const homeOf = (v: number): number => {
    let h = v;
    while (home[h] !== h) h = home[h];
    return h;
  };
  const join = (a: number, b: number) => {
    const [p, q] = [homeOf(a), homeOf(b)];
    if (p === q) return;
    // Corners of the sheet keep their place, then the vertex that more sides and then lines agree upon.
    const lead = sidesAt[p].size - sidesAt[q].size || linesAt[p].size - linesAt[q].size;
    const [keep, go] = lead >= 0 ? [p, q] : [q, p];
    home[go] = keep;
  };
  const owner = new Map<string, number>();
  const byX = [...vertices.keys()].sort((a, b) => vertices[a][0] - vertices[b][0]);
  for (let i = 0; i < byX.length; i++) {
    const v = byX[i];
    const point = exact?.[v];
    if (point) {
      const key = pointKey(point);
      const other = owner.get(key);
      if (other === undefined) owner.set(key, v);
      else join(other, v);
    }
    for (let j = i + 1; j < byX.length && vertices[byX[j]][0] - vertices[v][0] <= reach; j++) {
      const w = byX[j];
      // Two exact places differ or were joined above.
      if (exact?.[v] && exact[w]) continue;
      if (Math.hypot(vertices[w][0] - vertices[v][0], vertices[w][1] - vertices[v][1]) > reach) continue;
      const shared = [...linesAt[v]].filter((l) => linesAt[w].has(l));
      const crossing = shared.some((l) =>
        shared.some((m) => Math.abs(carriers[l].nx * carriers[m].ny - carriers[l].ny * carriers[m].nx) > LEAST_SINE),
      );
      if (crossing) join(v, w);
    }
  }
  const changed = home.some((h, v) => h !== v);
  if (changed) {
    for (const part of parts) {
      part.from = homeOf(part.from);
      part.to = homeOf(part.to);
    }
  }
  return dropDoubles(draft) || changed;
}

/** Vertices on a side of the sheet closer than this are one where their lines meet there, pattern units. */
const SIDE_TWIN = 0.0065;
/** A side with ink over less than this share of its length was not drawn, and its place is known by guess. */
const DRAWN_SHARE = 0.3;
/** Lines that meet within this of both meet at the side, pattern units. */
const SIDE_MEETING = 0.01;

/**
 * Joins neighbours on a side that was not drawn: lines that meet in one point of it, or in a corner, part a little where
 * the side was put a little wrong.
 */
export function joinOnSides(draft: Draft): boolean {
  const { measured, parts, carriers } = draft;
  const ends: Set<number>[] = measured.map(() => new Set());
  const sides: Set<number>[] = measured.map(() => new Set());
  const drawn = new Map<number, { seen: number; length: number }>();
  for (const { from, to, carrier, border, present, coverage, t0, t1 } of parts) {
    if (!present) continue;
    for (const v of [from, to]) (border ? sides : ends)[v].add(carrier);
    if (!border) continue;
    const known = drawn.get(carrier) ?? { seen: 0, length: 0 };
    drawn.set(carrier, { seen: known.seen + coverage * (t1 - t0), length: known.length + t1 - t0 });
  }
  const meets = (l: number, m: number, v: number, w: number) => {
    const [a, b] = [carriers[l], carriers[m]];
    const sine = a.nx * b.ny - a.ny * b.nx;
    if (Math.abs(sine) < LEAST_SINE) return false;
    const x = (a.off * b.ny - b.off * a.ny) / sine;
    const y = (a.nx * b.off - b.nx * a.off) / sine;
    return [v, w].every((u) => Math.hypot(measured[u][0] - x, measured[u][1] - y) < SIDE_MEETING);
  };
  const home = new Map<number, number>();
  for (const { from, to, carrier, border, present } of parts) {
    if (!present || !border) continue;
    const side = drawn.get(carrier);
    if (side && side.seen > DRAWN_SHARE * side.length) continue;
    const apart = Math.hypot(measured[to][0] - measured[from][0], measured[to][1] - measured[from][1]);
    if (apart > SIDE_TWIN || home.has(from) || home.has(to)) continue;
    const corner = sides[from].size > 1 ? from : sides[to].size > 1 ? to : -1;
    const isOne =
      corner >= 0 || [...ends[from]].some((l) => [...ends[to]].some((m) => l !== m && meets(l, m, from, to)));
    if (!isOne) continue;
    const keep = corner >= 0 ? corner : from;
    home.set(keep === from ? to : from, keep);
  }
  return joinInto(draft, home);
}

/** Gives the ends of parts the vertices that these were joined into; whether there was any. */
export function joinInto(draft: Draft, home: ReadonlyMap<number, number>): boolean {
  if (home.size === 0) return false;
  for (const part of draft.parts) {
    part.from = home.get(part.from) ?? part.from;
    part.to = home.get(part.to) ?? part.to;
  }
  for (const [go, keep] of home) {
    const apart = draft.split.get(go);
    if (apart !== undefined) draft.split.set(keep, Math.max(apart, draft.split.get(keep) ?? 0));
  }
  dropDoubles(draft);
  return true;
}

/** Pieces without length, and second pieces between the same two vertices, are dropped. */
function dropDoubles({ parts, carriers }: Draft): boolean {
  const lengthOn = new Float64Array(carriers.length);
  for (const { carrier, t0, t1, present } of parts) if (present) lengthOn[carrier] += t1 - t0;
  const better = (a: Part, b: Part) =>
    a.border !== b.border ? a.border : a.present !== b.present ? a.present : lengthOn[a.carrier] > lengthOn[b.carrier];
  const between = new Map<string, Part>();
  const gone = new Set<Part>();
  for (const part of parts) {
    if (part.from === part.to) {
      gone.add(part);
      continue;
    }
    const key = `${Math.min(part.from, part.to)}-${Math.max(part.from, part.to)}`;
    const other = between.get(key);
    if (!other) between.set(key, part);
    else if (better(part, other)) {
      gone.add(other);
      between.set(key, part);
    } else gone.add(part);
  }
  if (gone.size === 0) return false;
  const kept = parts.filter((p) => !gone.has(p));
  parts.length = 0;
  parts.push(...kept);
  return true;
}
