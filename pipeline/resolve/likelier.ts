import type { BrokenLaw, Doubt, DoubtCode, LegendEntry, Pattern } from '../types.ts';

/** What two readings of one picture are weighed by. */
export interface Readable {
  readonly pattern: Pattern;
  readonly laws: readonly BrokenLaw[];
}

/** The other reading is likelier where at most this share of the first one's vertices is odd in it, ... */
const FEWER = 0.6;
/** ... though it holds nearly all that the first has: creases left out break no law where they run from side to side. */
const LEAST_LENGTH = 0.97;

/**
 * Whether a vertex is odd: breaks a folding law, lies off the grid of the others, or is missing where creases cross. Crease patterns that people draw fold flat, on their
 * grid (common practice, no source).
 */
export function hasOddVertices(reading: Readable): boolean {
  return oddVertices(reading) > 0;
}

/** Doubts that no closer look settles: what the inks mean, where the sheet ends, and what was surely left out. */
const ASIDE: ReadonlySet<DoubtCode> = new Set([
  'convention-unknown',
  'mountain-valley-swap',
  'outline-assumed',
  'stray-ink',
] as const);

/** Whether a closer look may settle something: what seems to be one broken ink may be two rhythms, too fine to be told apart. */
export function isDoubtful(
  reading: Readable & { readonly doubts: readonly Doubt[]; readonly legend: readonly LegendEntry[] },
): boolean {
  return (
    hasOddVertices(reading) ||
    reading.doubts.some(({ what, facts }) => !ASIDE.has(what) || (what === 'stray-ink' && facts.how === undefined)) ||
    reading.legend.some(({ kind, rhythm }) => kind === 'U' && rhythm !== 'solid')
  );
}

/** The likelier of two readings of one picture: the first, unless fewer vertices of the other are odd and nothing is left out. */
export function likelier<T extends Readable>(first: T, other: T): T {
  const losesGrid = hasGrid(first.pattern) && !hasGrid(other.pattern);
  if (losesGrid || drawnLength(other.pattern) < LEAST_LENGTH * drawnLength(first.pattern)) return first;
  const odd = oddVertices(first);
  return odd > 0 && oddVertices(other) <= FEWER * odd ? other : first;
}

function oddVertices({ pattern, laws }: Readable): number {
  const odd = new Set(laws.flatMap(({ vertex }) => (vertex === undefined ? [] : [vertex])));
  if (hasGrid(pattern)) {
    pattern.exact.forEach((place, v) => {
      if (place === null) odd.add(v);
    });
  }
  return odd.size + laws.filter(({ law, vertex }) => law === 'planar' && vertex === undefined).length;
}

/** Length of all creases that fold, pattern units. */
function drawnLength({ vertices, creases }: Pattern): number {
  let sum = 0;
  for (const { from, to, kind } of creases) {
    if (kind === 'B' || kind === 'F') continue;
    sum += Math.hypot(vertices[from][0] - vertices[to][0], vertices[from][1] - vertices[to][1]);
  }
  return sum;
}

function hasGrid({ lattice }: Pattern): boolean {
  return lattice !== null && lattice.kind !== 'none';
}
