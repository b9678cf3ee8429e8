import type {
  BrokenLaw,
  Doubt,
  DoubtCode,
  GuideGrid,
  Kind,
  KindOfOdds,
  Lattice,
  LawName,
  LegendEntry,
  Outline,
} from '../types.ts';
import type { GatheredDoubt } from './gather.ts';

/** Every sentence about a finding is made here, from the finding's data. */

export const KIND_NAMES: Readonly<Record<Kind, string>> = {
  B: 'edge',
  M: 'mountain',
  V: 'valley',
  F: 'guide',
  U: 'undecided',
  C: 'cut',
};

const INSTEAD_NAMES: Readonly<Record<KindOfOdds, string>> = {
  mountain: 'a mountain',
  valley: 'a valley',
  edge: 'an edge',
  guide: 'a guide line',
  absent: 'no crease at all',
};

/** What the alternative is where it is none of the kinds. */
const OTHERWISE: Readonly<Partial<Record<DoubtCode, string>>> = {
  'end-dangling': 'a crease that goes on, or none',
  'off-lattice': 'a point of the grid',
  'kind-changes': 'one kind along the whole line',
  'convention-unknown': 'the other way round',
  'mountain-valley-swap': 'mountain and valley the other way round',
  'outline-assumed': 'another outline',
  'stray-ink': 'a crease',
  'too-close': 'one vertex in place of two',
  'law-broken': 'another kind here, or a crease missing or too many',
  'vertex-split': 'one vertex beside another',
  'place-unsure': 'a place beside it',
};

/** Doubts about the picture as a whole, or about so many creases alike that a person reads them as one: they have no place on it. */
const ABOUT_ALL: ReadonlySet<DoubtCode> = new Set([
  'convention-unknown',
  'mountain-valley-swap',
  'outline-assumed',
  'place-unsure',
]);

export function isAboutAll({ what }: Pick<Doubt, 'what'>): boolean {
  return ABOUT_ALL.has(what);
}

const RHYTHM_NAMES: Readonly<Record<LegendEntry['rhythm'], string>> = {
  solid: 'solid',
  dashed: 'dashed',
  dashdot: 'dash-dot',
  dotted: 'dotted',
};

interface Wording {
  /** A few words, for lists. */
  readonly title: string;
  /** A sentence that says why. */
  readonly why: (facts: Doubt['facts'], shown: string) => string;
}

/** A fact as text, or the words that stand in where the finding brings none. */
const fact = (facts: Doubt['facts'], name: string, otherwise: string) => {
  const value = facts[name];
  return value === undefined ? otherwise : typeof value === 'number' ? shortNumber(value) : value;
};

const seenWords = ({ seen }: Doubt['facts']): string =>
  INSTEAD_NAMES[seen as KindOfOdds] ?? (seen === undefined ? 'another kind' : String(seen));

/** Why ink was taken for no crease before the grid was sought. */
const LEFT_OUT: Readonly<Record<string, string>> = {
  frame:
    "A second line runs inside the border all round here, in the border's ink: it was taken for part of the border, not for creases.",
  ruled:
    'Evenly spaced lines run on here past the border of the drawing at both ends: they were taken for lines printed on the paper, not for creases.',
  fold: 'A pale line here runs on past the border of the drawing: it was taken for a fold of the paper itself, not for a crease.',
  hatched:
    'Pale lines side by side fill faces here and end at their creases: they were taken for hatching, not for creases.',
  faint:
    'A line here is far fainter than all others: it was taken for a fold of the sheet or print from its other side, not for a crease.',
  curved: 'A curved line runs here: it was taken for a circle, an arrow or a letter, not for creases.',
  noise: 'Short weak strokes here were taken for the dots of a screen or the grain of the picture, not for creases.',
};

const DOUBTS: Readonly<Record<DoubtCode, Wording>> = {
  'kind-unclear': {
    title: 'Kind unclear',
    why: (_, shown) => `The ink does not say clearly what this crease is; it is shown as ${shown}.`,
  },
  'kind-conflict': {
    title: 'Ink against folding law',
    why: (facts, shown) =>
      `The ink looks like ${seenWords(facts)}, but the creases around it fold flat only otherwise; it is shown as ${shown}.`,
  },
  'crease-faint': {
    title: 'Faint crease',
    why: () => 'Little ink was found along this line: it may be a stain, a shadow or print from the other side.',
  },
  'crease-missing': {
    title: 'Crease inferred',
    why: ({ angleDegrees, length }) =>
      angleDegrees === undefined
        ? 'No ink was found here, but the creases around it do not fold flat without it.'
        : `One more crease, at ${angleDegrees} degrees and ${percent(Number(length))} of the side long, would mend what does not fold here; it was not drawn in.`,
  },
  'end-dangling': {
    title: 'Crease ends in the paper',
    why: () => 'The line stops inside the sheet without meeting another; a crease that folds flat goes on.',
  },
  'off-lattice': {
    title: 'Off the grid',
    why: (facts) =>
      `This vertex lies ${fact(facts, 'distance', 'some way')} from the nearest exact point and was left where it was measured.`,
  },
  'kind-changes': {
    title: 'Kind changes along the line',
    why: () => 'The line turns from one kind into another here, where nothing crosses it.',
  },
  'convention-unknown': {
    title: 'Meaning of the inks unknown',
    why: () => 'The picture does not say which ink is mountain and which is valley; --legend settles it.',
  },
  'mountain-valley-swap': {
    title: 'Mountain and valley may be swapped',
    why: () => 'Seen from the other side of the paper the same drawing folds as well; --legend settles it.',
  },
  'outline-assumed': {
    title: 'Outline assumed',
    why: ({ looseEnds }) =>
      typeof looseEnds === 'number'
        ? `${looseEnds} creases end within this outline, more than reach its sides: the sheet of the pattern is likely another one.`
        : 'The border of the sheet was not seen whole; part of it was put where it most likely is.',
  },
  'stray-ink': {
    title: 'Ink left out',
    why: ({ how }) =>
      (typeof how === 'string' ? LEFT_OUT[how] : undefined) ??
      'Ink was found here that was taken for a letter, an arrow or a stain, not for a crease.',
  },
  'too-close': {
    title: 'Too fine for the picture',
    why: (facts) =>
      `Lines lie ${fact(facts, 'distancePx', 'only a few')} px apart here: a larger or sharper picture would settle this.`,
  },
  'law-broken': {
    title: 'Does not fold flat here',
    why: ({ law }) =>
      law === 'planar'
        ? 'Creases cross, touch or overlap here where no vertex was found, so at least one of them is wrong or too many.'
        : 'The creases at this vertex break a law of flat folding, so at least one of them is wrong, missing or too many.',
  },
  'vertex-split': {
    title: 'Lines miss each other here',
    why: (facts) =>
      `Lines were drawn up to ${fact(facts, 'apartPercent', 'a little')} % of the longest side apart here, and are taken to meet in one vertex, as the laws of flat folding and the rest of the drawing suggest.`,
  },
  'place-unsure': {
    title: 'Places unsure',
    why: (facts) =>
      'divisions' in facts
        ? `${fact(facts, 'divisions', 'So many')} divisions are unusual, and the few lines lie near those of a usual grid: they would then move by ${fact(facts, 'offPercent', 'some')} % of the side; --divisions settles it.`
        : `No grid confirms where the creases lie: as measured they may be off by ${fact(facts, 'offPercent', 'some')} % of the side or more.`,
  },
};

/** @param isOfCrease whether the doubt is about a crease that is shown */
export function doubtTitle(what: DoubtCode, isOfCrease: boolean): string {
  return what === 'crease-missing' && !isOfCrease ? 'Crease missing' : DOUBTS[what].title;
}

/** @param shown kind of the crease that the doubt is about, if any */
export function doubtWhy(doubt: Doubt, shown: Kind | undefined): string {
  return DOUBTS[doubt.what].why(doubt.facts, shown ? KIND_NAMES[shown] : 'seen');
}

/** How sure the shown answer is and what else it may be: "92 % sure, else a valley". */
export function sureWords({
  what,
  creases,
  instead,
  probability,
}: Pick<GatheredDoubt, 'what' | 'creases' | 'instead' | 'probability'>): string {
  // Shown is a sheet without the crease; what is told is the crease.
  if (what === 'crease-missing' && creases.length === 0) return `${percent(1 - probability)} likely`;
  const otherwise = instead === 'other' ? OTHERWISE[what] : instead && INSTEAD_NAMES[instead];
  return `${percent(probability)} sure${otherwise ? `, else ${otherwise}` : ''}`;
}

/** More creases than this are not named one by one. */
const MOST_NAMED = 8;

function creasesNamed(creases: readonly number[]): string {
  const more = creases.length > MOST_NAMED ? ` and ${creases.length - MOST_NAMED} more` : '';
  return `${creases.length === 1 ? 'crease' : 'creases'} ${creases.slice(0, MOST_NAMED).join(', ')}${more}`;
}

/** Where a doubt is and which creases or vertex it is about. */
export function doubtPlace(
  { what, creases, vertex, at }: Pick<GatheredDoubt, 'what' | 'creases' | 'vertex' | 'at'>,
  lattice: Lattice | null,
): string {
  if (isAboutAll({ what })) {
    return what === 'place-unsure' && creases.length > 0
      ? `${creases.length} creases all over the sheet`
      : 'the whole sheet';
  }
  const about = creases.length > 0 ? `${creasesNamed(creases)}, ` : vertex !== undefined ? `vertex ${vertex}, ` : '';
  return about + placeWords(at, lattice);
}

const LAWS: Readonly<Record<LawName, { title: string; unit: string; why: (law: BrokenLaw) => string }>> = {
  planar: {
    title: 'Lines meet at vertices',
    unit: 'places',
    why: () => 'Creases cross, touch or overlap where there is no vertex.',
  },
  'closed-outline': {
    title: 'Closed edge',
    unit: 'open ends',
    why: () => 'The edge of the sheet is not one closed line.',
  },
  'even-degree': {
    title: 'Even number of creases',
    unit: 'creases',
    why: ({ amount }) =>
      `${amount === 1 ? 'One crease ends' : `${shortNumber(amount)} creases meet`} here; a vertex that folds flat has an even number (Maekawa).`,
  },
  kawasaki: {
    title: 'Kawasaki',
    unit: 'degrees',
    why: ({ amount }) =>
      `Every other angle must add up to 180 degrees; here it is ${shortNumber(Math.abs(amount))} off.`,
  },
  maekawa: {
    title: 'Maekawa',
    unit: 'mountains less valleys',
    why: ({ facts = {} }) =>
      `Mountains and valleys must differ by two here${facts.mountains === undefined ? '' : `; there are ${facts.mountains} and ${facts.valleys}${Number(facts.undecided) > 0 ? `, and ${facts.undecided} undecided` : ''}`}.`,
  },
  'big-little-big': {
    title: 'Small angle between larger ones',
    unit: 'creases',
    why: () =>
      'A narrow flap between wider ones needs one mountain and one valley at its sides, or the wide ones run into each other.',
  },
  crimp: {
    title: 'Crimping',
    unit: 'creases',
    why: () => 'Folded narrowest flap first, this vertex jams: no order of folds lays it flat.',
  },
  'loop-closure': {
    title: 'Folding around a loop',
    unit: 'units of the side',
    why: ({ amount }) =>
      `Folded all the way around, the paper should meet itself; it misses by ${shortNumber(Math.abs(amount))} of the side.`,
  },
  'layer-order': {
    title: 'Order of layers',
    unit: 'faces',
    why: () => 'There is no order of layers in which the paper does not pass through itself.',
  },
};

export function lawTitle({ law }: BrokenLaw): string {
  return LAWS[law].title;
}

export function lawWhy(law: BrokenLaw): string {
  return LAWS[law.law].why(law);
}

/** Where a law is broken: the vertex or the creases, and the place. */
export function lawPlace({ vertex, creases = [], at }: BrokenLaw, lattice: Lattice | null): string {
  if (vertex !== undefined) return `vertex ${vertex}, ${placeWords(at, lattice)}`;
  if (creases.length === 0) return placeWords(at, lattice);
  return `${creasesNamed(creases)}, around ${placeWords(at, lattice)}`;
}

/** What `amount` counts. */
export function lawUnit({ law }: BrokenLaw): string {
  return LAWS[law].unit;
}

const OUTLINE_FOUND: Readonly<Record<Outline['how'], string>> = {
  'drawn-border': 'The sheet was found by its drawn border.',
  'outermost-ink': 'No border was seen: the outermost lines were taken for the edge of the sheet.',
  'sheet-edge': 'The sheet was found by the edge of its paper.',
  'picture-edge': 'The edges of the picture were taken for the edge of the sheet.',
  given: 'The corners of the sheet were given.',
};

export function outlineWords({ how }: Pick<Outline, 'how'>): string {
  return OUTLINE_FOUND[how];
}

/** Short, for a headline: 32 x 32 divisions with half units. */
export function latticeWords(lattice: Lattice | null): string {
  if (lattice === null || lattice.kind === 'none') return 'no grid, vertices where they were measured';
  const half = lattice.halfUnits ? ', with half units' : '';
  switch (lattice.kind) {
    case 'square':
      return `${lattice.divisionsX} x ${lattice.divisionsY} divisions${half}`;
    case 'angle22':
      return '22.5-degree family';
    case 'hex':
      return `60-degree grid of ${lattice.divisionsX} divisions${half}`;
  }
}

export function inkWords({ colour, rhythm }: Pick<LegendEntry, 'colour' | 'rhythm'>): string {
  return `${RHYTHM_NAMES[rhythm]} ${colour}`;
}

/** Percentages never claim more than was found out: 100 % and 0 % are kept for what is certain. */
export function percent(share: number): string {
  if (share >= 1) return '100 %';
  if (share <= 0) return '0 %';
  return `${Math.min(99.9, Math.max(0.1, share * 100)).toFixed(share > 0.99 || share < 0.01 ? 1 : 0)} %`;
}

/** Three significant digits, without trailing zeros. */
export function shortNumber(value: number): string {
  return String(Number(value.toPrecision(3)));
}

/** A hundredth of a grid step is finer than any measurement. */
const GRID_DECIMALS = 2;

/** A place on the pattern in grid units where there is a square grid, else in shares of the side. */
export function placeWords([x, y]: readonly [number, number], lattice: Lattice | null): string {
  if (lattice?.kind === 'square' && lattice.divisionsX > 0) {
    // The longest side is 1 and carries the larger number of divisions.
    const step = 1 / Math.max(lattice.divisionsX, lattice.divisionsY);
    const [right, up] = [x, y].map((v) => Number((v / step).toFixed(GRID_DECIMALS)) + 0);
    return `${right} right, ${up} up on the grid`;
  }
  return `${percent(x)} right, ${percent(y)} up`;
}

/** The pale grid under the creases, as the subject of a sentence. */
export function guideWords({ divisionsX, divisionsY, shape }: GuideGrid): string {
  if (shape === 'triangles') return `A pale grid of triangles, ${divisionsX} across,`;
  return `A pale grid of ${divisionsX} x ${divisionsY}${shape ? ', turned,' : ''}`;
}
