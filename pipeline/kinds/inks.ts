import { type Feature, featuresOf, LEAST_SHARE } from './features.ts';
import {
  CLEAR_SHADES,
  GREY_RADIUS,
  type Hue,
  hueModes,
  nearestHue,
  oneHue,
  planeGap,
  twoShades,
  VAGUE_SHADES,
} from './hues.ts';
import { CLEAR, type Level, mergeLevels, strengthLevels, VAGUE } from './levels.ts';
import type { PieceInk } from './measure.ts';
import { type Beat, nameRhythm, poolBeats, type Rhythm } from './rhythm.ts';
import { honestRhythms, type RhythmClass, vagueRhythms } from './rhythm-classes.ts';
import { sortByPeriod } from './sort-by-period.ts';

/** One way of drawing creases that this picture uses. */
export interface Ink {
  /** Mean hue: paper minus ink, unit vector over the three channels. */
  readonly direction: readonly [number, number, number];
  /** Typical darkness times width, density px. */
  readonly strength: number;
  readonly crest: number;
  readonly rhythm: Rhythm;
  /** Probability that its rhythm has the right name. */
  readonly named: number;
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

/** A way to sort the pieces, and how far the ink alone speaks for it: natural log of odds against one ink. */
export interface PossibleSorting {
  readonly sorting: InkSorting;
  readonly favour: number;
}

/**
 * Ink alone: colours that are clearly apart stand against any laws, vague differences only with them. Where in its rhythm a
 * piece begins goes on from its neighbour's: of vague rhythms the laws must speak more clearly.
 */
const FAVOUR = {
  colour: 14,
  fewerColours: 10,
  nearColour: 8,
  shades: 5,
  rhythm: 4,
  strength: 3,
  nothing: 0,
  vague: -3,
  vagueRhythm: -6,
} as const;

/** Two hues nearer than this on the colour plane may be what compression made of one (black to pure red is 0.58). */
const NEAR_HUES = 0.3;

/** Of three inks and more, one with less than this share of the length may be what compression made of another. */
const RARE_HUE = 0.12;

/** The hues less one that is rare, for each of those. */
function withoutRare(hues: readonly Hue[]): Hue[][] {
  if (hues.length < 3) return [];
  return hues.filter(({ share }) => share < RARE_HUE).map((rare) => hues.filter((hue) => hue !== rare));
}

/** The ways in which the pieces of this picture may be sorted by how they are drawn. `inner` tells pieces that are not the border. */
export function possibleSortings(
  pieces: readonly PieceInk[],
  inner: readonly boolean[],
  width: number,
): PossibleSorting[] {
  const features = featuresOf(pieces, width);
  const indices = [...features.keys()].filter((i) => inner[i] && features[i].weight > 0);
  if (indices.length === 0)
    return [{ sorting: { inks: [], by: 'nothing', odds: pieces.map(() => new Float64Array(0)) }, favour: 0 }];
  const own = indices.map((i) => features[i]);
  const sortBy = (by: InkSorting['by'], groups: readonly Group[]) => {
    const odds = features.map((f) => groupOdds(f, groups));
    return { inks: describe(odds[0].length, odds, indices, pieces, features), by, odds };
  };
  const sortByRhythm = (groups: readonly Group[], rhythms: readonly RhythmClass[]): InkSorting | null => {
    const period = sortByPeriod(features, indices, rhythms);
    if (!period) return null;
    const odds = rhythmAndPale(features, groups, period.odds);
    const inks = describe(odds[0].length, odds, indices, pieces, features).map((ink, k) =>
      k < rhythms.length ? { ...ink, rhythm: period.rhythms[k].rhythm, named: period.sure } : ink,
    );
    return { inks, by: 'rhythm', odds };
  };
  const hues = hueModes(own);
  const byHue = (of: readonly Hue[]) => sortBy('colour', groupsOf(of, own));
  const isNear = hues.length === 2 && planeGap(hues[0], hues[1]) < NEAR_HUES;
  if (hues.length > 1 && !isNear)
    return [
      { sorting: byHue(hues), favour: FAVOUR.colour },
      ...withoutRare(hues).map((rest) => ({ sorting: byHue(rest), favour: FAVOUR.fewerColours })),
    ];
  const hue = isNear ? oneHue(own) : hues[0];
  const groupsBy = (levels: readonly Level[]): Group[] => levels.map((level) => ({ hue, level, levels }));
  const levels = strengthLevels(own, CLEAR);
  const one = groupsBy(levels.length > 1 ? [mergeLevels(levels)] : levels);
  const found: PossibleSorting[] = [{ sorting: sortBy('nothing', one), favour: FAVOUR.nothing }];
  // Two inks of which no piece is surely the one are one ink.
  const add = (sorting: InkSorting | null, favour: number) => {
    if (sorting?.inks.every(({ share }) => share >= LEAST_SHARE)) found.push({ sorting, favour });
  };
  const shades = isNear ? hues : twoShades(own, hue, CLEAR_SHADES);
  if (shades) add(byHue(shades), isNear ? FAVOUR.nearColour : FAVOUR.shades);
  const rhythms = honestRhythms(own);
  const byRhythm = rhythms.length > 1 ? sortByRhythm(groupsBy(levels), rhythms) : null;
  add(byRhythm, FAVOUR.rhythm);
  if (levels.length > 1) add(sortBy('strength', groupsBy(levels)), FAVOUR.strength);
  const vagueShades = shades ? null : twoShades(own, hue, VAGUE_SHADES);
  if (vagueShades) add(byHue(vagueShades), FAVOUR.vague);
  for (const two of byRhythm ? [] : vagueRhythms(own)) add(sortByRhythm(groupsBy(levels), two), FAVOUR.vagueRhythm);
  for (const most of [2, 3]) {
    const vague = strengthLevels(own, VAGUE, most);
    if (vague.length === most) add(sortBy('strength', groupsBy(vague)), (most - 1) * FAVOUR.vague);
  }
  return found;
}

/** Groups by hue; beside other colours only a pale grey is an ink of its own (a guide): shades of one colour are one ink. */
function groupsOf(hues: readonly Hue[], own: readonly Feature[]): Group[] {
  return hues.flatMap((hue) => {
    const found = strengthLevels(
      own.filter((f) => nearestHue(hues, f) === hue),
      CLEAR,
    );
    const grey = Math.hypot(hue.a, hue.b) < GREY_RADIUS;
    const both = Math.min(...found.map((l) => l.share)) * hue.share > GUIDE_SHARE;
    const isGuide = grey && both && found.length > 1 && found[1].middle - found[0].middle > GUIDE_GAP;
    const levels = isGuide ? found : [mergeLevels(found)];
    return levels.map((level) => ({ hue, level, levels }));
  });
}

const BROAD = 0.02;
/** A colour of no ink is the nearest one's rather than the commonest one's, by the square of the distances from here on (Cauchy's tail). */
const FAR_HUE = 0.1;
/** Spread of the natural log of strength that a single px along a stroke has. */
const SAMPLE_SPREAD = 0.5;

/** Probability of each group of hue and strength; a broad share of doubt keeps far-off pieces honest. */
function groupOdds(f: Feature, groups: readonly Group[]): Float64Array {
  const out = new Float64Array(groups.length);
  let sum = 0;
  groups.forEach((g, i) => {
    const s2 = g.hue.spread ** 2 + f.error ** 2;
    const d2 = planeGap(g.hue, f) ** 2;
    let v = g.level.share * g.hue.share * (Math.exp(-d2 / (2 * s2)) / s2 + BROAD / (1 + d2 / FAR_HUE ** 2));
    if (g.levels.length > 1) {
      const spread = Math.hypot(1.5 * g.level.spread, SAMPLE_SPREAD / Math.sqrt(Math.max(1, f.weight)));
      const z = (Math.log(Math.max(1e-3, f.strength)) - g.level.middle) / spread;
      v *= Math.exp((-z * z) / 2) / spread + BROAD;
    }
    out[i] = v;
    sum += v;
  });
  for (let i = 0; i < out.length; i++) out[i] = sum > 0 ? out[i] / sum : 1 / out.length;
  return out;
}

function rhythmAndPale(
  features: readonly Feature[],
  groups: readonly Group[],
  beats: readonly Float64Array[],
): Float64Array[] {
  // A pale lowest level under a drawing in rhythms is a guide of its own; else strength says nothing.
  const pale = groups.length > 1 && groups[0].level.share < GUIDE_MOST;
  if (!pale) return [...beats];
  return features.map((f, i) => {
    const p = groupOdds(f, groups)[0];
    return Float64Array.from([...beats[i].map((v) => v * (1 - p)), p]);
  });
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
      named: 1,
      filled: pool.filled,
      share: weight / Math.max(total, 1e-9),
    };
  });
}
