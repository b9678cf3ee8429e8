import { weightedMedian } from '../geometry/weighted-median.ts';
import { cutInTwo } from './cut.ts';
import { type Feature, LEAST_SHARE } from './features.ts';
import { liesInPatches, mayBeHalves } from './patches.ts';

/** One hue of this picture on the colour plane, and its share of the length. */
export interface Hue {
  readonly a: number;
  readonly b: number;
  readonly spread: number;
  readonly share: number;
}

/** Modes closer than this on the colour plane are one ink (black to pure red is 0.58). */
const SAME_HUE = 0.17;
/** Thin and compressed strokes lose saturation, not hue: distance towards and from grey counts this much. */
const RADIAL_WEIGHT = 0.45;
/** Inks this near the grey axis of the colour plane are black or grey. */
export const GREY_RADIUS = 0.16;
/** Mountain, valley, guide and one more. */
const MOST_HUES = 4;

const GRID = 72;
const RANGE = 0.9;

/** Peaks of the length-weighted density on the colour plane, smoothed by each piece's own error. */
export function hueModes(own: readonly Feature[]): Hue[] {
  const plane = new Float64Array(GRID * GRID);
  const cell = (2 * RANGE) / GRID;
  for (const f of own) {
    const s = Math.hypot(f.error, 0.035);
    const r = Math.ceil((2.5 * s) / cell);
    const cx = Math.floor((f.a + RANGE) / cell);
    const cy = Math.floor((f.b + RANGE) / cell);
    for (let y = Math.max(0, cy - r); y <= Math.min(GRID - 1, cy + r); y++) {
      for (let x = Math.max(0, cx - r); x <= Math.min(GRID - 1, cx + r); x++) {
        const dx = (x + 0.5) * cell - RANGE - f.a;
        const dy = (y + 0.5) * cell - RANGE - f.b;
        plane[y * GRID + x] += (f.weight / (s * s)) * Math.exp(-(dx * dx + dy * dy) / (2 * s * s));
      }
    }
  }
  const peaks: { a: number; b: number; height: number }[] = [];
  for (let y = 1; y < GRID - 1; y++) {
    for (let x = 1; x < GRID - 1; x++) {
      const v = plane[y * GRID + x];
      if (v <= 0) continue;
      let top = true;
      for (let oy = -1; oy <= 1 && top; oy++)
        for (let ox = -1; ox <= 1; ox++) if (plane[(y + oy) * GRID + x + ox] > v) top = false;
      if (top) peaks.push({ a: (x + 0.5) * cell - RANGE, b: (y + 0.5) * cell - RANGE, height: v });
    }
  }
  peaks.sort((u, v) => v.height - u.height);
  let modes: readonly { a: number; b: number }[] = [];
  for (const p of peaks) if (modes.every((m) => planeGap(m, p) > SAME_HUE)) modes = [...modes, p];
  let hues: Hue[] = [];
  for (let round = 0; round < 4; round++) {
    hues = refineHues(own, modes).filter((h) => h.share >= LEAST_SHARE);
    modes = hues.length > 2 ? joinShades(hues) : hues;
  }
  return hues;
}

/** All the colours as one ink: for where two that are near may be none. */
export function oneHue(own: readonly Feature[]): Hue {
  return refineHues(own, [{ a: 0, b: 0 }])[0];
}

/** Gap between two washed-out inks in pooled spreads that is clear, and one that is enough where the folding laws agree. */
export const CLEAR_SHADES = 5.5;
export const VAGUE_SHADES = 3;
/** Their least share, and their least distance on the plane. */
const TWO_SHADES_SHARE = 0.12;
const TWO_SHADES_STEP = 0.03;
/** Fewer pieces of a shade differ from the others by chance: two always fall in two. */
const LEAST_PIECES = 3;
/** Variance under which two shades are as sharp as can be measured. */
const TWO_SHADES_FLOOR = 0.00003;

/** Two inks so washed out that they look like one, yet fall clearly in two along the direction in which the colours spread. */
export function twoShades(own: readonly Feature[], middle: Hue, clear: number): Hue[] | null {
  const sure = own.filter((f) => f.error < TWO_SHADES_STEP);
  let aa = 0;
  let ab = 0;
  let bb = 0;
  for (const f of sure) {
    aa += f.weight * (f.a - middle.a) ** 2;
    ab += f.weight * (f.a - middle.a) * (f.b - middle.b);
    bb += f.weight * (f.b - middle.b) ** 2;
  }
  const angle = 0.5 * Math.atan2(2 * ab, aa - bb);
  const along = (f: Feature) => Math.cos(angle) * (f.a - middle.a) + Math.sin(angle) * (f.b - middle.b);
  const cut = cutInTwo(
    sure.map((f) => ({ v: along(f), w: f.weight })),
    TWO_SHADES_SHARE,
    TWO_SHADES_STEP,
    TWO_SHADES_FLOOR,
  );
  if (!cut || cut.gain < clear) return null;
  const above = sure.map((f) => along(f) > cut.at);
  const many = above.filter(Boolean).length;
  if (Math.min(many, sure.length - many) < LEAST_PIECES) return null;
  if (liesInPatches(sure, above)) return null;
  // Light that is too bright for a channel tints what lies in it.
  if (clear === CLEAR_SHADES && mayBeHalves(sure, above)) return null;
  const modes = [true, false].map((side) => {
    const part = sure.filter((_, i) => above[i] === side);
    const weight = part.reduce((s, f) => s + f.weight, 0);
    return {
      a: part.reduce((s, f) => s + f.weight * f.a, 0) / weight,
      b: part.reduce((s, f) => s + f.weight * f.b, 0) / weight,
    };
  });
  return refineHues(own, modes);
}

/** Of more than two inks the two most alike, if they differ in saturation only or there are too many, are shades of one. */
function joinShades(hues: readonly Hue[]): readonly { a: number; b: number }[] {
  let pair: [Hue, Hue] = [hues[0], hues[1]];
  let least = Infinity;
  for (const h of hues) {
    for (const k of hues) {
      if (h === k) continue;
      const gap = Math.max(hueGap(h, k), hueGap(k, h));
      if (gap < least) {
        least = gap;
        pair = h.share >= k.share ? [h, k] : [k, h];
      }
    }
  }
  return least < SAME_HUE || hues.length > MOST_HUES ? hues.filter((h) => h !== pair[1]) : hues;
}

function refineHues(own: readonly Feature[], modes: readonly { a: number; b: number }[]): Hue[] {
  const sums = modes.map(() => ({ w: 0, a: 0, b: 0, length: 0 }));
  const home = own.map((f) => {
    let best = 0;
    modes.forEach((m, i) => {
      if (planeGap(m, f) < planeGap(modes[best], f)) best = i;
    });
    const w = f.weight / (f.error * f.error + 0.01);
    sums[best].w += w;
    sums[best].a += w * f.a;
    sums[best].b += w * f.b;
    sums[best].length += f.weight;
    return best;
  });
  const total = own.reduce((s, f) => s + f.weight, 0);
  return modes.map((m, i) => {
    const s = sums[i];
    const a = s.w ? s.a / s.w : m.a;
    const b = s.w ? s.b / s.w : m.b;
    const off = own.filter((_, k) => home[k] === i).map((f) => ({ value: planeGap({ a, b }, f), weight: f.weight }));
    return { a, b, spread: Math.max(0.03, 1.2 * weightedMedian(off)), share: s.length / total };
  });
}

export function nearestHue(hues: readonly Hue[], f: Feature): Hue {
  return hues.reduce((best, h) => (planeGap(h, f) < planeGap(best, f) ? h : best));
}

export function planeGap(a: { a: number; b: number }, b: { a: number; b: number }): number {
  return Math.hypot(b.a - a.a, b.b - a.b);
}

/** Distance of b from the ink a as shades go. */
function hueGap(a: { a: number; b: number }, b: { a: number; b: number }): number {
  const size = Math.hypot(a.a, a.b);
  const da = b.a - a.a;
  const db = b.b - a.b;
  if (size < GREY_RADIUS) return Math.hypot(da, db);
  const radial = (da * a.a + db * a.b) / size;
  const across = (-da * a.b + db * a.a) / size;
  return Math.hypot(RADIAL_WEIGHT * radial, across);
}
