/** How strong a stroke is from place to place: pressure and paper make it wander by more than a gap's blur leaves. */
import { quantile } from './quantile.ts';

/**
 * Gaps are no longer than this many stroke widths (ISO 128-2: 3 line widths), and dashes hardly shorter than twice that: a faint dash is then held against itself.
 */
const REACH_WIDTHS = 5;
/** No stroke fades below this share of its usual strength: the rest is paper. */
export const FADES_TO = 0.2;
/** A sample holds ink if it has this share of the stroke's ink beside it. */
export const INK_SHARE = 0.4;
/** A stroke whose thinnest twentieth falls below this share of its strong part has holes. */
const CLEAR_DIP = 0.65;
const THINNEST = 0.05;
/** ... which reach up to this share at most. */
const MOST_HOLE = 0.75;

/** Blur that leaves a stroke this wide fills no gap that is longer than this many of its widths, and px of the picture's own. */
const FILLED_WIDTHS = 2;
const BLUR_PX = 2;

/** Px over which a stroke of this width keeps its strength. */
function reachOf(width: number): number {
  return Math.ceil(REACH_WIDTHS * width);
}

/**
 * 1 where ink was met along a stroke, of `amount` ink a px. Each sample is held against the lower of the strokes on both sides of it: a stroke that only fades has
 * no such sides. Blur fills the holes between dashes: where the stroke dips clearly, half-way down is its end, if that hole dips clearly too.
 * `strength` is the usual ink of the whole piece; beyond its ends it goes on so. `width` is the stroke width in px.
 */
export function inkAlong(amount: Float64Array, strength: number, width: number): Uint8Array {
  const n = amount.length;
  const reach = reachOf(width);
  const even = runningMean(amount, Math.round(width / 2));
  const before = runningMax(even, reach, 0);
  const after = runningMax(even, 0, reach);
  const share = amount.map((v, s) => {
    const left = s < reach ? Math.max(before[s], strength) : before[s];
    const right = s + reach >= n ? Math.max(after[s], strength) : after[s];
    return v < FADES_TO * strength ? 0 : v / Math.max(1e-9, Math.min(left, right));
  });
  const low = quantile(share, THINNEST);
  const level =
    low < INK_SHARE || (low < CLEAR_DIP && (width <= BLUR_PX || isParted(share, low)))
      ? Math.max(INK_SHARE, Math.min(MOST_HOLE, (low + 1) / 2))
      : INK_SHARE;
  const beat = new Uint8Array(n).fill(1);
  for (let from = 0; from < n; from++) {
    let to = from;
    let least = level;
    for (; to < n && share[to] < level; to++) least = Math.min(least, share[to]);
    if (least < (to - from > FILLED_WIDTHS * width + BLUR_PX ? INK_SHARE : CLEAR_DIP)) beat.fill(0, from, to);
    from = to;
  }
  return beat;
}

/** A usual sample of a stroke. */
const USUAL = 0.75;

/**
 * For dips that leave ink everywhere, in strokes wide enough to show grain: whether more of a stroke is about as thin as its thinnest part than in between that
 * and its usual ink. Gaps are alike and, however blurred, passed slowly at their bottom only, while of the dips of grain the deeper ones are the rarer.
 */
function isParted(share: Float64Array, low: number): boolean {
  const step = (quantile(share, USUAL) - low) / 3;
  let [thin, between] = [0, 0];
  for (const v of share) {
    if (v < low + step) thin++;
    else if (v < low + 2 * step) between++;
  }
  return thin > between;
}

/** What a stroke has at full ink near each sample, given what it has along the strongest of its parts. */
export function fullNear(core: ArrayLike<number>, full: number, width: number): Float64Array {
  const reach = reachOf(width);
  return runningMax(core, reach, reach).map((near) => Math.min(full, Math.max(near, FADES_TO * full)));
}

/** Greatest of the samples from `back` before each to `ahead` after it. */
function runningMax(values: ArrayLike<number>, back: number, ahead: number): Float64Array {
  const n = values.length;
  const out = new Float64Array(n);
  // Places whose values fall, of which the first is the greatest in reach.
  const falling = new Int32Array(n);
  let [first, last] = [0, 0];
  for (let s = 0, next = 0; s < n; s++) {
    for (; next < n && next <= s + ahead; next++) {
      while (last > first && values[falling[last - 1]] <= values[next]) last--;
      falling[last++] = next;
    }
    while (falling[first] < s - back) first++;
    out[s] = values[falling[first]];
  }
  return out;
}

/** Means of the samples up to `reach` before and after each. */
function runningMean(values: Float64Array, reach: number): Float64Array {
  const sums = new Float64Array(values.length + 1);
  for (let s = 0; s < values.length; s++) sums[s + 1] = sums[s] + values[s];
  return values.map((_, s) => {
    const [from, to] = [Math.max(0, s - reach), Math.min(values.length, s + reach + 1)];
    return (sums[to] - sums[from]) / (to - from);
  });
}
