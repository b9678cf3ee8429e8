import type { KindReading } from '../kinds/kinds.ts';
import type { ColourChange } from '../kinds/measure.ts';
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

/**
 * Cuts lines in two where their ink turns from that of mountains into that of valleys, or back. Not where one kind from end
 * to end alone keeps Maekawa's law at both ends, unless both halves have the inks' very colours: a neighbour, a stain or a
 * screen's bands tint strokes, too.
 */
export function splitChanges(draft: Draft, reading: KindReading): KindChange[] {
  const inks = inksOf(reading);
  if (!inks) return [];
  const apart = angle(inks.mountain, inks.valley);
  const pure = strayOf(reading, inks) < PURE_SHARE * apart ? Math.min(PURE, PURE_SHARE * apart) : 0;
  const found: KindChange[] = [];
  for (const part of [...draft.parts]) {
    const { change, kind, from, to, t0, t1 } = part;
    if (!change || !part.present || part.border || change.angle < OF_INK_ANGLE * apart) continue;
    if (kind !== 'M' && kind !== 'V') continue;
    if (Math.max(part.odds.mountain, part.odds.valley) > ONE_INK) continue;
    if (change.at < INNER_SHARE || change.at > 1 - INNER_SHARE) continue;
    const miss = missOf(change, inks);
    if (miss > LIKE_SHARE * apart) continue;
    const lawful = ALONE.filter((whole) => [from, to].every((v) => keepsMaekawa(draft, v, part, whole)));
    if (lawful.length === 1 && miss >= pure) {
      setKind(part, lawful[0]);
      continue;
    }
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

/** Halves have the inks' very colours within this, radians, and this share of the angle between the inks ... */
const PURE = 0.245;
const PURE_SHARE = 1 / 3;
/** ... where the colours of nine strokes in ten do: under moire they stray. Halves farther off than this share look like other ink. */
const USUAL = 0.9;
const LIKE_SHARE = 0.7;

/** How far the halves are from the inks that they are most like, one from mountain and one from valley, radians. */
function missOf({ before, after }: ColourChange, { mountain, valley }: Inks): number {
  const alike = (m: Direction, v: Direction) => Math.max(angle(m, mountain), angle(v, valley));
  return Math.min(alike(before, after), alike(after, before));
}

/** How far the colours of single pieces stray from their inks, radians. */
function strayOf({ measured }: KindReading, { mountain, valley }: Inks): number {
  const off = measured.flatMap(({ colour, samples }) =>
    samples > 0 ? [Math.min(angle(colour, mountain), angle(colour, valley))] : [],
  );
  return off.sort((a, b) => a - b)[Math.floor(USUAL * off.length)] ?? 0;
}

const ALONE = ['M', 'V'] as const;
/** A tinted stroke's kind, known by its ends alone: doubted. */
const TINTED_SURE = 0.85;

/** Whether mountains and valleys differ by two at a vertex (Maekawa) if the part has this kind; at a side of the sheet nothing is asked. */
function keepsMaekawa(draft: Draft, vertex: number, part: Part, kind: 'M' | 'V'): boolean {
  const met = draft.parts.filter((p) => p.present && (p.from === vertex || p.to === vertex));
  if (met.some((p) => p.border)) return true;
  const count = (of: Kind) => met.filter((p) => (p === part ? kind : p.kind) === of).length;
  return Math.abs(count('M') - count('V')) === 2;
}

function setKind(part: Part, kind: 'M' | 'V'): void {
  const fold = part.odds.mountain + part.odds.valley;
  const [more, less] = [fold * TINTED_SURE, fold * (1 - TINTED_SURE)];
  part.kind = kind;
  part.belief = { ...part.odds, mountain: kind === 'M' ? more : less, valley: kind === 'V' ? more : less };
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
function inksOf({ sorting, meanings }: KindReading): Inks | null {
  const m = meanings.findIndex(({ kind }) => kind === 'M');
  const v = meanings.findIndex(({ kind }) => kind === 'V');
  if (m < 0 || v < 0 || sorting.by !== 'colour') return null;
  return { mountain: sorting.inks[m].direction, valley: sorting.inks[v].direction };
}

interface Inks {
  readonly mountain: Direction;
  readonly valley: Direction;
}

function angle(a: Direction, b: Direction): number {
  return Math.acos(cosine(a, b));
}

type Direction = readonly [number, number, number];

function cosine(a: Direction, b: Direction): number {
  const size = Math.hypot(...a) * Math.hypot(...b);
  return size > 0 ? Math.max(-1, Math.min(1, (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / size)) : 1;
}
