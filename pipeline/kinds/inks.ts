import type { PatternPoint } from '../types.ts';
import type { PieceInk } from './measure.ts';
import { type Beat, nameRhythm, poolBeats, type Rhythm, readBeat } from './rhythm.ts';

/** One way of drawing creases that this picture uses. */
export interface Ink {
  /** Mean hue: paper minus ink, unit vector over the three channels. */
  readonly direction: readonly [number, number, number];
  /** Typical darkness times width, density px. */
  readonly strength: number;
  readonly crest: number;
  readonly rhythm: Rhythm;
  /** Share of its creases' length that holds ink. */
  readonly filled: number;
  /** Share of the inner creases' length. */
  readonly share: number;
}

export interface InkSorting {
  readonly inks: readonly Ink[];
  /** What tells them apart. */
  readonly by: 'colour' | 'rhythm' | 'strength' | 'nothing';
  /** For each piece (inner and border) the probability of each ink; rows of inks.length. */
  readonly odds: readonly Float64Array[];
}

interface Feature {
  readonly a: number;
  readonly b: number;
  readonly error: number;
  readonly strength: number;
  readonly weight: number;
  readonly beat: Beat;
  readonly middle: PatternPoint;
}

/** Colour plane: unit ink vectors seen along the grey axis; black and grey at the middle. */
function hueOf(c: readonly [number, number, number]): [number, number] {
  const size = Math.hypot(c[0], c[1], c[2]) || 1;
  return [(c[0] - c[1]) / size / Math.SQRT2, (c[0] + c[1] - 2 * c[2]) / size / Math.sqrt(6)];
}

/** Modes closer than this on the colour plane are one ink (black to pure red is 0.58). */
const SAME_HUE = 0.17;
/** Thin and compressed strokes lose saturation, not hue: distance towards and from grey counts this much. */
const RADIAL_WEIGHT = 0.45;

function planeGap(a: { a: number; b: number }, b: { a: number; b: number }): number {
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

/** Inks with less than this share of the length are accidents. */
const LEAST_SHARE = 0.025;
/** Strengths must differ by this factor to be two inks, and their spreads must leave a gap. */
const STRENGTH_RATIO = 1.5;

/** Sorts the pieces of this picture by how they are drawn. `inner` tells pieces that are not the border. */
export function sortInks(pieces: readonly PieceInk[], inner: readonly boolean[], width: number): InkSorting {
  const features = pieces.map((p): Feature => {
    const [a, b] = hueOf(p.colour);
    return {
      a,
      b,
      error: p.colourError,
      strength: p.strength,
      weight: p.samples,
      beat: readBeat(p.beat, width),
      middle: p.middle,
    };
  });
  const own = [...features.keys()].filter((i) => inner[i] && features[i].weight > 0);
  if (own.length === 0) return { inks: [], by: 'nothing', odds: pieces.map(() => new Float64Array(0)) };
  const hues = hueModes(own.map((i) => features[i]));
  const levels = hues.map((h) => {
    const found = strengthLevels(own.filter((i) => nearestHue(hues, features[i]) === h).map((i) => features[i]));
    // Beside other colours only a pale grey is an ink of its own (a guide); shades of one colour are one ink.
    const grey = Math.hypot(h.a, h.b) < GREY_RADIUS;
    const both = Math.min(...found.map((l) => l.share)) * h.share > GUIDE_SHARE;
    return hues.length === 1 || (grey && both && found.length > 1 && found[1].middle - found[0].middle > GUIDE_GAP)
      ? found
      : [mergeLevels(found)];
  });
  const groups: Group[] = hues.flatMap((h, k) => levels[k].map((level) => ({ hue: h, level, levels: levels[k] })));
  const rhythms = hues.length === 1 ? honestRhythms(own.map((i) => features[i])) : null;
  if (rhythms && rhythms.length > 1) return byRhythm(features, own, pieces, groups, rhythms);
  const odds = features.map((f) => groupOdds(f, groups));
  const inks = describe(groups.length, odds, own, pieces, features);
  const by = groups.length < 2 ? 'nothing' : hues.length > 1 ? 'colour' : 'strength';
  return { inks, by, odds };
}

interface Hue {
  readonly a: number;
  readonly b: number;
  readonly spread: number;
  readonly share: number;
}

interface Level {
  readonly middle: number;
  readonly spread: number;
  readonly share: number;
}

interface Group {
  readonly hue: Hue;
  readonly level: Level;
  readonly levels: readonly Level[];
}

const GRID = 72;
const RANGE = 0.9;

/** Peaks of the length-weighted density on the colour plane, smoothed by each piece's own error. */
function hueModes(own: readonly Feature[]): Hue[] {
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
  if (hues.length === 1) {
    const two = twoShades(own, hues[0]);
    if (two) return refineHues(own, two);
  }
  return hues;
}

/** Least gap between two washed-out inks in pooled spreads, their least share, and their least distance on the plane. */
const TWO_SHADES_GAIN = 5.5;
const TWO_SHADES_SHARE = 0.12;
const TWO_SHADES_STEP = 0.03;

/** Two inks so washed out that they look like one, yet fall clearly in two along the direction in which the colours spread. */
function twoShades(own: readonly Feature[], middle: Hue): { a: number; b: number }[] | null {
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
  if (!cut || cut.gain < TWO_SHADES_GAIN) return null;
  const above = sure.map((f) => along(f) > cut.at);
  if (liesInPatches(sure, above)) return null;
  return [true, false].map((side) => {
    const part = sure.filter((_, i) => above[i] === side);
    const weight = part.reduce((s, f) => s + f.weight, 0);
    return {
      a: part.reduce((s, f) => s + f.weight * f.a, 0) / weight,
      b: part.reduce((s, f) => s + f.weight * f.b, 0) / weight,
    };
  });
}

/** Variance under which two shades are as sharp as can be measured. */
const TWO_SHADES_FLOOR = 0.00003;

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

/** Mountain, valley, guide and one more. */
const MOST_HUES = 4;

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
    const off = own.filter((_, k) => home[k] === i).map((f) => ({ d: planeGap({ a, b }, f), w: f.weight }));
    return { a, b, spread: Math.max(0.03, 1.2 * weightedMedian(off)), share: s.length / total };
  });
}

function weightedMedian(rows: { d: number; w: number }[]): number {
  rows.sort((u, v) => u.d - v.d);
  const half = rows.reduce((s, r) => s + r.w, 0) / 2;
  let seen = 0;
  for (const r of rows) {
    seen += r.w;
    if (seen >= half) return r.d;
  }
  return 0;
}

function nearestHue(hues: readonly Hue[], f: Feature): Hue {
  return hues.reduce((best, h) => (planeGap(h, f) < planeGap(best, f) ? h : best));
}

/** One level of strength, or two where the logarithms fall into two groups with a gap. */
function strengthLevels(own: readonly Feature[]): Level[] {
  const rows = own.map((f) => ({ v: Math.log(Math.max(1e-3, f.strength)), w: f.weight })).sort((a, b) => a.v - b.v);
  const total = rows.reduce((s, r) => s + r.w, 0);
  const levelOf = (part: { v: number; w: number }[]): Level => {
    const w = part.reduce((s, r) => s + r.w, 0);
    const middle = part.reduce((s, r) => s + r.v * r.w, 0) / Math.max(w, 1e-9);
    const spread = Math.sqrt(part.reduce((s, r) => s + r.w * (r.v - middle) ** 2, 0) / Math.max(w, 1e-9));
    return { middle, spread: Math.max(spread, 0.06), share: w / Math.max(total, 1e-9) };
  };
  const one = levelOf(rows);
  let best: [Level, Level] | null = null;
  let bestGain = TWO_LEVELS_GAIN;
  for (let cut = 1; cut < rows.length; cut++) {
    const low = levelOf(rows.slice(0, cut));
    const high = levelOf(rows.slice(cut));
    if (Math.min(low.share, high.share) < 2 * LEAST_SHARE) continue;
    if (high.middle - low.middle < Math.log(STRENGTH_RATIO)) continue;
    // Between-group distance in pooled spreads (Fisher 1936).
    const within = Math.sqrt(low.share * low.spread ** 2 + high.share * high.spread ** 2);
    const gain = (high.middle - low.middle) / within;
    if (gain > bestGain) {
      bestGain = gain;
      best = [low, high];
    }
    if (rows.length > 400) cut += 3;
  }
  const cut = best ? (best[0].middle + best[1].middle) / 2 : 0;
  return best &&
    !liesInPatches(
      own,
      own.map((f) => Math.log(Math.max(1e-3, f.strength)) > cut),
    )
    ? best
    : [one];
}

/** Neighbours compared for each piece, and the agreement beyond chance (Cohen 1960) that light alone makes. */
const NEIGHBOURS = 8;
const PATCHY = 0.6;

/** True where the pieces of one sort lie in patches, as glare and shadow make them, not mixed as a designer draws them. */
function liesInPatches(own: readonly Feature[], strong: readonly boolean[]): boolean {
  const share = strong.filter(Boolean).length / own.length;
  const chance = share * share + (1 - share) * (1 - share);
  if (own.length <= 2 * NEIGHBOURS || chance > 0.98) return false;
  const every = Math.max(1, Math.floor(own.length / 200));
  let agree = 0;
  let asked = 0;
  for (let i = 0; i < own.length; i += every) {
    const [x, y] = own[i].middle;
    const near = [...own.keys()]
      .filter((k) => k !== i)
      .map((k) => ({ k, d: Math.hypot(own[k].middle[0] - x, own[k].middle[1] - y) }))
      .sort((a, b) => a.d - b.d)
      .slice(0, NEIGHBOURS);
    for (const { k } of near) if (strong[k] === strong[i]) agree++;
    asked += near.length;
  }
  return (agree / asked - chance) / (1 - chance) > PATCHY;
}

/** Inks this near the grey axis of the colour plane are black or grey. */
const GREY_RADIUS = 0.16;
const GUIDE_SHARE = 0.08;
/** Guides never make up more than this share of a drawing. */
const GUIDE_MOST = 0.45;
/** Natural log of how much paler a guide is. */
const GUIDE_GAP = Math.log(1.8);

function mergeLevels(levels: readonly Level[]): Level {
  const middle = levels.reduce((s, l) => s + l.share * l.middle, 0);
  return { middle, spread: 1, share: 1 };
}

/** A uniform spread cut in its middle parts by 3.5 spreads: two real levels must do clearly better. */
const TWO_LEVELS_GAIN = 4.6;

/** Probability of each group of hue and strength; a broad share of doubt keeps far-off pieces honest. */
function groupOdds(f: Feature, groups: readonly Group[]): Float64Array {
  const out = new Float64Array(groups.length);
  let sum = 0;
  groups.forEach((g, i) => {
    const s2 = g.hue.spread ** 2 + f.error ** 2;
    const d2 = planeGap(g.hue, f) ** 2;
    let v = g.level.share * g.hue.share * (Math.exp(-d2 / (2 * s2)) / s2 + BROAD);
    if (g.levels.length > 1) {
      const z = (Math.log(Math.max(1e-3, f.strength)) - g.level.middle) / (1.5 * g.level.spread + 0.08);
      v *= Math.exp((-z * z) / 2) / (1.5 * g.level.spread + 0.08) + BROAD;
    }
    out[i] = v;
    sum += v;
  });
  for (let i = 0; i < out.length; i++) out[i] = sum > 0 ? out[i] / sum : 1 / out.length;
  return out;
}

const BROAD = 0.02;

interface RhythmClass {
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
function honestRhythms(own: readonly Feature[]): RhythmClass[] {
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

function spreadOfFilled(beats: readonly Beat[], mean: number): number {
  const length = beats.reduce((s, b) => s + b.length, 0);
  const sum = beats.reduce((s, b) => s + b.length * (b.filled - mean) ** 2, 0);
  return Math.max(LEAST_FILLED_SPREAD, Math.sqrt(sum / Math.max(length, 1e-9)));
}

const LEAST_FILLED_SPREAD = 0.02;
/** A piece may begin and end anywhere in the rhythm: its filled share is off by about a hole over its length, in stroke widths. */
const CUT_WIDTHS = 1.5;
/** Chance of a reading that fits nothing. */
const ODD_READING = 0.02;

/** Least gap between two rhythms in pooled spreads, and least share of each. */
const TWO_RHYTHMS_GAIN = 3.4;
const TWO_RHYTHMS_SHARE = 0.12;
/** Least difference of the two in filled share or in share of dots. */
const TWO_RHYTHMS_STEP = 0.06;

/** Solid strokes with more than this share of the length are an ink of the drawing. */
const SOLID_SHARE = 0.15;

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

/** Shares of dots that differ by this much name the rhythms. */
const TELLING_DOTS = 0.15;

/** The cut of weighted numbers into two groups with the greatest gap between their means in pooled spreads (Fisher 1936). */
function cutInTwo(
  rows: { v: number; w: number }[],
  leastShare: number,
  leastStep: number,
  floor = SPREAD_FLOOR,
): { at: number; gain: number } | null {
  rows.sort((a, b) => a.v - b.v);
  const n = rows.length;
  const w = new Float64Array(n + 1);
  const s = new Float64Array(n + 1);
  const q = new Float64Array(n + 1);
  rows.forEach((r, i) => {
    w[i + 1] = w[i] + r.w;
    s[i + 1] = s[i] + r.w * r.v;
    q[i + 1] = q[i] + r.w * r.v * r.v;
  });
  let best: { at: number; gain: number } | null = null;
  for (let cut = 1; cut < n; cut++) {
    const wl = w[cut];
    const wh = w[n] - wl;
    if (Math.min(wl, wh) < leastShare * w[n]) continue;
    const low = s[cut] / wl;
    const high = (s[n] - s[cut]) / wh;
    if (high - low < leastStep) continue;
    const spread = Math.max(0, q[n] - wl * low * low - wh * high * high) / w[n];
    const gain = (high - low) / Math.sqrt(spread + floor);
    if (!best || gain > best.gain) best = { at: (rows[cut - 1].v + rows[cut].v) / 2, gain };
  }
  return best;
}

/** Keeps a handful of equal values from looking infinitely apart. */
const SPREAD_FLOOR = 0.0004;

function byRhythm(
  features: readonly Feature[],
  own: readonly number[],
  pieces: readonly PieceInk[],
  groups: readonly Group[],
  rhythms: readonly RhythmClass[],
): InkSorting {
  // A pale second level under a drawing in rhythms is a guide of its own; else strength says nothing.
  const palest = groups.length === 2 ? (groups[0].level.middle < groups[1].level.middle ? 0 : 1) : -1;
  const pale = palest >= 0 && groups[palest].level.share < GUIDE_MOST ? palest : -1;
  const odds = features.map((f) => {
    const beat = rhythmOdds(f.beat, rhythms);
    if (pale < 0) return beat;
    const p = groupOdds(f, groups)[pale];
    return Float64Array.from([...beat.map((v) => v * (1 - p)), p]);
  });
  const inks = describe(odds[0].length, odds, own, pieces, features).map((ink, k) =>
    k < rhythms.length ? { ...ink, rhythm: rhythms[k].rhythm } : ink,
  );
  return { inks, by: 'rhythm', odds };
}

/** Density of the filled share of a solid piece: close to 1. */
function solidFill(b: Beat): number {
  const spread = LEAST_FILLED_SPREAD + CUT_WIDTHS / Math.max(1, b.length);
  const z = (1 - b.filled) / spread;
  return (Math.exp(-(z * z) / 2) + ODD_READING) / spread;
}

/** How likely this beat is under each rhythm, by its holes and dots. */
function rhythmOdds(b: Beat, rhythms: readonly RhythmClass[]): Float64Array {
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

function describe(
  count: number,
  odds: readonly Float64Array[],
  own: readonly number[],
  pieces: readonly PieceInk[],
  features: readonly Feature[],
): Ink[] {
  const total = own.reduce((s, i) => s + features[i].weight, 0);
  return Array.from({ length: count }, (_, k) => {
    const sum = [0, 0, 0];
    let strength = 0;
    let crest = 0;
    let weight = 0;
    const beats: Beat[] = [];
    for (const i of own) {
      const w = odds[i][k] * features[i].weight;
      if (odds[i][k] < 0.5) continue;
      for (let c = 0; c < 3; c++) sum[c] += w * pieces[i].colour[c];
      strength += w * pieces[i].strength;
      crest += w * pieces[i].crest;
      weight += w;
      beats.push(features[i].beat);
    }
    const size = Math.hypot(sum[0], sum[1], sum[2]) || 1;
    const pool = poolBeats(beats);
    return {
      direction: [sum[0] / size, sum[1] / size, sum[2] / size],
      strength: strength / Math.max(weight, 1e-9),
      crest: crest / Math.max(weight, 1e-9),
      rhythm: nameRhythm(pool),
      filled: pool.filled,
      share: weight / Math.max(total, 1e-9),
    };
  });
}
