/** Broken strokes sorted by the periods of two rhythms, whatever their length. */

import { beginsOf } from './begins.ts';
import type { Feature } from './features.ts';
import {
  closedPeriods,
  type FittedPeriod,
  fitPeriod,
  type HoleSteps,
  leastInk,
  lengthOf,
  openPeriods,
  solidFit,
  stretchesOf,
} from './periods.ts';
import type { Rhythm } from './rhythm.ts';
import { type RhythmClass, rhythmOdds, TELLING_LENGTH } from './rhythm-classes.ts';

export interface PeriodSorting {
  /** Probability of each rhythm, for every piece. */
  readonly odds: readonly Float64Array[];
  /** The rhythms with their names as the periods tell. */
  readonly rhythms: readonly RhythmClass[];
  /** Probability that dashed and dash-dot are not the other way round. */
  readonly sure: number;
  /** Whether periods were found; else holes and dots were counted only. */
  readonly fitted: boolean;
}

/** Pieces this surely of a rhythm teach its period; so many of the longest. */
const TEACHES = 0.8;
const MOST_TEACHERS = 12;
const LEAST_TEACHERS = 2;
/** Sorted, taught again by what was sorted, and sorted again. */
const ROUNDS = 3;

/**
 * Sorts all pieces by the periods of two rhythms, begun with a first sorting by holes and dots; null where both turn out to
 * be a solid line with skips.
 */
export function sortByPeriod(
  features: readonly Feature[],
  own: readonly number[],
  rhythms: readonly RhythmClass[],
): PeriodSorting | null {
  const first = features.map((f) => rhythmOdds(f.beat, rhythms));
  let odds: readonly Float64Array[] = first;
  let fits: readonly Fits[] = [];
  if (rhythms.length !== 2) return { odds, rhythms, sure: 1, fitted: false };
  for (let round = 0; round < ROUNDS; round++) {
    const found = rhythms.map((_, k) => fitsOf(teachersOf(features, own, odds, k), fits[k]));
    if (found.some((f) => f === null)) return { odds: first, rhythms, sure: 1, fitted: false };
    fits = found as Fits[];
    if (fits.every(({ isSolid }) => isSolid)) return null;
    odds = oddsBy(
      features,
      own,
      fits.map(({ best }) => best),
      odds,
      first,
    );
  }
  const { names, sure } = nameBoth(
    fits,
    rhythms.map(({ rhythm }) => rhythm),
  );
  return {
    odds,
    rhythms: rhythms.map((r, k) => ({ ...r, rhythm: names[k], share: shareOf(features, own, odds, k) })),
    sure,
    fitted: true,
  };
}

/**
 * The names of two rhythms whose strokes `odds` parts into `count` inks by their colours, as the periods tell, which inks they are, and how sure the names are; null
 * where the periods do not show just two broken lines.
 */
export function nameByPeriod(
  features: readonly Feature[],
  own: readonly number[],
  odds: readonly Float64Array[],
  count: number,
): { inks: readonly number[]; names: readonly Rhythm[]; sure: number } | null {
  const found = Array.from({ length: count }, (_, ink) => ({
    ink,
    fits: fitsOf(teachersOf(features, own, odds, ink), undefined),
  }));
  const broken = found.flatMap(({ ink, fits }) => (fits && !fits.isSolid ? [{ ink, fits }] : []));
  if (broken.length !== 2) return null;
  return {
    inks: broken.map(({ ink }) => ink),
    ...nameBoth(
      broken.map(({ fits }) => fits),
      [],
    ),
  };
}

function teachersOf(
  features: readonly Feature[],
  own: readonly number[],
  odds: readonly Float64Array[],
  k: number,
): Feature[] {
  const sure = own.filter((i) => odds[i][k] > TEACHES).map((i) => features[i]);
  return sure.sort((a, b) => b.ink.length - a.ink.length).slice(0, MOST_TEACHERS);
}

function shareOf(features: readonly Feature[], own: readonly number[], odds: readonly Float64Array[], k: number) {
  const sum = own.reduce((s, i) => s + features[i].weight * odds[i][k], 0);
  return sum / own.reduce((s, i) => s + features[i].weight, 1e-9);
}

/** Periods that fit one rhythm best: a bare dash, a dash with dots that are seen, and with dots that blur has closed up. */
interface Fits {
  readonly bare: FittedPeriod | null;
  readonly open: FittedPeriod | null;
  readonly closed: FittedPeriod | null;
  /** Whether the line is solid, with skips at most. */
  readonly isSolid: boolean;
  readonly best: FittedPeriod;
}

/** Skips of a pen leave more than this share of the stroke's ink where they fall, on average; a gap leaves less. */
const SKIPPED = 0.6;
/** Drawn gaps repeat: a period leaves less than this share of what a solid line leaves unexplained. */
const UNEXPLAINED = 0.75;
/** Gaps that leave less are drawn, however shallow blur has made them. */
const PLAIN = 0.15;

/** Dots after a dash, where there are any. */
const DOTS = [1, 2];

/** Taught by the longest pieces, from what the last round found on. */
function fitsOf(teachers: readonly Feature[], last: Fits | undefined): Fits | null {
  if (teachers.length < LEAST_TEACHERS) return null;
  const inks = teachers.map(({ ink }) => ink);
  const holes = holeSteps(teachers);
  const again = (fit: FittedPeriod | null) => (fit ? [fit.period] : []);
  const bare = fitPeriod(inks, last ? again(last.bare) : openPeriods(holes, 0));
  const open = fitPeriod(inks, last ? again(last.open) : DOTS.flatMap((dots) => openPeriods(holes, dots)));
  const closed = fitPeriod(inks, last ? again(last.closed) : DOTS.flatMap((dots) => closedPeriods(holes, dots)));
  const best = [bare, open, closed].reduce((a, b) => (!a || (b && b.miss < a.miss) ? b : a), null);
  const solid = solidFit(inks);
  const left = best ? best.miss / solid.miss : 1;
  const isSolid = !best || left > UNEXPLAINED || (left > PLAIN && leastInk(best.period) > SKIPPED);
  return { bare, open, closed, isSolid, best: isSolid ? solid : best };
}

function holeSteps(teachers: readonly Feature[]): HoleSteps {
  const steps: number[][] = Array.from({ length: Math.max(...DOTS) + 1 }, () => []);
  for (const { holes } of teachers) {
    holes.forEach(({ at }, h) => {
      steps.forEach((list, k) => {
        if (h + k + 1 < holes.length) list.push(holes[h + k + 1].at - at);
      });
    });
  }
  return { steps: steps.map(middleOf), hole: middleOf(teachers.flatMap(({ holes }) => holes.map((h) => h.length))) };
}

function middleOf(values: number[]): number {
  values.sort((a, b) => a - b);
  return values[values.length >> 1] ?? 0;
}

/** Least square distance of a sample from its rhythm; neighbours share blur, so one sample in so many px, or spreads of the blur, is news. */
const LEAST_MISS = 0.003;
const SAMPLES_A_NEWS = 3;
const BLURS_A_NEWS = 2.5;
/** How often a stretch shows something else: another stroke's ink, a line that was laid askew. */
const ODD_STRETCH = 0.01;
/** ... and how far off its rhythm that is: half the mean square distance, in those of the rhythm's own stretches. */
const ODD_STRAY = 2;
/** What a piece looks like may be another stroke altogether. */
const ODD_PIECE = 0.01;

/** Odds by how the periods fit; long pieces have holes and dots enough to count, which the first sorting did. */
function oddsBy(
  features: readonly Feature[],
  own: readonly number[],
  fits: readonly FittedPeriod[],
  odds: readonly Float64Array[],
  first: readonly Float64Array[],
): Float64Array[] {
  const miss = Math.max(LEAST_MISS, ...fits.map((f) => f.miss));
  const news = Math.max(SAMPLES_A_NEWS, ...fits.map(({ period }) => BLURS_A_NEWS * period.blur));
  const spread = Math.sqrt(news * miss);
  const length = Math.max(...fits.map(({ period }) => lengthOf(period)));
  const rhythms = fits.map(({ period }, k) => ({
    share: shareOf(features, own, odds, k),
    begins: beginsOf(
      own.filter((i) => odds[i][k] > TEACHES).map((i) => features[i]),
      period,
      length,
      spread,
    ),
  }));
  return features.map((f, i) => {
    const stretches = stretchesOf(f.ink, length);
    const logs = rhythms.map(({ share, begins }, k) =>
      stretches.reduce(
        (sum, stretch) =>
          sum + orOdd(begins.likelihood(stretch, stretches.length === 1 ? f : null), stretch.length / news),
        Math.log(share + 1e-6) + (f.beat.length >= TELLING_LENGTH ? Math.log(first[i][k]) : 0),
      ),
    );
    const most = Math.max(...logs);
    const weights = logs.map((l) => Math.exp(l - most));
    const sum = weights.reduce((s, w) => s + w, 0);
    return Float64Array.from(weights, (w, k) => (1 - ODD_PIECE) * (w / sum) + ODD_PIECE * rhythms[k].share);
  });
}

/** Natural log of a likelihood to which that of an odd stretch is added. */
function orOdd(log: number, news: number): number {
  const odd = Math.log(ODD_STRETCH) - ODD_STRAY * news;
  return Math.max(log, odd) + Math.log1p(Math.exp(-Math.abs(log - odd)));
}

/** Natural log of how much better dots fit counts so often: misses of neighbouring samples are one. */
const TELLING = 3;
/** Dots that are seen fit better than none by this, natural log. */
const SEEN = 0.1;
const LEAST_GAIN = -2;
/** Nearer than this, mean square, no fit is better than another. */
const LEAST_MISS_GAIN = 1e-4;

/** What two rhythms are called of which one is broken at least, and how sure that is; `counted` are their names by holes and dots. */
function nameBoth(fits: readonly Fits[], counted: readonly Rhythm[]): { names: readonly Rhythm[]; sure: number } {
  const seen = fits.map(({ open, bare }) => gainOf(open, bare));
  if (fits.some(({ isSolid }) => isSolid))
    return {
      names: fits.map(({ isSolid }, k) => (isSolid ? 'solid' : nameOne(seen[k], counted[k]))),
      sure: 1,
    };
  // Of two broken lines one has dots: by dots that are seen, else by hidden ones.
  const [first, second] = Math.max(...seen) > SEEN ? seen : fits.map(({ closed, bare }) => gainOf(closed, bare));
  return {
    names: first > second ? ['dashdot', 'dashed'] : ['dashed', 'dashdot'],
    sure: 1 / (1 + Math.exp(-TELLING * Math.abs(first - second))),
  };
}

/** A broken line beside a solid one: an uneven hand keeps to no period, dots or none, and then what was counted stands. */
function nameOne(seen: number, counted: Rhythm): Rhythm {
  if (Math.abs(seen) < SEEN && counted === 'dashdot') return counted;
  return seen > SEEN ? 'dashdot' : 'dashed';
}

/** Natural log of how much better dots fit than none. */
function gainOf(dotted: FittedPeriod | null, bare: FittedPeriod | null): number {
  if (!dotted) return LEAST_GAIN;
  return bare ? Math.max(LEAST_GAIN, Math.log((bare.miss + LEAST_MISS_GAIN) / (dotted.miss + LEAST_MISS_GAIN))) : SEEN;
}
