import { cutInTwo } from './cut.ts';
import type { Feature } from './features.ts';
import { liesInPatches } from './patches.ts';
import { type Beat, nameRhythm, poolBeats, type Rhythm } from './rhythm.ts';

export interface RhythmClass {
  readonly rhythm: Rhythm;
  readonly beat: Beat;
  /** Spread of the filled share over the class's long pieces. */
  readonly filledSpread: number;
  readonly share: number;
}

/** Length in stroke widths from which a piece alone shows its rhythm (two periods of dash and gap). */
export const TELLING_LENGTH = 36;
const LEAST_RHYTHM_SHARE = 0.06;

/** The rhythms, unless the broken strokes lie in one patch or break unevenly: then glare, dirt or the pen broke them. */
export function honestRhythms(own: readonly Feature[]): RhythmClass[] {
  const classes = rhythmClasses(own);
  if (classes.length < 2 || !classes.some((c) => c.rhythm === 'solid')) return classes;
  const telling = own.filter((f) => f.beat.length >= TELLING_LENGTH / 2);
  const broken = telling.map((f) => isBroken(f.beat));
  const long = own.filter((f) => f.beat.length >= TELLING_LENGTH && isBroken(f.beat));
  return liesInPatches(telling, broken) || isUneven(long.map((f) => f.beat))
    ? classes.filter((c) => c.rhythm === 'solid')
    : classes;
}

/** Spread of the rate of holes over its mean: drawn dashes keep to about 0.1 to 0.4, a skipping pencil does not. */
const MOST_UNEVEN = 0.45;
/** Rarer holes than this a stroke width are dashes only if very even. */
const RARE_HOLES = 0.06;
const VERY_EVEN = 0.25;

function isUneven(beats: readonly Beat[]): boolean {
  if (beats.length === 0) return false;
  const { holeRate, length } = poolBeats(beats);
  const variance = beats.reduce((s, b) => s + b.length * (b.holeRate - holeRate) ** 2, 0) / Math.max(length, 1e-9);
  const uneven = Math.sqrt(variance) / Math.max(holeRate, 1e-9);
  return uneven > MOST_UNEVEN || (holeRate < RARE_HOLES && uneven > VERY_EVEN);
}

/** Solid strokes with more than this share of the length are an ink of the drawing. */
const SOLID_SHARE = 0.15;

/** Beats of the pieces long enough to show their rhythm. */
function tellingBeats(own: readonly Feature[]): Beat[] {
  const long = own.filter((f) => f.beat.length >= TELLING_LENGTH);
  return (long.length >= LEAST_PIECES ? long : own.filter((f) => f.beat.length >= TELLING_LENGTH / 2)).map(
    (f) => f.beat,
  );
}

/** The rhythms in the picture. */
function rhythmClasses(own: readonly Feature[]): RhythmClass[] {
  const telling = withShort(own, tellingBeats(own));
  const total = lengthOf(telling);
  const solid = telling.filter((b) => !isBroken(b));
  const broken = telling.filter(isBroken);
  const parts: { rhythm: Rhythm; beats: readonly Beat[] }[] = [{ rhythm: 'solid', beats: solid }];
  // Beside solid strokes one broken rhythm is the rule; an uneven hand makes it look like two.
  const solidShare = lengthOf(solid) / Math.max(total, 1e-9);
  const two = solidShare > SOLID_SHARE ? null : partBeats(broken);
  if (two) parts.push({ rhythm: 'dashed', beats: two.dashed }, { rhythm: 'dashdot', beats: two.dashdot });
  else if (broken.length > 0) parts.push({ rhythm: nameRhythm(poolBeats(broken)), beats: broken });
  return classesOf(parts);
}

const isBroken = (b: Beat): boolean => nameRhythm(b) !== 'solid';
const lengthOf = (beats: readonly Beat[]): number => beats.reduce((sum, b) => sum + b.length, 0);

/** A piece longer than so many periods has a whole gap in it, wherever in the rhythm it begins. */
const WHOLE_PERIODS = 1.5;
/** A pen that skips does so in long strokes as well: with this share of the holes of the short ones it may be the pen. */
const SKIPS_TOO = 0.15;

/**
 * The long pieces' beats, and where those are all solid or all broken the other ones among the short pieces, unless they are few: here and there a gap is filled, or ink
 * is missing. Short pieces without a hole are solid where a gap would show.
 */
function withShort(own: readonly Feature[], long: readonly Beat[]): readonly Beat[] {
  const broken = long.filter(isBroken);
  const share = lengthOf(broken) / Math.max(lengthOf(long), 1e-9);
  if (share > LEAST_RHYTHM_SHARE && share < 1 - LEAST_RHYTHM_SHARE) return long;
  const areSolid = share < 0.5;
  const { holeRate, dots } = poolBeats(broken);
  const least = areSolid ? LEAST_TELLING : (WHOLE_PERIODS * holesInPeriod(dots)) / holeRate;
  const known = new Set(long);
  const short = own.map((f) => f.beat).filter((b) => !known.has(b) && b.length >= least);
  const other = short.filter((b) => (areSolid ? isBroken(b) : b.holeRate === 0));
  if (lengthOf(other) < SOLID_SHARE * (lengthOf(long) + lengthOf(short))) return long;
  if (areSolid && poolBeats(long).holeRate > SKIPS_TOO * poolBeats(other).holeRate) return long;
  return [...long, ...other];
}

/** Drawn holes follow each other more regularly than this, skips of a pen do not. */
const REGULAR = 0.12;

/**
 * Two broken rhythms where next to no piece is without a hole: of long dashes, a piece that shows one gap may pass for a solid stroke with a skip. Null where there
 * are none.
 */
export function brokenRhythms(own: readonly Feature[]): RhythmClass[] | null {
  const telling = tellingBeats(own);
  const broken = telling.filter(({ holeRate }) => holeRate > 0);
  const { irregular } = poolBeats(broken);
  if (lengthOf(broken) < (1 - SOLID_SHARE) * lengthOf(telling) || irregular === null || irregular > REGULAR)
    return null;
  const two = partBeats(broken);
  const classes = two
    ? classesOf([
        { rhythm: 'dashed', beats: two.dashed },
        { rhythm: 'dashdot', beats: two.dashdot },
      ])
    : [];
  return classes.length === 2 ? classes : null;
}

/** Shorter pieces may be shorter than a dash; so many must be left. */
const LEAST_TELLING = TELLING_LENGTH / 4;
const LEAST_PIECES = 6;

/** Two rhythms by each of the ways in which they may differ, however small the gap: for where the folding laws agree. */
export function vagueRhythms(own: readonly Feature[]): RhythmClass[][] {
  const usual = tellingBeats(own);
  const telling =
    usual.length >= LEAST_PIECES ? usual : own.filter((f) => f.beat.length >= LEAST_TELLING).map((f) => f.beat);
  return cutsOf(telling).flatMap(({ of, cut }) => {
    if (!cut || cut.gain < VAGUE_RHYTHMS_GAIN) return [];
    const [high, low] = partAt(telling, of, cut.at);
    if ([high, low].some((beats) => nameRhythm(poolBeats(beats)) === 'solid')) {
      const isHigh = poolBeats(high).filled > poolBeats(low).filled;
      return isHigh ? solidAgainst(high, low) : solidAgainst(low, high);
    }
    const { dashed, dashdot } = dashdotOf(high, low);
    return [
      classesOf([
        { rhythm: 'dashed', beats: dashed },
        { rhythm: 'dashdot', beats: dashdot },
      ]),
    ];
  });
}

function solidAgainst(solid: readonly Beat[], broken: readonly Beat[]): RhythmClass[][] {
  const rhythm = nameRhythm(poolBeats(broken));
  return rhythm === 'solid'
    ? []
    : [
        classesOf([
          { rhythm: 'solid', beats: solid },
          { rhythm, beats: broken },
        ]),
      ];
}

function classesOf(parts: readonly { rhythm: Rhythm; beats: readonly Beat[] }[]): RhythmClass[] {
  const total = parts.reduce((s, { beats }) => s + lengthOf(beats), 0);
  return parts
    .map(({ rhythm, beats }) => {
      const beat = poolBeats(beats);
      return {
        rhythm,
        beat,
        filledSpread: spreadOfFilled(beats, beat.filled),
        share: beat.length / Math.max(total, 1e-9),
      };
    })
    .filter((c) => c.share >= LEAST_RHYTHM_SHARE);
}

const LEAST_FILLED_SPREAD = 0.02;
/** A piece may begin and end anywhere in the rhythm: its filled share is off by about a hole over its length, in stroke widths. */
const CUT_WIDTHS = 1.5;
/** Chance of a reading that fits nothing. */
const ODD_READING = 0.02;

function spreadOfFilled(beats: readonly Beat[], mean: number): number {
  const sum = beats.reduce((s, b) => s + b.length * (b.filled - mean) ** 2, 0);
  return Math.max(LEAST_FILLED_SPREAD, Math.sqrt(sum / Math.max(lengthOf(beats), 1e-9)));
}

/** Least gap between two rhythms in pooled spreads, and least share of each. */
const TWO_RHYTHMS_GAIN = 3.4;
const VAGUE_RHYTHMS_GAIN = 2.5;
const TWO_RHYTHMS_SHARE = 0.12;
/** Least difference of the two in filled share or in share of dots. */
const TWO_RHYTHMS_STEP = 0.06;
/** One rhythm that starts anywhere in a piece shows one period of it more or less: two differ by more holes, or more hole, than that. */
const CLEAR_PERIODS = 1.5;
/** ... or one has dots, this share of its runs, and the other next to none beside it, where most pieces have two whole runs or more. */
const DOTTED = 0.25;
const DOTLESS = 0.45;
/** Two dots a dash are the most that is drawn. */
const MOST_DOTS = 2 / 3;

/** Holes in one period of a rhythm with this share of dots among its runs. */
function holesInPeriod(dots: number): number {
  return 1 / (1 - Math.min(MOST_DOTS, dots));
}

/** Shares of dots that differ by this much name the rhythms. */
const TELLING_DOTS = 0.15;

/**
 * Two broken rhythms, told apart by their dots, by how much is filled, or by how often they break. Dash-dot is the one
 * with more dots or, where blur has eaten the dots, the emptier.
 */
function partBeats(broken: readonly Beat[]): { dashed: readonly Beat[]; dashdot: readonly Beat[] } | null {
  let best: { gain: number; parts: [Beat[], Beat[]] } | null = null;
  for (const { of, cut } of cutsOf(broken)) {
    if (!cut || cut.gain < Math.max(TWO_RHYTHMS_GAIN, best?.gain ?? 0)) continue;
    const parts = partAt(broken, of, cut.at);
    if (areTwoRhythms(...parts)) best = { gain: cut.gain, parts };
  }
  return best && dashdotOf(...best.parts);
}

/** Whether two groups differ by more than where in the rhythm their pieces start. */
function areTwoRhythms(a: readonly Beat[], b: readonly Beat[]): boolean {
  const [one, other] = [a, b].map(poolBeats);
  const [telling, otherTelling] = [a, b].map((beats) => poolBeats(beats.filter(({ runs }) => runs >= 2)));
  const most = Math.max(telling.dots, otherTelling.dots);
  const least = Math.min(telling.dots, otherTelling.dots);
  const areTold = telling.length > one.length / 2 && otherTelling.length > other.length / 2;
  if (areTold && most > DOTTED && least < DOTLESS * most) return true;
  const all = poolBeats([...a, ...b]);
  const clear = (CLEAR_PERIODS * holesInPeriod(all.dots) * (a.length + b.length)) / all.length;
  return (
    Math.abs(one.holeRate - other.holeRate) > clear ||
    Math.abs(one.filled - other.filled) > (clear * (1 - all.filled)) / Math.max(all.holeRate, 1e-9)
  );
}

type Way = (b: Beat) => number;

function cutsOf(beats: readonly Beat[]): { of: Way; cut: ReturnType<typeof cutInTwo> }[] {
  const meanRate = poolBeats(beats).holeRate || 1;
  return [(b: Beat) => b.dots, (b: Beat) => b.filled, (b: Beat) => b.holeRate / meanRate].map((of) => ({
    of,
    cut: cutInTwo(
      beats.map((b) => ({ v: of(b), w: b.length })),
      TWO_RHYTHMS_SHARE,
      TWO_RHYTHMS_STEP,
    ),
  }));
}

function partAt(beats: readonly Beat[], of: Way, at: number): [above: Beat[], below: Beat[]] {
  return [beats.filter((b) => of(b) > at), beats.filter((b) => of(b) <= at)];
}

function dashdotOf(
  above: readonly Beat[],
  below: readonly Beat[],
): { dashed: readonly Beat[]; dashdot: readonly Beat[] } {
  const [high, low] = [poolBeats(above), poolBeats(below)];
  const aboveIsDashdot =
    Math.abs(high.dots - low.dots) > TELLING_DOTS ? high.dots > low.dots : high.filled < low.filled;
  return aboveIsDashdot ? { dashed: below, dashdot: above } : { dashed: above, dashdot: below };
}

/** A solid stroke may stop short of its ends by about so many stroke widths. */
const END_WIDTHS = 0.3;

/** Density of the filled share of a solid piece: close to 1. */
function solidFill(b: Beat): number {
  const spread = LEAST_FILLED_SPREAD + END_WIDTHS / Math.max(1, b.length);
  const z = (1 - b.filled) / spread;
  return (Math.exp(-(z * z) / 2) + ODD_READING) / spread;
}

/** How irregular drawn rhythms come out, and the skips of a pen: middle and spread of the latter, and how often a line has many. */
const DRAWN_SPREAD = 0.06;
const SKIP_MIDDLE = 0.3;
const SKIP_SPREAD = 0.15;
const SKIP_SHARE = 0.15;

/** Density of the irregularity of a solid line with holes in it, times how rare such lines are. */
function skipping(irregular: number): number {
  const z = (irregular - SKIP_MIDDLE) / SKIP_SPREAD;
  return (SKIP_SHARE * Math.exp(-(z * z) / 2)) / SKIP_SPREAD;
}

/** The runs of one piece are alike: so many tell of dots, more say the same again. */
const MOST_TOLD = 6;

/** How likely this beat is under each rhythm, by its holes and dots. */
export function rhythmOdds(b: Beat, rhythms: readonly RhythmClass[]): Float64Array {
  const holes = Math.round(b.holeRate * b.length);
  // Dots tell broken rhythms from each other; a solid line has no runs to count.
  const areTwo = rhythms.filter((r) => r.rhythm !== 'solid').length > 1;
  const out = Float64Array.from(rhythms, (r) => {
    let v = r.share;
    if (r.rhythm === 'solid')
      v *= b.irregular === null ? (holes === 0 ? 1 : 0.12 ** Math.min(3, holes)) * solidFill(b) : skipping(b.irregular);
    else {
      if (b.irregular !== null) v *= Math.exp(-b.irregular / DRAWN_SPREAD) / DRAWN_SPREAD + ODD_READING;
      const expected = r.beat.holeRate * b.length;
      v *= holes === 0 ? Math.max(0.02, 1 - expected) : Math.exp(-((holes - expected) ** 2) / (1 + 0.5 * expected));
      const spread = r.filledSpread + CUT_WIDTHS / Math.max(1, b.length);
      const z = (b.filled - r.beat.filled) / spread;
      v *= (Math.exp(-(z * z) / 2) + ODD_READING) / spread;
      if (areTwo && b.runs > 0) {
        const share = Math.min(0.96, Math.max(0.04, r.beat.dots));
        const told = Math.min(b.runs, MOST_TOLD);
        v *= share ** (b.dots * told) * (1 - share) ** ((1 - b.dots) * told);
      }
    }
    return v + 1e-6;
  });
  const sum = out.reduce((s, v) => s + v, 0);
  return out.map((v) => v / sum);
}
