/**
 * Rhythms as what repeats: a dash, then dots between gaps. However short, a piece shows a stretch of it, and how well that
 * fits tells rhythms apart.
 */

/** One period of a drawn rhythm, lengths in px: a dash, a gap, and `dots` times a dot and a gap. */
export interface Period {
  readonly dash: number;
  readonly gap: number;
  readonly dot: number;
  readonly dots: number;
  /** Standard deviation of the blur. */
  readonly blur: number;
}

/** A period and how far off it the ink is that it was fitted to: mean square, in shares of the stroke's ink. */
export interface FittedPeriod {
  readonly period: Period;
  readonly miss: number;
}

export function lengthOf({ dash, gap, dot, dots }: Period): number {
  return dash + gap + dots * (dot + gap);
}

/** The same rhythm drawn longer by a factor; blur is the picture's. */
export function stretched(period: Period, factor: number): Period {
  const { dash, gap, dot } = period;
  return { ...period, dash: dash * factor, gap: gap * factor, dot: dot * factor };
}

/** Samples of a period: so many a px, within these numbers. */
const SAMPLES_PER_PX = 4;
const LEAST_SAMPLES = 24;
const MOST_SAMPLES = 64;

/** Ink along a period, 0 to 1, twice over. */
export interface Wave {
  readonly ink: Float64Array;
  readonly samples: number;
  readonly length: number;
}

export function waveOf(period: Period): Wave {
  const length = lengthOf(period);
  const samples = Math.max(LEAST_SAMPLES, Math.min(MOST_SAMPLES, Math.round(SAMPLES_PER_PX * length)));
  const ink = new Float64Array(2 * samples);
  const { dash, gap, dot, dots, blur } = period;
  for (let k = 0; k < samples; k++) {
    const at = ((k + 0.5) * length) / samples;
    let sum = 0;
    for (const here of [at - length, at, at + length]) {
      sum += bar(here, 0, dash, blur);
      for (let d = 0; d < dots; d++) {
        const from = dash + gap + d * (dot + gap);
        sum += bar(here, from, from + dot, blur);
      }
    }
    ink[k] = ink[k + samples] = sum;
  }
  return { ink, samples, length };
}

/** The least ink of a period, 0 to 1: what blur leaves in its gaps. */
export function leastInk(period: Period): number {
  return Math.min(...waveOf(period).ink);
}

function bar(at: number, from: number, to: number, blur: number): number {
  return normal((at - from) / blur) - normal((at - to) / blur);
}

/** The normal distribution up to z, by a logistic curve that is nowhere off by more than 0.01 (Bowling et al. 2009). */
function normal(z: number): number {
  return 1 / (1 + Math.exp(-1.702 * z));
}

/** A sample further off than this is dirt or another stroke's ink; too much ink is the likelier of these. */
const MOST_UNDER = 0.6;
const MOST_OVER = 0.4;

/** So many samples of ink a period are enough. */
const ENOUGH_SAMPLES = 32;

function strideOf({ length }: Wave): number {
  return Math.max(1, Math.floor(length / ENOUGH_SAMPLES));
}

/** Place in the period of each sample of a stretch, from its beginning. */
function placesOf(stretch: Float32Array, { samples, length }: Wave): Int32Array {
  const places = new Int32Array(stretch.length);
  for (let s = 0; s < places.length; s++) places[s] = Math.floor((s * samples) / length) % samples;
  return places;
}

/** Square distances of a stretch from the wave, summed, where it begins at place `p`; no further than to `enough`. */
function missAt(
  p: number,
  stretch: Float32Array,
  places: Int32Array,
  ink: Float64Array,
  stride: number,
  enough: number,
): number {
  let sum = 0;
  for (let s = 0; s < places.length && stride * sum < enough; s += stride) {
    const off = stretch[s] - ink[p + places[s]];
    const size = off > 0 ? Math.min(off, MOST_OVER) : Math.min(-off, MOST_UNDER);
    sum += size * size;
  }
  return stride * sum;
}

/**
 * Square distances of a stretch of ink from the wave, summed, for each place in the period at which it may begin; of places that are worse than one before them, or
 * than `known`, by more than `slack` some number that is so too.
 */
function missesOf(stretch: Float32Array, wave: Wave, slack: number, known: number): Float64Array {
  const misses = new Float64Array(wave.samples);
  const places = placesOf(stretch, wave);
  const stride = strideOf(wave);
  let least = known;
  for (let p = 0; p < misses.length; p++) {
    misses[p] = missAt(p, stretch, places, wave.ink, stride, least + slack);
    least = Math.min(least, misses[p]);
  }
  return misses;
}

/** The least of them. */
function leastMiss(stretch: Float32Array, wave: Wave): number {
  const places = placesOf(stretch, wave);
  const stride = strideOf(wave);
  let least = Infinity;
  for (let p = 0; p < wave.samples; p++) least = Math.min(least, missAt(p, stretch, places, wave.ink, stride, least));
  return least;
}

/** Natural log of how much less likely a place is that need not be told from an impossible one. */
const NEGLIGIBLE = 16;

/**
 * How likely a stretch is for each place in the period at which it may begin, samples straying by `spread`; and the natural log of its scale. `known` is the best
 * scale of other periods, beside which this one may be negligible.
 */
export function phasesOf(
  stretch: Float32Array,
  wave: Wave,
  spread: number,
  known = -Infinity,
): { weights: Float64Array; scale: number } {
  const unit = 2 * spread * spread;
  const misses = missesOf(stretch, wave, NEGLIGIBLE * unit, -known * unit);
  const least = Math.min(...misses);
  const weights = misses.map((m) => Math.exp((least - m) / unit));
  return { weights, scale: -least / unit };
}

/** Mean square distance of the stretches from the period; some number of `enough` or more where it is not less than that. */
function meanMiss(stretches: readonly Float32Array[], period: Period, enough = Infinity): number {
  const wave = waveOf(period);
  const count = Math.max(
    1,
    stretches.reduce((n, stretch) => n + stretch.length, 0),
  );
  let sum = 0;
  for (const stretch of stretches) {
    sum += leastMiss(stretch, wave);
    if (sum / count >= enough) break;
  }
  return sum / count;
}

/** Stretches of about so many periods are looked at, no longer than this, px: over more, an uneven hand is out of step. */
const STRETCH_PERIODS = 2.5;
const LONGEST_STRETCH = 240;
const SHORTEST_STRETCH = 3;

/** Cuts the ink along a piece into stretches of a few periods, given their length. */
export function stretchesOf(ink: Float32Array, length: number): Float32Array[] {
  const wish = Math.min(LONGEST_STRETCH, STRETCH_PERIODS * length);
  const count = Math.max(1, Math.round(ink.length / wish));
  const cut = (k: number) => Math.floor((k * ink.length) / count);
  return Array.from({ length: count }, (_, k) => ink.subarray(cut(k), cut(k + 1))).filter(
    (stretch) => stretch.length >= SHORTEST_STRETCH,
  );
}

/** Lengths are tried in ever smaller steps, so many rounds of each at most. */
const STEPS = [0.2, 0.08, 0.03];
const ROUNDS = 4;
/** A step of the period's length, as a share of the other steps. */
const LENGTH_STEP = 0.25;
/** The shortest part that blur leaves to see, px, and the longest dot as a share of the dash. */
const SHORTEST_PART = 0.5;
const LONGEST_DOT = 0.6;
/** A period is seen one and a half times at least in the longest stretch. */
const LONGEST_PERIOD = LONGEST_STRETCH / 1.5;
const BLUR = { least: 0.35, usual: 0.8, most: 3 };

/** Fitted to so many stretches, and begun with fewer. */
const MOST_STRETCHES = 32;
const FIRST_STRETCHES = 10;

/** Usual distances from a hole to the next, the second and the third, and usual length of a hole, px. */
export interface HoleSteps {
  readonly steps: readonly number[];
  readonly hole: number;
}

/** Periods to begin with whose every gap is seen as a hole. */
export function openPeriods({ steps, hole }: HoleSteps, dots: number): Period[] {
  return periodsOf(steps[dots], hole, dots);
}

/** Periods to begin with of whose gaps and dots blur has made one hole. */
export function closedPeriods({ steps, hole }: HoleSteps, dots: number): Period[] {
  return periodsOf(steps[0], Math.max(SHORTEST_PART, hole / (2 * dots + 1)), dots);
}

/** Dots to begin with, as shares of the gap. */
const FIRST_DOTS = [0.25, 0.8];

function periodsOf(length: number, gap: number, dots: number): Period[] {
  const sizes = dots > 0 ? FIRST_DOTS.map((share) => Math.max(SHORTEST_PART, share * gap)) : [SHORTEST_PART];
  return sizes
    .map((dot) => ofLength({ dash: 0, gap, dot, dots, blur: BLUR.usual }, length))
    .filter((period) => isDrawable(period));
}

/** The same gaps and dots in a period of this length. */
function ofLength(period: Period, length: number): Period {
  return { ...period, dash: length - lengthOf({ ...period, dash: 0 }) };
}

/** The period that fits ink best, by coordinate descent from the best of several; null where there is none to begin with. */
export function fitPeriod(inks: readonly Float32Array[], starts: readonly Period[]): FittedPeriod | null {
  let best: FittedPeriod | null = null;
  for (const start of starts) {
    const few = evenly(cutAll(inks, start), FIRST_STRETCHES);
    const rough = descend(few, start, STEPS.slice(0, 1));
    if (!best || rough.miss < best.miss) best = rough;
  }
  return best && descend(evenly(cutAll(inks, best.period), MOST_STRETCHES), best.period, STEPS.slice(1));
}

/** Any length without a gap is a period of a solid line, px. */
const SOLID: Period = { dash: 8, gap: 0, dot: 0, dots: 0, blur: 1 };

/** The solid line, and how far off it the ink is. */
export function solidFit(inks: readonly Float32Array[]): FittedPeriod {
  return { period: SOLID, miss: meanMiss(evenly(cutAll(inks, SOLID), 4 * MOST_STRETCHES), SOLID) };
}

function cutAll(inks: readonly Float32Array[], period: Period): Float32Array[] {
  return inks.flatMap((ink) => stretchesOf(ink, lengthOf(period)));
}

function evenly<T>(all: readonly T[], most: number): readonly T[] {
  const step = Math.max(1, all.length / most);
  return all.filter((_, i) => Math.floor(i / step) !== Math.floor((i - 1) / step));
}

function descend(stretches: readonly Float32Array[], start: Period, steps: readonly number[]): FittedPeriod {
  let period = start;
  let miss = meanMiss(stretches, period);
  const tryOut = (tried: Period): boolean => {
    const found = isDrawable(tried) ? meanMiss(stretches, tried, miss) : miss;
    if (found >= miss) return false;
    miss = found;
    period = tried;
    return true;
  };
  const names = (['gap', 'dot', 'blur'] as const).filter((name) => name !== 'dot' || start.dots > 0);
  for (const step of steps) {
    for (let round = 0; round < ROUNDS; round++) {
      const before = miss;
      const factors = [1 + step, 1 / (1 + step)];
      // Ends of a stretch are soon out of step: the length goes by smaller steps.
      factors.some((factor) => tryOut(ofLength(period, lengthOf(period) * factor ** LENGTH_STEP)));
      for (const name of names) {
        factors.some((factor) => tryOut(ofLength({ ...period, [name]: period[name] * factor }, lengthOf(period))));
      }
      if (miss === before) break;
    }
  }
  return { period, miss };
}

function isDrawable(period: Period): boolean {
  const { dash, gap, dot, dots, blur } = period;
  return (
    lengthOf(period) <= LONGEST_PERIOD &&
    gap >= SHORTEST_PART &&
    dash >= 2 * SHORTEST_PART &&
    (dots === 0 || (dot >= SHORTEST_PART && dot <= LONGEST_DOT * dash)) &&
    blur >= BLUR.least &&
    blur <= BLUR.most
  );
}
