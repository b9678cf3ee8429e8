import type { KindReading } from '../kinds/kinds.ts';
import type { Kind, Odds, PatternPoint } from '../types.ts';
import type { Draft, Part } from './draft.ts';

/** Nearer an end than this share, another line's ink is what changes the colour. */
const INNER_SHARE = 0.25;
/** The change must be this share of the angle between the two inks. */
const OF_INK_ANGLE = 0.8;
/** A part that looks like one ink this surely has no other in it. */
const ONE_INK = 0.9;
/** How sure the kinds of the two halves are: seen, so never turned in silence. */
const HALF_SURE = 0.98;

/** A vertex where a line turns from one kind into another although nothing crosses it. */
export interface KindChange {
  readonly vertex: number;
}

/** Cuts lines in two where their ink turns from that of mountains into that of valleys, or back. */
export function splitChanges(draft: Draft, reading: KindReading): KindChange[] {
  const inks = inksOf(reading);
  if (!inks) return [];
  const least = OF_INK_ANGLE * Math.acos(cosine(inks.mountain, inks.valley));
  const found: KindChange[] = [];
  for (const part of [...draft.parts]) {
    const { change, kind, from, to, t0, t1 } = part;
    if (!change || !part.present || part.border || change.angle < least) continue;
    if (kind !== 'M' && kind !== 'V') continue;
    if (Math.max(part.odds.mountain, part.odds.valley) > ONE_INK) continue;
    if (change.at < INNER_SHARE || change.at > 1 - INNER_SHARE) continue;
    const [a, b] = [draft.measured[from], draft.measured[to]];
    const place: PatternPoint = [a[0] + change.at * (b[0] - a[0]), a[1] + change.at * (b[1] - a[1])];
    const vertex = draft.measured.push(place) - 1;
    draft.vertices.push(place);
    draft.exact.push(null);
    const asMountain = cosine(change.before, inks.mountain) + cosine(change.after, inks.valley);
    const asValley = cosine(change.before, inks.valley) + cosine(change.after, inks.mountain);
    const [first, second]: [Kind, Kind] = asMountain > asValley ? ['M', 'V'] : ['V', 'M'];
    const middle = t0 + change.at * (t1 - t0);
    draft.parts.splice(
      draft.parts.indexOf(part),
      1,
      half(part, from, vertex, t0, middle, first),
      half(part, vertex, to, middle, t1, second),
    );
    found.push({ vertex });
  }
  return found;
}

function half(part: Part, from: number, to: number, t0: number, t1: number, kind: Kind): Part {
  const fold = part.odds.mountain + part.odds.valley;
  const sure = fold * HALF_SURE;
  const odds: Odds = {
    ...part.odds,
    mountain: kind === 'M' ? sure : fold - sure,
    valley: kind === 'V' ? sure : fold - sure,
  };
  return { ...part, from, to, t0, t1, kind, odds, belief: odds, change: null };
}

/** Directions of the inks that mean mountain and valley; null where colour does not tell them apart. */
function inksOf({ sorting, meanings }: KindReading): { mountain: Direction; valley: Direction } | null {
  const m = meanings.findIndex(({ kind }) => kind === 'M');
  const v = meanings.findIndex(({ kind }) => kind === 'V');
  if (m < 0 || v < 0 || sorting.by !== 'colour') return null;
  return { mountain: sorting.inks[m].direction, valley: sorting.inks[v].direction };
}

type Direction = readonly [number, number, number];

function cosine(a: Direction, b: Direction): number {
  const size = Math.hypot(...a) * Math.hypot(...b);
  return size > 0 ? Math.max(-1, Math.min(1, (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / size)) : 1;
}
