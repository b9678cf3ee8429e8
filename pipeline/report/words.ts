import type {
  BrokenLaw,
  Doubt,
  DoubtCode,
  Kind,
  KindOfOdds,
  Lattice,
  LawName,
  LegendEntry,
  Outline,
} from '../types.ts';

/** Every sentence about a finding is made here, from the finding's data. */

export const KIND_NAMES: Readonly<Record<Kind, string>> = {
  B: 'edge',
  M: 'mountain',
  V: 'valley',
  F: 'guide',
  U: 'undecided',
  C: 'cut',
};

const INSTEAD_NAMES: Readonly<Record<KindOfOdds | 'other', string>> = {
  mountain: 'a mountain',
  valley: 'a valley',
  edge: 'an edge',
  guide: 'a guide line',
  absent: 'no crease at all',
  other: 'something else',
};

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

const DOUBTS: Readonly<Record<DoubtCode, Wording>> = {
  'kind-unclear': {
    title: 'Kind unclear',
    why: (_, shown) => `The ink does not say clearly what this crease is; it is shown as ${shown}.`,
  },
  'kind-conflict': {
    title: 'Ink against folding law',
    why: (facts, shown) =>
      `The ink looks like ${fact(facts, 'seen', 'another kind')}, but the creases around it fold flat only otherwise; it is shown as ${shown}.`,
  },
  'crease-faint': {
    title: 'Faint crease',
    why: () => 'Little ink was found along this line: it may be a stain, a shadow or print from the other side.',
  },
  'crease-missing': {
    title: 'Crease inferred',
    why: () => 'No ink was found here, but the creases around it do not fold flat without it.',
  },
  'end-dangling': {
    title: 'Crease ends in the paper',
    why: () => 'The line stops inside the sheet without meeting another; a crease that folds flat goes on.',
  },
  'off-lattice': {
    title: 'Off the grid',
    why: (facts) =>
      `This vertex lies ${fact(facts, 'distance', 'some way')} from the nearest point of the grid and was left where it was measured.`,
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
    why: () => 'The border of the sheet was not seen whole; part of it was put where it most likely is.',
  },
  'stray-ink': {
    title: 'Ink left out',
    why: () => 'Ink was found here that was taken for a letter, an arrow or a stain, not for a crease.',
  },
  'too-close': {
    title: 'Too fine for the picture',
    why: (facts) =>
      `Lines lie ${fact(facts, 'distancePx', 'only a few')} px apart here: a larger or sharper picture would settle this.`,
  },
  'law-broken': {
    title: 'Does not fold flat here',
    why: () =>
      'The creases at this vertex break a law of flat folding, so at least one of them is wrong, missing or too many.',
  },
};

export function doubtTitle(doubt: Doubt): string {
  return DOUBTS[doubt.what].title;
}

/** @param shown kind of the crease that the doubt is about, if any */
export function doubtWhy(doubt: Doubt, shown: Kind | undefined): string {
  return DOUBTS[doubt.what].why(doubt.facts, shown ? KIND_NAMES[shown] : 'seen');
}

/** The likeliest alternative as words; null where there is none. */
export function insteadWords(doubt: Doubt): string | null {
  return doubt.instead === null ? null : INSTEAD_NAMES[doubt.instead];
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
