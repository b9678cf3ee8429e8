import { paperToPattern } from '../geometry/frames.ts';
import { isInside, sidesOf } from '../geometry/sides.ts';
import { weightedMedian } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import type { Segment } from '../strokes/segments.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';
import { endsIn, leastOfCreases, type Surroundings, surroundingsOf } from './hatch-ends.ts';
import { type AcrossInk, amountOf, apart, inkOfSegments } from './stroke-ink.ts';

/** Lines of a hatching are told by pieces from this length on, stroke widths, and px more. */
const LEAST_WIDTHS = 2;
const LEAST_PX = 6;
/** They run in one direction to this, radians, and as much as their ends may be off, px; ... */
const ONE_DIRECTION = (1.5 * Math.PI) / 180;
const END_PX = 1;
/** ... are of one ink, as a share of the stronger; ... */
const ONE_INK = 0.4;
/** ... (pieces in corners are short: to this) ... */
const RATHER_ONE_INK = 0.6;
/** ... are this far apart, px, as a share of the raster's longer side, evenly to this share and px, ... */
const LEAST_PITCH_PX = 3;
const MOST_PITCH = 0.06;
const EVEN = 0.08;
const EVEN_PX = 0.7;
/** ... and lie side by side along this share of the shorter. */
const BESIDE = 0.5;
/** So many follow each other in one face at least, so many are there in all. */
const MOST_IN_FACE = 5;
const LEAST_LINES = 10;
/** This share of their ends lies at creases, this at creases within the sheet, and no more than that goes on beyond; no more of them cross one. */
const AT_CREASES = 0.6;
const AT_INNER = 0.3;
const GO_ON = 0.3;
const CROSSING = 0.15;
/** Crossed hatching has two directions; a few more may be drawn. */
const MOST_DIRECTIONS = 6;
/** A smear beside the hatching is shorter than this many pitches and lies this near, pitches. */
const SMEAR = 1.2;

interface HatchPiece extends Segment {
  readonly ink: AcrossInk;
  readonly amount: number;
}

/** A family of parallel pieces of one ink. */
interface Hatching {
  readonly pieces: readonly HatchPiece[];
  readonly angle: number;
  readonly pitch: number;
  readonly ink: AcrossInk;
}

/**
 * The strokes without hatching: parallel pale lines of one ink, evenly spaced with nothing between them, that fill faces. They
 * begin and end at creases, which have more ink, and neither cross them nor go on beyond, as pleats and squared paper do. `lines` are the
 * pieces that were left out.
 */
export function withoutHatching(
  drawn: Strokes,
  ink: InkField,
  sheet: Sheet,
): { strokes: Strokes; lines: readonly Segment[] } {
  const inks = inkOfSegments(drawn.segments, drawn.ridges, ink);
  const pieces = drawn.segments.map((s, i): HatchPiece => ({ ...s, ink: inks[i], amount: amountOf(inks[i]) }));
  const least = LEAST_WIDTHS * ink.strokeWidthPx + LEAST_PX;
  const sides = sidesOf(sheet.polygon);
  const border = (2 * ink.strokeWidthPx + 4) / sheet.pxPerUnit;
  const isInner = (x: number, y: number): boolean => {
    const [u, v] = paperToPattern(sheet, [x, y]);
    return isInside(sides, u, v, border);
  };
  const hatchings: Hatching[] = [];
  const left = new Set(pieces.filter((s) => s.length >= least && isInner(s.x, s.y)));
  for (const angle of directionsOf([...left])) {
    const family = familyOf(angle, [...left], Math.max(ink.width, ink.height));
    if (!family || !isHatching(family, surroundingsOf(family, pieces, drawn, ink), isInner)) continue;
    hatchings.push(family);
    for (const s of family.pieces) left.delete(s);
  }
  if (hatchings.length === 0) return { strokes: drawn, lines: [] };
  return withoutFamilies(drawn, pieces, hatchings, ink);
}

/** The directions in which most is drawn, those of most length first, radians. */
function directionsOf(pieces: readonly Segment[]): number[] {
  const bins = new Float64Array(180);
  for (const { angle, length } of pieces) bins[Math.floor((angle * 180) / Math.PI) % 180] += length;
  const around = (d: number): number => bins[(d + 179) % 180] + bins[d] + bins[(d + 1) % 180];
  return [...bins.keys()]
    .filter((d) => around(d) > 0 && around(d) >= around((d + 179) % 180) && around(d) > around((d + 1) % 180))
    .sort((a, b) => around(b) - around(a))
    .slice(0, MOST_DIRECTIONS)
    .map((d) => ((d + 0.5) * Math.PI) / 180);
}

const runsAlong = ({ angle, length }: Segment, way: number): boolean =>
  Math.abs(Math.sin(angle - way)) < ONE_DIRECTION + (2 * END_PX) / length;

interface Placed {
  readonly piece: HatchPiece;
  readonly off: number;
  readonly from: number;
  readonly to: number;
}

/** Pieces across and along a direction, in order across. */
function placed(pieces: readonly HatchPiece[], way: number): Placed[] {
  const [dx, dy] = [Math.cos(way), Math.sin(way)];
  return pieces
    .map((piece) => {
      const t = piece.x * dx + piece.y * dy;
      return { piece, off: piece.y * dx - piece.x * dy, from: t - piece.length / 2, to: t + piece.length / 2 };
    })
    .sort((a, b) => a.off - b.off);
}

/** The evenly spaced pieces of one ink in a direction, or null where they are too few. */
function familyOf(about: number, all: readonly HatchPiece[], longerPx: number): Hatching | null {
  const near = all.filter((s) => Math.abs(Math.sin(s.angle - about)) < 2 * ONE_DIRECTION);
  if (near.length < LEAST_LINES) return null;
  const angle =
    about +
    weightedMedian(
      near.map((s) => ({
        value: Math.asin(Math.sin(s.angle - about) * Math.sign(Math.cos(s.angle - about))),
        weight: s.length,
      })),
    );
  const inWay = placed(
    all.filter((s) => runsAlong(s, angle)),
    angle,
  );
  const pairs = neighbours(inWay, MOST_PITCH * longerPx);
  if (pairs.length === 0) return null;
  const ink = mostInk(pairs);
  const alike = pairs.filter(({ a, b }) => [a, b].every(({ piece }) => apart(piece.ink, ink) < ONE_INK));
  const pitch = mostCommonGap(alike);
  const even = alike.filter(({ gap }) => Math.abs(gap - pitch) < EVEN * pitch + EVEN_PX);
  const groups = groupsOf(even);
  const most = Math.max(0, ...groups.map((group) => group.size));
  const pieces = groups.flatMap((group) => [...group]);
  return most < MOST_IN_FACE || pieces.length < LEAST_LINES ? null : { pieces, angle, pitch, ink };
}

interface Pair {
  readonly a: Placed;
  readonly b: Placed;
  readonly gap: number;
  readonly beside: number;
}

/** Each piece with the next one across that lies beside it. */
function neighbours(inWay: readonly Placed[], farthest: number): Pair[] {
  return inWay.flatMap((a, i): Pair[] => {
    for (let j = i + 1; j < inWay.length && inWay[j].off - a.off < farthest; j++) {
      const b = inWay[j];
      const beside = Math.min(a.to, b.to) - Math.max(a.from, b.from);
      if (b.off - a.off < LEAST_PITCH_PX || beside < BESIDE * Math.min(a.piece.length, b.piece.length)) continue;
      return [{ a, b, gap: b.off - a.off, beside }];
    }
    return [];
  });
}

/** The ink that most of the length beside each other is drawn in. */
function mostInk(pairs: readonly Pair[]): AcrossInk {
  const same = pairs.filter(({ a, b }) => apart(a.piece.ink, b.piece.ink) < ONE_INK);
  const weights = (of: (ink: AcrossInk) => number): number =>
    weightedMedian(same.map(({ a, beside }) => ({ value: of(a.piece.ink), weight: beside })));
  return [weights((i) => i[0]), weights((i) => i[1]), weights((i) => i[2])];
}

function mostCommonGap(pairs: readonly Pair[]): number {
  const within = (gap: number): number =>
    pairs.reduce((n, other) => n + (Math.abs(other.gap - gap) < EVEN * gap + EVEN_PX ? 1 : 0), 0);
  const best = pairs.reduce(
    (best, { gap }) => {
      const count = within(gap);
      return count > best.count ? { gap, count } : best;
    },
    { gap: 0, count: 0 },
  ).gap;
  return weightedMedian(
    pairs
      .filter(({ gap }) => Math.abs(gap - best) < EVEN * best + EVEN_PX)
      .map(({ gap, beside }) => ({ value: gap, weight: beside })),
  );
}

/** Pieces that are joined by pairs. */
function groupsOf(pairs: readonly Pair[]): Set<HatchPiece>[] {
  const groupOf = new Map<HatchPiece, Set<HatchPiece>>();
  for (const { a, b } of pairs) {
    const [one, other] = [a.piece, b.piece].map((piece) => groupOf.get(piece) ?? new Set([piece]));
    const all = one === other ? one : new Set([...one, ...other]);
    for (const piece of all) groupOf.set(piece, all);
  }
  return [...new Set(groupOf.values())];
}

function isHatching(family: Hatching, around: Surroundings, isInner: (x: number, y: number) => boolean): boolean {
  const ends = endsIn(around, family.pieces);
  const met = ends.filter(({ at }) => at !== null);
  const inner = met.filter(({ at }) => at && isInner(at[0], at[1]));
  return (
    met.length > AT_CREASES * ends.length &&
    inner.length > AT_INNER * ends.length &&
    ends.filter(({ goesOn }) => goesOn).length < GO_ON * ends.length &&
    family.pieces.filter(around.crosses).length < CROSSING * family.pieces.length
  );
}

/** The strokes without the lines of hatchings, what is left of them in corners, and what lies beside them in no stroke. */
function withoutFamilies(
  drawn: Strokes,
  pieces: readonly HatchPiece[],
  hatchings: readonly Hatching[],
  ink: InkField,
): { strokes: Strokes; lines: readonly Segment[] } {
  const { ridges } = drawn;
  const whole = hatchings.map((h) => ({ ...h, pieces: grown(h, pieces) }));
  const near = whole.map(({ pieces: lines, pitch }) => nearLines(lines, pitch));
  const isSmear = (s: HatchPiece): boolean =>
    whole.some((h, i) => isWeak(s, h) && s.length < SMEAR * h.pitch && near[i](s.x, s.y));
  const families = new Set(whole.flatMap((h) => h.pieces));
  const lines = pieces.filter((s) => families.has(s) || isSmear(s));
  const owned = new Int8Array(ridges.count).fill(-1);
  for (const s of pieces) for (const p of s.points) owned[p] = 0;
  for (const s of lines) for (const p of s.points) owned[p] = 1;
  const kept = keepRidges(
    ridges,
    (p) => owned[p] === 0 || (owned[p] < 0 && !near.some((is) => is(ridges.x[p], ridges.y[p]))),
  );
  return { strokes: linkStrokes(kept, ink), lines };
}

const isWeak = (s: HatchPiece, hatching: Hatching): boolean => s.amount < leastOfCreases(hatching);

/** The lines of a hatching with those beside them that are spaced less evenly, or whose ink is known less well. */
function grown(hatching: Hatching, all: readonly HatchPiece[]): HatchPiece[] {
  const pieces = new Set(hatching.pieces);
  const alike = all.filter(
    (s) => runsAlong(s, hatching.angle) && isWeak(s, hatching) && apart(s.ink, hatching.ink) < RATHER_ONE_INK,
  );
  for (let before = 0; before < pieces.size; ) {
    before = pieces.size;
    const near = nearLines([...pieces], hatching.pitch);
    for (const s of alike) if (near(s.x, s.y)) pieces.add(s);
  }
  return [...pieces];
}

/** Whether a place lies within a pitch of these lines. */
function nearLines(lines: readonly Segment[], pitch: number): (x: number, y: number) => boolean {
  const cells = new Set<string>();
  for (const { x, y, angle, length } of lines)
    for (let t = -length / 2; t <= length / 2 + pitch / 2; t += pitch / 2)
      cells.add(`${Math.floor((x + t * Math.cos(angle)) / pitch)},${Math.floor((y + t * Math.sin(angle)) / pitch)}`);
  return (x, y) => {
    const [i, j] = [Math.floor(x / pitch), Math.floor(y / pitch)];
    for (let right = -1; right <= 1; right++)
      for (let down = -1; down <= 1; down++) if (cells.has(`${i + right},${j + down}`)) return true;
    return false;
  };
}
