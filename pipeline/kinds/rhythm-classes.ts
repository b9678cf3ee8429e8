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
const TELLING_LENGTH = 36;
const LEAST_RHYTHM_SHARE = 0.06;

/** The rhythms, unless the broken strokes lie in one patch or break unevenly: then glare, dirt or the pen broke them. */
export function honestRhythms(own: readonly Feature[]): RhythmClass[] {
  const classes = rhythmClasses(own);
  if (classes.length < 2 || !classes.some((c) => c.rhythm === 'solid')) return classes;
  const telling = own.filter((f) => f.beat.length >= TELLING_LENGTH / 2);
  const broken = telling.map((f) => nameRhythm(f.beat) !== 'solid');
  const long = own.filter((f) => f.beat.length >= TELLING_LENGTH && nameRhythm(f.beat) !== 'solid');
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

/** The rhythms in the picture, from the pieces long enough to show theirs. */
function rhythmClasses(own: readonly Feature[]): RhythmClass[] {
  const long = own.filter((f) => f.beat.length >= TELLING_LENGTH);
  const telling = (long.length >= 6 ? long : own.filter((f) => f.beat.length >= TELLING_LENGTH / 2)).map((f) => f.beat);
  const total = telling.reduce((s, b) => s + b.length, 0);
  const solid = telling.filter((b) => nameRhythm(b) === 'solid');
  const broken = telling.filter((b) => nameRhythm(b) !== 'solid');
  const parts: { rhythm: Rhythm; beats: readonly Beat[] }[] = [{ rhythm: 'solid', beats: solid }];
  // Beside solid strokes one broken rhythm is the rule; an uneven hand makes it look like two.
  const solidShare = solid.reduce((s, b) => s + b.length, 0) / Math.max(total, 1e-9);
  const two = solidShare > SOLID_SHARE ? null : partBeats(broken);
  if (two) parts.push({ rhythm: 'dashed', beats: two.dashed }, { rhythm: 'dashdot', beats: two.dashdot });
  else if (broken.length > 0) parts.push({ rhythm: nameRhythm(poolBeats(broken)), beats: broken });
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
  const length = beats.reduce((s, b) => s + b.length, 0);
  const sum = beats.reduce((s, b) => s + b.length * (b.filled - mean) ** 2, 0);
  return Math.max(LEAST_FILLED_SPREAD, Math.sqrt(sum / Math.max(length, 1e-9)));
}

/** Least gap between two rhythms in pooled spreads, and least share of each. */
const TWO_RHYTHMS_GAIN = 3.4;
const TWO_RHYTHMS_SHARE = 0.12;
/** Least difference of the two in filled share or in share of dots. */
const TWO_RHYTHMS_STEP = 0.06;
/** Shares of dots that differ by this much name the rhythms. */
const TELLING_DOTS = 0.15;

/**
 * Two broken rhythms, told apart by their dots, by how much is filled, or by how often they break. Dash-dot is the one
 * with more dots or, where blur has eaten the dots, the emptier.
 */
function partBeats(broken: readonly Beat[]): { dashed: readonly Beat[]; dashdot: readonly Beat[] } | null {
  const meanRate = poolBeats(broken).holeRate || 1;
  const ways = [(b: Beat) => b.dots, (b: Beat) => b.filled, (b: Beat) => b.holeRate / meanRate].map((of) => ({
    of,
    cut: cutInTwo(
      broken.map((b) => ({ v: of(b), w: b.length })),
      TWO_RHYTHMS_SHARE,
      TWO_RHYTHMS_STEP,
    ),
  }));
  const best = ways.reduce((a, b) => ((b.cut?.gain ?? 0) > (a.cut?.gain ?? 0) ? b : a));
  if (!best.cut || best.cut.gain < TWO_RHYTHMS_GAIN) return null;
  const at = best.cut.at;
  const above = broken.filter((b) => best.of(b) > at);
  const below = broken.filter((b) => best.of(b) <= at);
  const [high, low] = [poolBeats(above), poolBeats(below)];
  const aboveIsDashdot =
    Math.abs(high.dots - low.dots) > TELLING_DOTS ? high.dots > low.dots : high.filled < low.filled;
  return aboveIsDashdot ? { dashed: below, dashdot: above } : { dashed: above, dashdot: below };
}

/** Density of the filled share of a solid piece: close to 1. */
function solidFill(b: Beat): number {
  const spread = LEAST_FILLED_SPREAD + CUT_WIDTHS / Math.max(1, b.length);
  const z = (1 - b.filled) / spread;
  return (Math.exp(-(z * z) / 2) + ODD_READING) / spread;
}

/** How likely this beat is under each rhythm, by its holes and dots. */
export function rhythmOdds(b: Beat, rhythms: readonly RhythmClass[]): Float64Array {
  const holes = Math.round(b.holeRate * b.length);
  const out = Float64Array.from(rhythms, (r) => {
    let v = r.share;
    if (r.rhythm === 'solid') v *= (holes === 0 ? 1 : 0.12 ** Math.min(3, holes)) * solidFill(b);
    else {
      const expected = r.beat.holeRate * b.length;
      v *= holes === 0 ? Math.max(0.02, 1 - expected) : Math.exp(-((holes - expected) ** 2) / (1 + 0.5 * expected));
      const spread = r.filledSpread + CUT_WIDTHS / Math.max(1, b.length);
      const z = (b.filled - r.beat.filled) / spread;
      v *= (Math.exp(-(z * z) / 2) + ODD_READING) / spread;
      if (b.runs > 0) {
        const dots = Math.round(b.dots * b.runs);
        const share = Math.min(0.96, Math.max(0.04, r.beat.dots));
        v *= share ** dots * (1 - share) ** (b.runs - dots);
      }
    }
    return v + 1e-6;
  });
  const sum = out.reduce((s, v) => s + v, 0);
  return out.map((v) => v / sum);
}
