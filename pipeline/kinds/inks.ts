import { type Feature, featureOf } from './features.ts';
import { GREY_RADIUS, type Hue, hueModes, nearestHue, planeGap } from './hues.ts';
import { type Level, mergeLevels, strengthLevels } from './levels.ts';
import type { PieceInk } from './measure.ts';
import { type Beat, nameRhythm, poolBeats, type Rhythm } from './rhythm.ts';
import { honestRhythms, type RhythmClass, rhythmOdds } from './rhythm-classes.ts';

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

interface Group {
  readonly hue: Hue;
  readonly level: Level;
  readonly levels: readonly Level[];
}

const GUIDE_SHARE = 0.08;
/** Guides never make up more than this share of a drawing. */
const GUIDE_MOST = 0.45;
/** Natural log of how much paler a guide is. */
const GUIDE_GAP = Math.log(1.8);

/** Sorts the pieces of this picture by how they are drawn. `inner` tells pieces that are not the border. */
export function sortInks(pieces: readonly PieceInk[], inner: readonly boolean[], width: number): InkSorting {
  const features = pieces.map((p) => featureOf(p, width));
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

const BROAD = 0.02;

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
