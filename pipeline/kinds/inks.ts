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
import { describe, type Group, groupOdds, type Ink } from './ink-groups.ts';
import { CLEAR, type Level, mergeLevels, strengthLevels, VAGUE } from './levels.ts';
import type { PieceInk } from './measure.ts';
import { brokenRhythms, honestRhythms, type RhythmClass, vagueRhythms } from './rhythm-classes.ts';
import { nameByPeriod, sortByPeriod } from './sort-by-period.ts';
import { isPlain, type NamedSorting, renamed, runReaderOf, sortByRuns } from './sort-by-runs.ts';

export interface InkSorting {
  readonly inks: readonly Ink[];
  /** What tells them apart. */
  readonly by: 'colour' | 'rhythm' | 'strength' | 'nothing';
  /** For each piece (inner and border) the probability of each ink; rows of inks.length. */
  readonly odds: readonly Float64Array[];
  /** Index of an ink that was set aside first, for being much paler than all others: a guide. */
  readonly pale?: number;
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
  rhythmAcross: 6,
  rhythm: 4,
  handRhythm: 5,
  fewerRhythms: 2,
  strength: 3,
  rareStrength: 0,
  nothing: 0,
  paleGuide: -2,
  vague: -3,
  vagueRhythm: -6,
} as const;

/** Two hues nearer than this on the colour plane may be what compression made of one (black to pure red is 0.58). */
const NEAR_HUES = 0.3;

/** Of three inks and more, one with less than this share of the length may be what compression made of another. */
const RARE_HUE = 0.12;

/** Of two strengths and more, one with less than this share of the length may be a few strokes pressed less or more than the others. */
const RARE_LEVEL = 0.2;

/** The hues less one that is rare, for each of those. */
function withoutRare(hues: readonly Hue[]): Hue[][] {
  if (hues.length < 3) return [];
  return hues.filter(({ share }) => share < RARE_HUE).map((rare) => hues.filter((hue) => hue !== rare));
}

/** Of what the ink says for a sorting so much is believed under moire, which tints strokes and parts them into dashes. */
const MOIRE_SHARE = 0.3;

/**
 * The ways in which the pieces of this picture may be sorted by how they are drawn. `inner` tells pieces that are not the border, `moire` that all of them may be of
 * one ink whatever they look like.
 */
export function possibleSortings(
  pieces: readonly PieceInk[],
  inner: readonly boolean[],
  width: number,
  moire = false,
): PossibleSorting[] {
  const found = allSortings(pieces, inner, width, moire);
  return moire ? found.map((one) => (one.favour > 0 ? { ...one, favour: MOIRE_SHARE * one.favour } : one)) : found;
}

function allSortings(
  pieces: readonly PieceInk[],
  inner: readonly boolean[],
  width: number,
  moire: boolean,
): PossibleSorting[] {
  const seen = featuresOf(pieces, width);
  const indices = [...seen.keys()].filter((i) => inner[i] && seen[i].weight > 0);
  const features = clearerStrengths(seen, indices);
  const all = sortingsOf(pieces, features, indices, width, moire);
  const own = indices.map((i) => features[i]);
  const pale = paleOdds(own, features);
  if (!pale) return all;
  const paleRows = Array.from(pale, (p) => Float64Array.of(p));
  const [guide] = describe(1, paleRows, indices, pieces, features);
  const rest = indices.filter((i) => pale[i] < 0.5);
  const aside = sortingsOf(pieces, features, rest, width, moire).map(({ sorting, favour }): PossibleSorting => {
    const inks = [...sorting.inks.map((ink) => ({ ...ink, share: ink.share * (1 - guide.share) })), guide];
    const odds = sorting.odds.map((row, i) => Float64Array.from([...row.map((p) => p * (1 - pale[i])), pale[i]]));
    return { sorting: { inks, by: sorting.by, odds, pale: inks.length - 1 }, favour: favour + FAVOUR.paleGuide };
  });
  return [...all, ...aside];
}

/** The features with the ink on the strokes' own width for their strength, where that alone falls in two levels. */
function clearerStrengths(seen: readonly Feature[], indices: readonly number[]): readonly Feature[] {
  const levelsOf = (of: readonly Feature[]) =>
    strengthLevels(
      indices.map((i) => of[i]),
      CLEAR,
    ).length;
  if (indices.length === 0 || levelsOf(seen) === 2) return seen;
  const cores = seen.map((f) => ({ ...f, strength: f.core }));
  return levelsOf(cores) === 2 ? cores : seen;
}

/** Of every piece the probability that it is one of few much paler ones; null where no such pieces stand apart. */
function paleOdds(own: readonly Feature[], features: readonly Feature[]): Float64Array | null {
  const levels = own.length > 0 ? strengthLevels(own, CLEAR) : [];
  if (levels.length < 2 || levels[0].share > GUIDE_MOST || levels[1].middle - levels[0].middle < GUIDE_GAP) return null;
  const groups = groupsBy(oneHue(own), levels);
  return Float64Array.from(features, (f) => groupOdds(f, groups)[0]);
}

function sortingsOf(
  pieces: readonly PieceInk[],
  features: readonly Feature[],
  indices: readonly number[],
  width: number,
  moire: boolean,
): PossibleSorting[] {
  if (indices.length === 0)
    return [{ sorting: { inks: [], by: 'nothing', odds: pieces.map(() => new Float64Array(0)) }, favour: 0 }];
  const own = indices.map((i) => features[i]);
  const sortBy = (by: InkSorting['by'], groups: readonly Group[]) => {
    const odds = features.map((f) => groupOdds(f, groups));
    const inks = describe(odds[0].length, odds, indices, pieces, features);
    return { inks: by === 'colour' ? namedByPeriod(inks, features, indices, odds) : inks, by, odds };
  };
  const byPeriod = (rhythms: readonly RhythmClass[]): NamedSorting | null => {
    const period = sortByPeriod(features, indices, rhythms);
    return period && { ...period, names: period.rhythms.map(({ rhythm }) => rhythm) };
  };
  const inRhythms = (groups: readonly Group[], { names, sure, odds: beats }: NamedSorting): InkSorting => {
    const odds = rhythmAndPale(features, groups, beats);
    const inks = describe(odds[0].length, odds, indices, pieces, features).map((ink, k) =>
      k < names.length ? { ...ink, rhythm: names[k], named: sure } : ink,
    );
    return { inks, by: 'rhythm', odds };
  };
  const sortByRhythm = (groups: readonly Group[], rhythms: readonly RhythmClass[]): InkSorting | null => {
    const found = byPeriod(rhythms);
    return found && inRhythms(groups, found);
  };
  const hues = hueModes(own);
  const byHue = (of: readonly Hue[]) => sortBy('colour', groupsOf(of, own));
  const asOne = (hue: Hue, levels: readonly Level[]): PossibleSorting => ({
    sorting: sortBy('nothing', groupsBy(hue, levels.length > 1 ? [mergeLevels(levels)] : levels)),
    favour: FAVOUR.nothing,
  });
  const isNear = hues.length === 2 && planeGap(hues[0], hues[1]) < NEAR_HUES;
  if (hues.length > 1 && !isNear) {
    const across = rhythmsAcross(hues, own);
    const byRhythm = across && sortByRhythm(groupsBy(oneHue(own), [mergeLevels(strengthLevels(own, CLEAR))]), across);
    const groups = groupsOf(hues, own);
    const asOneLevel = ({ hue, levels }: Group): Group[] => groupsBy(hue, [mergeLevels(levels)]);
    const whole = hues.flatMap((hue) => asOneLevel(groups.find((group) => group.hue === hue)!));
    return [
      { sorting: sortBy('colour', groups), favour: FAVOUR.colour },
      // Gloss makes part of a dark ink pale.
      ...(groups.length > hues.length ? [{ sorting: sortBy('colour', whole), favour: FAVOUR.fewerColours }] : []),
      ...(byRhythm ? [{ sorting: byRhythm, favour: FAVOUR.rhythmAcross }] : []),
      ...withoutRare(hues).map((rest) => ({ sorting: byHue(rest), favour: FAVOUR.fewerColours })),
      ...(moire || hues.length === 2 ? [asOne(oneHue(own), strengthLevels(own, CLEAR))] : []),
    ];
  }
  const hue = isNear ? oneHue(own) : hues[0];
  const levels = strengthLevels(own, CLEAR);
  const found = [asOne(hue, levels)];
  // Two inks of which no piece is surely the one are one ink.
  const add = (sorting: InkSorting | null, favour: number) => {
    if (sorting?.inks.every(({ share }) => share >= LEAST_SHARE)) found.push({ sorting, favour });
  };
  const shades = isNear ? hues : twoShades(own, hue, CLEAR_SHADES);
  if (shades) add(byHue(shades), isNear ? FAVOUR.nearColour : FAVOUR.shades);
  const rhythms = honestRhythms(own);
  const counted = rhythms.length > 1 ? byPeriod(rhythms) : null;
  // Runs are read where a hand may have drawn them: printed rhythms repeat so well that their periods say all.
  const runs = counted && isPlain(counted, indices, features) ? null : runReaderOf(features, indices, width);
  const named = counted && runs ? renamed(counted, runs) : counted;
  const byRhythm = named && inRhythms(groupsBy(hue, levels), named);
  add(byRhythm, FAVOUR.rhythm);
  const byHand = runs && sortByRuns(runs);
  // What glare, dirt or the pen broke is no second rhythm beside solid strokes.
  if (byHand && (!byHand.names.includes('solid') || counted?.names.includes('solid'))) {
    // A hand presses now more, now less: strokes that are pale in places are no guides for that alone.
    for (const of of levels.length > 1 ? [levels, [mergeLevels(levels)]] : [levels])
      add(inRhythms(groupsBy(hue, of), byHand), FAVOUR.handRhythm);
  }
  // Blur closes gaps, long dashes show few, and strokes without smooth edges are paler one way than the other: two rhythms may be all there is.
  const broken = rhythms.filter(({ rhythm }) => rhythm !== 'solid');
  const two = broken.length === 2 ? broken : brokenRhythms(own);
  if (two && (byRhythm === null || byRhythm.inks.length > 2 || broken.length < 2))
    add(sortByRhythm(groupsBy(hue, [mergeLevels(levels)]), two), FAVOUR.fewerRhythms);
  if (levels.length > 1)
    add(
      sortBy('strength', groupsBy(hue, levels)),
      levels.some(({ share }) => share < RARE_LEVEL) ? FAVOUR.rareStrength : FAVOUR.strength,
    );
  const vagueShades = shades ? null : twoShades(own, hue, VAGUE_SHADES);
  if (vagueShades) add(byHue(vagueShades), FAVOUR.vague);
  for (const two of byRhythm ? [] : vagueRhythms(own))
    add(sortByRhythm(groupsBy(hue, levels), two), FAVOUR.vagueRhythm);
  for (const most of [2, 3]) {
    const vague = strengthLevels(own, VAGUE, most);
    if (vague.length === most) add(sortBy('strength', groupsBy(hue, vague)), (most - 1) * FAVOUR.vague);
  }
  return found;
}

/** The rhythms of a drawing in which each colour is drawn in more than one: colours for ridges and hinges, say, and rhythms for mountain and valley. Null where colours have one each. */
function rhythmsAcross(hues: readonly Hue[], own: readonly Feature[]): RhythmClass[] | null {
  const each = hues.map((hue) => honestRhythms(own.filter((f) => nearestHue(hues, f) === hue)).length);
  if (hues.length !== 2 || each.some((count) => count < 2)) return null;
  const all = honestRhythms(own);
  return all.length > 1 ? all : null;
}

/** The inks, of which two may be broken lines that their periods name better than holes and dots. */
function namedByPeriod(
  inks: readonly Ink[],
  features: readonly Feature[],
  own: readonly number[],
  odds: readonly Float64Array[],
): readonly Ink[] {
  // Blur may close the gaps of the one, hardly of both.
  const period = inks.some(({ rhythm }) => rhythm !== 'solid') ? nameByPeriod(features, own, odds, inks.length) : null;
  if (!period) return inks;
  const named = [...inks];
  period.inks.forEach((k, i) => {
    named[k] = { ...inks[k], rhythm: period.names[i], named: period.sure };
  });
  return named;
}

/** Each level of a hue as a group. */
function groupsBy(hue: Hue, levels: readonly Level[]): Group[] {
  return levels.map((level) => ({ hue, level, levels }));
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
    return groupsBy(hue, isGuide ? found : [mergeLevels(found)]);
  });
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
