import { halfSpan } from '../geometry/segment-ends.ts';
import { weightedMedian } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { pointsOf, type Segment } from '../strokes/segments.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import { addMoments, type Circle, circleOf, type Moments, momentsOf, riseOf } from './circle-fit.ts';
import { type AcrossInk, amountOf, apart, inkOfSegments } from './stroke-ink.ts';

/** Chords of a circle are no longer than this share of the raster's longer side, ... */
const LONGEST_SHARE = 0.15;
/** ... and those that a circle is begun with rise by this in their middle, px: measured straight ones rise by a tenth. */
const BENT_PX = 0.25;
/** It is begun with two of one ink that lie this near each other, as a share of the raster's longer side, turned by this at least, radians, ... */
const PAIR_SHARE = 0.25;
const LEAST_TURN = 0.05;
/** ... their normals meeting as far from the one as from the other, to this share, and all points this near one circle, px (root mean square). */
const UNEQUAL = 0.25;
const FIT_PX = 0.5;
/** Its radius is at least this, stroke widths, and px more, and at most this share of the raster's longer side. */
const LEAST_WIDTHS = 3;
const LEAST_PX = 10;
const MOST_SHARE = 1.2;
/** Inks are one if they are this near, as a share of the stronger: rims lie between two tones. */
const ONE_INK = 0.4;
/** ... and this near on a known circle, where creases run beside it. */
const RIM_INK = 0.65;
/** The ends and the middle of a chord lie on a circle this near, px: strokes are linked until they rise by about one. */
const ON_PX = 2.2;
/** A circle is seen in so many chords that together turn by so much, radians, ... */
const SURE = { chords: 4, arc: (36 * Math.PI) / 180, bowed: 0.5 };
/** ... or in fewer where others of the same ink are sure. `bowed` is how much of the circle's own bend its chords have: straight creases around a vertex have none. */
const LIKELY = { chords: 2, arc: (10 * Math.PI) / 180, bowed: 0.4 };
/** Among the specks of a texture some lie on a circle by chance: sure ones hold this share of the bent strokes in their ink (in drawings they hold four fifths, by chance a twentieth), ... */
const EXPLAINED = 0.4;
/** ... and more bent strokes than this are texture. */
const MOST_BENT = 600;
/** Points of centre line belong to a circle within this turn (sine of 20 degrees). */
const ALONG = 0.34;
/** Pieces that neighbours had bridged come apart once those are left out. */
const ROUNDS = 3;

interface Chord {
  readonly segment: Segment;
  readonly ink: AcrossInk;
  readonly moments: Moments;
  /** How far its middle lies to one side of its ends, px. */
  readonly rise: number;
}

interface FoundCircle {
  readonly circle: Circle;
  readonly ink: AcrossInk;
}

/**
 * The strokes without circles that run on across creases: their chords lie on one circle, are of one ink and bend as the circle does,
 * however many creases part them. `chords` are the pieces that were left out.
 */
export function withoutCircles(drawn: Strokes, ink: InkField): { strokes: Strokes; chords: readonly Segment[] } {
  const chords: Segment[] = [];
  let strokes = drawn;
  let known: readonly FoundCircle[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const pieces = chordsOf(strokes, ink);
    const found = findCircles(pieces, known, ink);
    known = [...known, ...found];
    if (known.length === 0) break;
    const isScrap = scrapsOf(known, strokes, ink);
    const on = pieces.filter((piece) => known.some((one) => isChord(piece, one)) || isScrap(piece));
    if (on.length === 0) break;
    chords.push(...on.map(({ segment }) => segment));
    strokes = withoutChords(strokes, ink, on, known);
  }
  return { strokes, chords };
}

function chordsOf({ segments, ridges }: Strokes, ink: InkField): Chord[] {
  const short = segments.filter(({ length }) => length < LONGEST_SHARE * Math.max(ink.width, ink.height));
  const inks = inkOfSegments(short, ridges, ink);
  return short.map((segment, i) => ({
    segment,
    ink: inks[i],
    moments: momentsOf(segment, ridges),
    rise: riseOf(segment, ridges),
  }));
}

/** Circles through bent chords that are on none so far. */
function findCircles(pieces: readonly Chord[], known: readonly FoundCircle[], ink: InkField): FoundCircle[] {
  const longer = Math.max(ink.width, ink.height);
  const least = LEAST_WIDTHS * ink.strokeWidthPx + LEAST_PX;
  const chords = pieces.filter(({ rise }) => Math.abs(rise) >= BENT_PX);
  if (chords.length > MOST_BENT) return [];
  const found: FoundCircle[] = [];
  const used = new Set<Chord>();
  const through = (on: readonly Chord[]): Circle | null => {
    const circle = circleOf(on.map(({ moments }) => moments).reduce(addMoments));
    return circle && circle.spread < FIT_PX && circle.radius > least && circle.radius < MOST_SHARE * longer
      ? circle
      : null;
  };
  for (const limits of [SURE, LIKELY]) {
    const begun = limits === SURE ? chords : chords.filter((c) => [...known, ...found].some(hasInkOf(c)));
    if (limits === LIKELY && begun.filter((c) => used.has(c)).length < EXPLAINED * begun.length && known.length === 0)
      return [];
    begun.forEach((a, i) => {
      for (const b of begun.slice(i + 1)) {
        if (used.has(a)) return;
        if (used.has(b) || !mayShare(a, b, PAIR_SHARE * longer)) continue;
        const first = through([a, b]);
        if (!first) continue;
        const on = pieces.filter((c) => !used.has(c) && apart(c.ink, a.ink) < ONE_INK && liesOn(c.segment, first));
        const circle = on.length >= limits.chords ? through(on) : null;
        if (!circle || !isSeen(on, circle, limits)) continue;
        found.push({ circle, ink: a.ink });
        for (const c of on) used.add(c);
      }
    });
  }
  return found;
}

const hasInkOf =
  ({ ink }: Chord) =>
  (circle: FoundCircle): boolean =>
    apart(ink, circle.ink) < ONE_INK;

/** Whether two chords of one ink may be of one circle: its middle is where their normals meet, as far from the one as from the other. */
function mayShare({ segment: a, ink }: Chord, { segment: b, ink: other }: Chord, far: number): boolean {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  if (Math.hypot(dx, dy) > far || apart(ink, other) > ONE_INK) return false;
  const turn = Math.sin(b.angle - a.angle);
  if (Math.abs(turn) < LEAST_TURN) return false;
  const [fromA, fromB] = [a, b].map(({ angle }) => (dx * Math.cos(angle) + dy * Math.sin(angle)) / turn);
  const differ = Math.abs(Math.abs(fromA) - Math.abs(fromB));
  return differ < UNEQUAL * Math.abs(fromA) + ON_PX;
}

function isSeen(chords: readonly Chord[], circle: Circle, limits: typeof SURE): boolean {
  const on = chords.filter(({ segment }) => liesOn(segment, circle));
  const arc = on.reduce((sum, { segment }) => sum + segment.length / circle.radius, 0);
  if (on.length < limits.chords || arc < limits.arc) return false;
  // Bends of short chords are known badly: each counts by how far it should rise.
  let [sum, weight] = [0, 0];
  for (const chord of on) {
    const due = riseOn(chord.segment, circle);
    sum += due * chord.rise;
    weight += due * due;
  }
  return sum > limits.bowed * weight;
}

/** How far the middle of a chord of this circle rises, px, with the sign of `riseOf`. */
function riseOn({ x, y, angle, length }: Segment, circle: Circle): number {
  const side = (circle.y - y) * Math.cos(angle) - (circle.x - x) * Math.sin(angle) > 0 ? 1 : -1;
  return (side * length ** 2) / (8 * circle.radius);
}

/** Whether the ends and the middle of a piece are near a circle. */
function liesOn(segment: Segment, circle: Circle): boolean {
  const { x, y, length } = segment;
  const [dx, dy] = halfSpan(segment);
  const off = (sense: number): number =>
    Math.abs(Math.hypot(x + sense * dx - circle.x, y + sense * dy - circle.y) - circle.radius);
  return length < circle.radius && off(-1) < ON_PX && off(0) < ON_PX && off(1) < ON_PX;
}

/** A piece on a circle of its ink that bends by this in its middle, px, and so little of it is straight: a crease touches the circle there. */
const TOLD_BY_BEND_PX = 0.7;
const STRAIGHT = 0.3;

function isChord({ segment, ink, rise }: Chord, { circle, ink: rim }: FoundCircle): boolean {
  if (apart(ink, rim) > RIM_INK || !liesOn(segment, circle)) return false;
  const due = riseOn(segment, circle);
  return Math.abs(due) < TOLD_BY_BEND_PX || rise / due > STRAIGHT;
}

/** So many circles with less than this share of the usual stroke's ink are drawn behind the creases: ... */
const BEHIND = { circles: 3, share: 0.5 };
/** ... then what is bent or short in their ink is scraps of them, stroke widths, and px more. */
const SCRAP_WIDTHS = 3;
const SCRAP_PX = 15;

/** Whether a piece is a scrap of circles that are drawn behind the creases in an ink of their own. */
function scrapsOf(
  circles: readonly FoundCircle[],
  { segments, ridges }: Strokes,
  ink: InkField,
): (piece: Chord) => boolean {
  const long = segments.filter(({ length }) => length > LONGEST_SHARE * Math.max(ink.width, ink.height));
  const usual = weightedMedian(
    inkOfSegments(long, ridges, ink).map((of, i) => ({ value: amountOf(of), weight: long[i].length })),
  );
  const behind = circles.filter((one) => amountOf(one.ink) < BEHIND.share * usual);
  const leastPx = SCRAP_WIDTHS * ink.strokeWidthPx + SCRAP_PX;
  return (piece) =>
    behind.length >= BEHIND.circles &&
    (Math.abs(piece.rise) >= BENT_PX || piece.segment.length < leastPx) &&
    behind.some((one) => apart(piece.ink, one.ink) < RIM_INK);
}

/** The strokes without these chords, and without what lies beside them along their circles in no stroke. */
function withoutChords(
  { segments, ridges }: Strokes,
  ink: InkField,
  chords: readonly Chord[],
  circles: readonly FoundCircle[],
): Strokes {
  const dropped = pointsOf(
    chords.map(({ segment }) => segment),
    ridges.count,
  );
  const linked = pointsOf(segments, ridges.count);
  const { x, y, angle } = ridges;
  const kept = keepRidges(ridges, (p) => {
    if (linked[p]) return dropped[p] === 0;
    return !circles.some(({ circle }) => {
      const [dx, dy] = [x[p] - circle.x, y[p] - circle.y];
      const away = Math.hypot(dx, dy);
      const turn = Math.abs(dx * Math.cos(angle[p]) + dy * Math.sin(angle[p])) / away;
      return Math.abs(away - circle.radius) < 2 * ON_PX && turn < ALONG;
    });
  });
  return linkStrokes(kept, ink);
}
