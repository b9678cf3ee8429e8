/** The list of doubts: those of the reading and the vertices that break a law, what would do most harm first. */
import { type Around, creasesAround } from '../../laws/around.ts';
import { checkVertices } from '../../laws/laws.ts';
import { positionToleranceOf } from '../../laws/vertex.ts';
import type { BrokenLaw, Crease, DoubtCode, Kind, KindOfOdds, LawName, Pattern } from '../../types.ts';
import type { DeskDoubt, DeskState } from './work.ts';

/** What is at stake in a doubt. */
export interface Stakes {
  /** It decides about the whole sheet: its outline, or what the inks mean. */
  readonly everything: boolean;
  /** Vertices at the place that break a law now. */
  readonly now: number;
  /** Vertices that would break a law if the likeliest alternative were true; null where none is known. */
  readonly otherwise: number | null;
}

export type DoubtItem = { readonly key: string; readonly stakes: Stakes; readonly settled: boolean } & (
  | { readonly from: 'reading'; readonly doubt: DeskDoubt }
  | {
      readonly from: 'laws';
      /** Null where the law is about more than one vertex. */
      readonly vertex: number | null;
      readonly laws: readonly BrokenLaw[];
    }
);

/** Laws that are found afresh after each step, vertex by vertex. */
const AT_VERTICES: ReadonlySet<LawName> = new Set([
  'even-degree',
  'kawasaki',
  'maekawa',
  'big-little-big',
  'crimp',
] as const);

/** Of the laws that the check of the whole sheet found broken, those that no vertex shows by itself. */
export function wholeLaws(broken: readonly BrokenLaw[]): BrokenLaw[] {
  return broken.filter(({ law }) => !AT_VERTICES.has(law));
}

const EVERYTHING: ReadonlySet<DoubtCode> = new Set([
  'outline-assumed',
  'convention-unknown',
  'mountain-valley-swap',
  'place-unsure',
] as const);

const LETTER: Readonly<Record<KindOfOdds, Kind | null>> = {
  mountain: 'M',
  valley: 'V',
  edge: 'B',
  guide: 'F',
  absent: null,
};

/**
 * All doubts in the order in which a person should look at them: what decides about the whole sheet; then places where a
 * law is broken now; then by the chance of an error times the vertices that hang on it. What is settled comes last.
 *
 * @param laws broken at vertices of the state's pattern
 * @param whole laws that the whole sheet breaks, each listed by itself
 */
export function listDoubts(
  state: DeskState,
  laws: readonly BrokenLaw[],
  whole: readonly BrokenLaw[] = [],
): DoubtItem[] {
  const broken = new Map<number, BrokenLaw[]>();
  for (const law of laws) {
    if (law.vertex === undefined) continue;
    const known = broken.get(law.vertex);
    if (known) known.push(law);
    else broken.set(law.vertex, [law]);
  }
  const around = creasesAround(state.pattern);
  const tolerance = positionToleranceOf(state.pattern, around);
  const measure = { pattern: state.pattern, around, tolerance, broken };
  const items: { item: DoubtItem; rank: readonly number[] }[] = [];
  const questioned = new Set<number>();
  for (const doubt of state.doubts) {
    const stakes = stakesOf(measure, doubt);
    items.push({
      item: { key: `d${doubt.id}`, from: 'reading', doubt, stakes, settled: doubt.settled },
      rank: [
        doubt.settled ? 1 : 0,
        stakes.everything ? 0 : 1,
        -stakes.now,
        -riskOf(state.pattern, doubt),
        doubt.probability,
      ],
    });
    if (!doubt.settled) for (const v of verticesOf(state.pattern, doubt)) questioned.add(v);
  }
  const left = new Set(state.left);
  for (const [vertex, own] of broken) {
    // An open doubt at the vertex asks the better question.
    if (questioned.has(vertex)) continue;
    const settled = left.has(vertex);
    items.push({
      item: {
        key: keyOfVertex(state.pattern, vertex),
        from: 'laws',
        vertex,
        laws: own,
        stakes: { everything: false, now: 1, otherwise: null },
        settled,
      },
      rank: [settled ? 1 : 0, 1, -1, 0, 0],
    });
  }
  whole.forEach((law, i) => {
    const stakes = { everything: false, now: 1, otherwise: null };
    items.push({
      item: { key: `w${i}`, from: 'laws', vertex: null, laws: [law], stakes, settled: false },
      rank: [0, 1, -1, 1, i],
    });
  });
  items.sort((a, b) => compare(a.rank, b.rank));
  return items.map(({ item }) => item);
}

/** A vertex keeps its key when others are renumbered. */
function keyOfVertex({ vertices }: Pattern, vertex: number): string {
  return `v${vertices[vertex].map((value) => value.toFixed(5)).join(',')}`;
}

function compare(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return a[i] - b[i];
  return 0;
}

function verticesOf({ creases }: Pattern, { crease, vertex }: DeskDoubt): number[] {
  if (crease !== undefined) return [creases[crease].from, creases[crease].to];
  return vertex === undefined ? [] : [vertex];
}

function riskOf(pattern: Pattern, doubt: DeskDoubt): number {
  return (1 - doubt.probability) * Math.max(1, verticesOf(pattern, doubt).length);
}

/** What all doubts are measured by; made once for a pattern. */
interface Measure {
  readonly pattern: Pattern;
  readonly around: Around;
  readonly tolerance: number;
  readonly broken: ReadonlyMap<number, unknown>;
}

function stakesOf(measure: Measure, doubt: DeskDoubt): Stakes {
  const own = verticesOf(measure.pattern, doubt);
  return {
    everything: EVERYTHING.has(doubt.what),
    now: own.filter((v) => measure.broken.has(v)).length,
    otherwise: doubt.crease === undefined ? null : breaksOtherwise(measure, doubt.crease, doubt.instead),
  };
}

/** How many ends of a crease would break a law if it were of the other kind, or not there. */
function breaksOtherwise(measure: Measure, crease: number, instead: DeskDoubt['instead']): number | null {
  if (instead === null || instead === 'other') return null;
  const kind = LETTER[instead];
  const { from, to } = measure.pattern.creases[crease];
  return [from, to].filter((v) => {
    const star = starAt(measure, v, crease, kind);
    return checkVertices(star, { positionTolerance: measure.tolerance }).some(({ vertex }) => vertex === 0);
  }).length;
}

/** One vertex, as number 0, with its creases alone, one of them changed; the laws ask for no more. */
function starAt({ pattern, around }: Measure, v: number, changed: number, kind: Kind | null): Pattern {
  const vertices = [pattern.vertices[v]];
  const exact = [pattern.exact[v]];
  const creases: Crease[] = [];
  for (let place = around.start[v]; place < around.start[v + 1]; place++) {
    const c = around.crease[place];
    const now = c === changed ? kind : pattern.creases[c].kind;
    if (now === null) continue;
    creases.push({ from: 0, to: vertices.length, kind: now });
    vertices.push(pattern.vertices[around.far[place]]);
    exact.push(pattern.exact[around.far[place]]);
  }
  return { vertices, exact, creases, lattice: pattern.lattice };
}
