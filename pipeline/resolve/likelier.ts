import type { BrokenLaw, Doubt, DoubtCode, LegendEntry, Pattern } from '../types.ts';

/** What two readings of one picture are weighed by. */
export interface Readable {
  readonly pattern: Pattern;
  readonly laws: readonly BrokenLaw[];
  readonly doubts: readonly Doubt[];
}

/** The other reading is likelier where at most this share of the first one's vertices is odd in it, or of its creases wrong by what their doubts say, ... */
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

/** Doubts that a closer look hardly ever settled (see the guide for contributors): what the inks mean, where the sheet ends, places, and what was left out. */
const ASIDE: ReadonlySet<DoubtCode> = new Set([
  'convention-unknown',
  'mountain-valley-swap',
  'outline-assumed',
  'place-unsure',
  'stray-ink',
] as const);
/** A kind as sure as this is hardly ever another at a closer look. */
const RATHER_SURE = 0.8;

/** Whether a closer look may settle something: what seems to be one broken ink may be two rhythms, too fine to be told apart. */
export function isDoubtful(reading: Readable & { readonly legend: readonly LegendEntry[] }): boolean {
  return (
    reading.laws.length > 0 ||
    reading.doubts.some(
      ({ what, probability }) => !ASIDE.has(what) && !(isOfKind(what) && probability > RATHER_SURE),
    ) ||
    reading.legend.some(({ kind, rhythm }) => kind === 'U' && rhythm !== 'solid')
  );
}

const isOfKind = (what: DoubtCode): boolean => what === 'kind-unclear' || what === 'kind-conflict';

/** The likelier of two readings of one picture: the first, unless fewer vertices of the other are odd, or fewer of its creases doubted, and nothing is left out. */
export function likelier<T extends Readable>(first: T, other: T): T {
  const losesGrid = hasGrid(first.pattern) && !hasGrid(other.pattern);
  if (losesGrid || drawnLength(other.pattern) < LEAST_LENGTH * drawnLength(first.pattern)) return first;
  const [odd, oddInOther] = [oddVertices(first), oddVertices(other)];
  if (odd > 0 && oddInOther <= FEWER * odd) return other;
  return oddInOther <= odd && expectedWrong(other) < FEWER * expectedWrong(first) ? other : first;
}

/** So many creases are wrong if their doubts are right. */
function expectedWrong({ doubts }: Readable): number {
  return doubts.reduce((sum, { crease, probability }) => (crease === undefined ? sum : sum + 1 - probability), 0);
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
