/** Mountains and valleys that ink and folding laws together make most probable. */
import { chanceOfMaekawa } from '../kinds/law-evidence.ts';
import { type CrimpGroup, crimpGroups, firstFailingGroup, MAY_BE_MOUNTAIN, MAY_BE_VALLEY } from '../laws/crimp.ts';
import type { Draft } from './draft.ts';
import { deviation, folds, isSound, type Ray, rayOf, sortRays } from './soundness.ts';
import { vertexSums } from './vertex-sums.ts';

export interface KindBeliefs {
  /** Probability of mountain, against valley, of each part: by ink alone, and by ink and laws; NaN where it does not fold. */
  readonly byInk: Float64Array;
  readonly byBoth: Float64Array;
  /** How well the ink's kinds obey the laws, or Maekawa's alone where these are met: 1 everywhere, 0 no better than letters strewn by chance. */
  readonly agreement: number;
  /** Natural log of how much likelier this agreement is if the letters were strewn by chance than if most were read rightly. */
  readonly strewn: number;
  /** Natural log of how much likelier a vertex of this drawing obeys the laws than not; 0 where laws say nothing. */
  readonly price: number;
}

/** A crease that the ink is this sure of keeps its kind, whatever the laws say. */
export const SURE = 0.97;
/** Ink is never believed further than this: colours bleed, pens are swapped by mistake. */
const MOST_BELIEF = 0.995;
/** ... nor less than this where the laws show that it errs. */
const LEAST_BELIEF = 0.6;
/** A vertex is right if all of so many creases are. */
const USUAL_DEGREE = 4;
const MOST_PRICE = 5;
const PRIOR_LAWFUL = 3;
const PRIOR_LAWLESS = 1;
/** Messages pass until they settle, so many rounds at most; each is mixed with the last to keep loops from swinging. */
const MOST_ROUNDS = 40;
const DAMPING = 0.4;
const SETTLED = 0.01;
/** Rounds of the last search, which turns single creases and pairs. */
const MOST_TURNS = 200;
/** Sectors that are measured are called equal within this at most, radians. */
const MOST_EQUAL = (2 * Math.PI) / 180;

/** A vertex that the laws bind, with the order of its crimps. */
interface LawVertex {
  readonly vertex: number;
  readonly parts: readonly number[];
  readonly groups: readonly CrimpGroup[];
}

/**
 * Decides kinds in the draft: message passing between vertices that each weigh all their legal letterings (sum-product;
 * Pearl 1988), then a search that turns single creases and pairs while that makes the whole likelier. A broken law has a
 * price, low in drawings that break it often. Creases that the ink is sure of are never turned.
 *
 * @param trustInk whether it is the pattern rather than the ink that is to blame where sure creases break laws
 */
export function kindsByLaw(draft: Draft, placeSpread: number, trustInk = true): KindBeliefs {
  const { parts } = draft;
  const bound = lawVertices(draft, placeSpread);
  const ink = Float64Array.from(parts, (_, p) => inkBelief(draft, p));
  const { agreement, strewn, isFlawed } = agreementOf(bound, ink);
  // Letters that obey Maekawa everywhere are the drawing's own.
  const isRead = trustInk || isFlawed;
  const most = isRead ? MOST_BELIEF : Math.min(MOST_BELIEF, Math.max(LEAST_BELIEF, agreement ** (1 / USUAL_DEGREE)));
  const byInk = ink.map((m) => Math.min(most, Math.max(1 - most, m)));
  const price = isRead ? lawPrice(bound, byInk) : MOST_PRICE;
  if (price <= 0 || bound.length === 0) return { byInk, byBoth: byInk, agreement, strewn, price: 0 };
  const byBoth = passMessages(bound, byInk, most, price, parts.length);
  decide(draft, bound, byInk, byBoth, price);
  return { byInk, byBoth, agreement, strewn, price };
}

function inkBelief(draft: Draft, part: number): number {
  if (!folds(draft, part)) return Number.NaN;
  const { mountain, valley } = draft.parts[part].odds;
  const m = mountain + valley > 0 ? mountain / (mountain + valley) : 0.5;
  return m;
}

function lawVertices(draft: Draft, placeSpread: number): LawVertex[] {
  const rays: Ray[][] = draft.vertices.map(() => []);
  const isEdge = new Uint8Array(draft.vertices.length);
  draft.parts.forEach(({ from, to, border }, p) => {
    if (border) isEdge[from] = isEdge[to] = 1;
    if (!folds(draft, p)) return;
    rays[from].push(rayOf(draft, p, from, placeSpread));
    rays[to].push(rayOf(draft, p, to, placeSpread));
  });
  return rays.flatMap((own, vertex): LawVertex[] => {
    if (isEdge[vertex] || own.length === 0) return [];
    sortRays(own);
    if (!isSound(own)) return [];
    const sectors = own.map(({ angle }, i) =>
      i + 1 < own.length ? own[i + 1].angle - angle : own[0].angle + 2 * Math.PI - angle,
    );
    const groups = crimpGroups(sectors, Math.min(MOST_EQUAL, 2 * (deviation(own)?.tolerance ?? 0)));
    return groups ? [{ vertex, parts: own.map(({ part }) => part), groups }] : [];
  });
}

function isLegal({ parts, groups }: LawVertex, isMountain: (part: number) => boolean): boolean {
  return (
    firstFailingGroup(
      groups,
      parts.map((p) => (isMountain(p) ? MAY_BE_MOUNTAIN : MAY_BE_VALLEY)),
    ) === -1
  );
}

/** Share of the kinds that are right where inks were told apart as well as rhythms of an unsteady hand are. */
const MOSTLY_RIGHT = 0.88;

type Agreement = Pick<KindBeliefs, 'agreement' | 'strewn'>;

/** Maekawa's theorem (Kasahara & Takahama 1985, from memory) alone, held at this much above chance, tells that kinds were read rightly ... */
const TOLD_BY_MAEKAWA = 0.8;
/** ... though they obey all laws together at less than this: the drawing is wrong, not the reading. */
const FLAWED = 0.5;

/**
 * Share of vertices at which the ink's favourites are legal, above what chance gives with as many mountains; and how much speaks for chance. `isFlawed` where they are
 * lettered as Maekawa wants them, and so that they do not fold flat all the same.
 */
function agreementOf(bound: readonly LawVertex[], ink: Float64Array): Agreement & { readonly isFlawed: boolean } {
  let [mountains, folds] = [0, 0];
  for (const m of ink) {
    if (Number.isNaN(m)) continue;
    folds++;
    if (m > 0.5) mountains++;
  }
  const share = mountains / folds;
  const isMountain = (p: number): boolean => ink[p] > 0.5;
  const byAll = agreementWith(
    bound,
    (v) => isLegal(v, isMountain),
    ({ groups, parts }) => {
      const { asMountain, asValley } = vertexSums(groups, new Float64Array(parts.length).fill(share));
      return share * asMountain[0] + (1 - share) * asValley[0];
    },
  );
  if (byAll.agreement >= FLAWED) return { ...byAll, isFlawed: false };
  const byMaekawa = agreementWith(
    bound,
    ({ parts }) => Math.abs(2 * parts.filter(isMountain).length - parts.length) === 2,
    ({ parts }) => chanceOfMaekawa(parts.map(() => [share, 1 - share, 0])),
  );
  const isFlawed = byMaekawa.agreement > TOLD_BY_MAEKAWA;
  return { ...(isFlawed ? byMaekawa : byAll), isFlawed };
}

function agreementWith(
  bound: readonly LawVertex[],
  isLawful: (v: LawVertex) => boolean,
  chanceAt: (v: LawVertex) => number,
): Agreement {
  const lawful = bound.map(isLawful);
  const legal = lawful.filter(Boolean).length;
  if (legal === bound.length) return { agreement: 1, strewn: 0 };
  let byChance = 0;
  let strewn = 0;
  bound.forEach((v, b) => {
    const chance = chanceAt(v);
    const read = MOSTLY_RIGHT ** v.parts.length;
    const told = read + (1 - read) * chance;
    byChance += chance;
    strewn += lawful[b] ? Math.log(chance / told) : Math.log((1 - chance) / (1 - told));
  });
  const open = bound.length - byChance;
  return { agreement: open > 0 ? Math.max(0, Math.min(1, (legal - byChance) / open)) : 1, strewn };
}

/** From the vertices where the ink leaves no doubt. */
function lawPrice(bound: readonly LawVertex[], byInk: Float64Array): number {
  let [lawful, lawless] = [PRIOR_LAWFUL, PRIOR_LAWLESS];
  for (const v of bound) {
    if (v.parts.some((p) => Math.max(byInk[p], 1 - byInk[p]) < SURE)) continue;
    if (isLegal(v, (p) => byInk[p] > 0.5)) lawful++;
    else lawless++;
  }
  return Math.min(MOST_PRICE, Math.log(lawful / lawless));
}

const logit = (p: number) => Math.log(p / (1 - p));
const logistic = (l: number) => 1 / (1 + Math.exp(-l));

function passMessages(
  bound: readonly LawVertex[],
  byInk: Float64Array,
  most: number,
  price: number,
  partCount: number,
): Float64Array {
  // Log odds of mountain that each part is told by its vertices, at places 2p and 2p + 1.
  const told = new Float64Array(2 * partCount);
  const owner = new Int32Array(2 * partCount).fill(-1);
  const used = new Uint8Array(partCount);
  const places = bound.map(({ parts }, b) =>
    Int32Array.from(parts, (p) => {
      const place = 2 * p + used[p]++;
      owner[place] = b;
      return place;
    }),
  );
  const ink = Float64Array.from(byInk, logit);
  const outlaw = Math.exp(-price);
  // Where the ink is sure and legal there is nothing to tell.
  const isStale = Uint8Array.from(bound, (v) =>
    v.parts.some((p) => Math.max(byInk[p], 1 - byInk[p]) < most) || !isLegal(v, (p) => byInk[p] > 0.5) ? 1 : 0,
  );
  for (let round = 0; round < MOST_ROUNDS && isStale.includes(1); round++) {
    for (let b = 0; b < bound.length; b++) {
      if (!isStale[b]) continue;
      isStale[b] = 0;
      const { parts, groups } = bound[b];
      const own = places[b];
      const weights = new Float64Array(parts.length);
      for (let i = 0; i < own.length; i++) weights[i] = logistic(ink[parts[i]] + told[own[i] ^ 1]);
      const { asMountain, asValley } = vertexSums(groups, weights);
      for (let i = 0; i < own.length; i++) {
        const m = asMountain[i] * (1 - outlaw) + outlaw;
        const v = asValley[i] * (1 - outlaw) + outlaw;
        const before = told[own[i]];
        told[own[i]] = DAMPING * before + (1 - DAMPING) * Math.log(m / v);
        if (Math.abs(told[own[i]] - before) < SETTLED) continue;
        isStale[b] = 1;
        const other = owner[own[i] ^ 1];
        if (other >= 0) isStale[other] = 1;
      }
    }
  }
  return Float64Array.from(ink, (l, p) => logistic(l + told[2 * p] + told[2 * p + 1]));
}

/** Letters by belief where the ink is unsure, then turned while the whole becomes likelier. */
function decide(
  draft: Draft,
  bound: readonly LawVertex[],
  byInk: Float64Array,
  byBoth: Float64Array,
  price: number,
): void {
  const isOpen = (p: number) => Math.max(byInk[p], 1 - byInk[p]) < SURE;
  const mountain = Uint8Array.from(byBoth, (b, p) => ((isOpen(p) ? b : byInk[p]) > 0.5 ? 1 : 0));
  const boundAt: number[][] = draft.parts.map(() => []);
  bound.forEach(({ parts }, b) => {
    for (const p of parts) boundAt[p].push(b);
  });
  const legal = (b: number) => isLegal(bound[b], (p) => mountain[p] === 1);
  const energyAround = (turned: readonly number[]) => {
    const around = new Set(turned.flatMap((p) => boundAt[p]));
    let energy = 0;
    for (const p of turned) energy -= Math.log(mountain[p] ? byInk[p] : 1 - byInk[p]);
    for (const b of around) if (!legal(b)) energy += price;
    return energy;
  };
  const turn = (which: readonly number[]) => {
    for (const p of which) mountain[p] ^= 1;
  };
  let lawless = new Set<number>();
  bound.forEach((_, b) => {
    if (!legal(b)) lawless.add(b);
  });
  for (let turns = 0; turns < MOST_TURNS && lawless.size > 0; turns++) {
    let best: readonly number[] | null = null;
    let bestGain = 1e-9;
    for (const b of lawless) {
      const open = bound[b].parts.filter(isOpen);
      const tries = [...open.map((p) => [p]), ...open.flatMap((p, i) => open.slice(i + 1).map((q) => [p, q]))];
      for (const which of tries) {
        const before = energyAround(which);
        turn(which);
        const gain = before - energyAround(which);
        turn(which);
        if (gain <= bestGain) continue;
        best = which;
        bestGain = gain;
      }
    }
    if (!best) break;
    turn(best);
    const next = new Set(lawless);
    for (const b of best.flatMap((p) => boundAt[p])) {
      if (legal(b)) next.delete(b);
      else next.add(b);
    }
    lawless = next;
  }
  draft.parts.forEach((part, p) => {
    if (!folds(draft, p)) return;
    part.kind = mountain[p] ? 'M' : 'V';
    const fold = part.belief.mountain + part.belief.valley;
    part.belief = { ...part.belief, mountain: fold * byBoth[p], valley: fold * (1 - byBoth[p]) };
  });
}
