/** Sentences on whether the whole sheet folds flat, made from the finding's data. */
import type { BrokenLaw, Foldability, Kind, Lattice, LawName } from '../types.ts';
import { lawPlace, lawTitle, lawWhy } from './words.ts';

/** Numbers of layer orders with more digits than this are told by their size. */
const MOST_DIGITS = 9;

/** A number of layer orders: "at least 12 layer orders". */
export function ordersWords({ count, atLeast }: NonNullable<Foldability['states']>): string {
  const short = count.length <= MOST_DIGITS;
  const number = short ? count : `10^${count.length - 1}`;
  const from = short ? 'at least ' : 'more than ';
  return `${atLeast || !short ? from : ''}${number} layer ${count === '1' ? 'order' : 'orders'}`;
}

const UNDECIDED: Readonly<Record<NonNullable<Foldability['undecided']>['why'], string>> = {
  time: 'there was no time to go through its layers; plica check takes more',
  size: 'it has more layers than are gone through here; plica check may still do it',
  coarse: 'its vertices are not placed well enough for creases this short; a sharper picture would settle it',
  parts: 'cuts part it, and how the parts lie to each other is not known',
  failed: 'an error inside Plica came between; please report it together with the picture',
};

/** Laws that no single vertex can break. */
const OF_THE_WHOLE: ReadonlySet<LawName> = new Set(['loop-closure', 'layer-order']);

export interface FoldabilityFacts {
  /** Missing where only the laws at single vertices were looked at. */
  readonly foldability: Foldability | null;
  /** Laws that are broken. */
  readonly laws: readonly BrokenLaw[];
  readonly counts: Readonly<Record<Kind, number>>;
}

/**
 * Whether the sheet folds flat, in a few sentences. Laws that hold at every vertex are necessary, not sufficient: alone they are never
 * called a proof.
 */
export function foldabilityWords({ foldability, laws, counts }: FoldabilityFacts): string {
  const { before, some, any } = openWords(counts);
  if (laws.length > 0) {
    const places = laws.length === 1 ? 'one place' : `${laws.length} places`;
    const whole = laws.every(({ law }) => OF_THE_WHOLE.has(law));
    return whole
      ? `${before}Every vertex by itself folds flat, but the whole sheet does not as shown${any}: layers or loops clash at ${places}.`
      : `${before}Does not fold flat as shown${any}: laws of flat folding are broken at ${places}.`;
  }
  const vertices = `${before}Every vertex obeys the laws of flat folding${some}.`;
  if (foldability === null) {
    return `${vertices} That is needed for the whole sheet to fold flat, but does not prove it.`;
  }
  if (foldability.verdict === 'undecided') {
    return `${vertices} Whether the whole sheet folds flat is not decided: ${UNDECIDED[foldability.undecided!.why]}.`;
  }
  const found = foldability.states ? ordersWords(foldability.states) : 'at least 1 layer order';
  return `${before}Proven: the whole sheet folds flat as shown${some} (${found} found).${settledWords(foldability)}`;
}

/** How to speak of creases whose kind is open: first of all, "in some case", "in any case". */
function openWords({ U, M, V }: FoldabilityFacts['counts']): { before: string; some: string; any: string } {
  if (U === 0) return { before: '', some: '', any: '' };
  if (M + V === 0) {
    return {
      before: 'Which creases are mountains and which are valleys is not known. ',
      some: ' for some choice of mountains and valleys',
      any: ', whichever creases are mountains or valleys',
    };
  }
  return {
    before: `Of ${U === 1 ? 'one crease' : `${U} creases`} it is not known whether mountain or valley. `,
    some: ` for some choice of ${U === 1 ? 'it' : 'these'}`,
    any: `, whatever ${U === 1 ? 'it is' : 'these are'}`,
  };
}

/** The verdict in a few words, for a headline. */
export function foldabilityShort(foldability: Foldability | null, broken: number): string {
  if (broken > 0) return 'does not fold flat as shown';
  if (foldability === null) return 'obeys the laws at every vertex';
  return foldability.verdict === 'folds' ? 'folds flat' : 'not decided whether it folds flat';
}

/** What folding says of the creases that the picture left open. */
function settledWords({ settled: { forced, free, unclear } }: Foldability): string {
  if (forced === 0) return '';
  const rest = unclear > 0 ? `, ${unclear} were not looked at for lack of time` : '';
  return ` Of the open creases ${forced} can only be of one kind, ${free} of either${rest}.`;
}

export interface LawGroup {
  readonly title: string;
  readonly why: string;
  readonly places: readonly string[];
}

/** Broken laws, those of which the same is to be said together. */
export function lawGroups(laws: readonly BrokenLaw[], lattice: Lattice | null): LawGroup[] {
  const groups = new Map<string, { title: string; why: string; places: string[] }>();
  for (const law of laws) {
    const [title, why, place] = [lawTitle(law), lawWhy(law), lawPlace(law, lattice)];
    const key = `${title}: ${why}`;
    const group = groups.get(key);
    if (group) group.places.push(place);
    else groups.set(key, { title, why, places: [place] });
  }
  return [...groups.values()];
}
