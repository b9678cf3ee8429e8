import { type Around, creasesAround } from '../laws/around.ts';
import { foldsAt, type VertexFolds } from '../laws/vertex.ts';
import type { Kind, Pattern, PatternPoint } from '../types.ts';
import { addCrease, addCreaseInto, dropCrease, moveVertex, setKinds } from './edit.ts';
import { castRay, starCrosses } from './rays.ts';
import type { Repair } from './verdict.ts';
import { difference, kawasakiPlaces, latticePlaces } from './vertex-places.ts';

/** A change, the pattern it makes, and the vertices (numbered as before) whose laws it may alter. */
export interface Candidate {
  readonly change: Repair['change'];
  readonly pattern: Pattern;
  readonly touched: readonly number[];
  /** Rank among repairs: what a person would try first is cheap. */
  readonly price: number;
}

const PRICE = { swap: 1, move: 2, add: 3, drop: 4 } as const;
/** A new crease this near to another one would be a misreading of it, radians. */
const LEAST_SECTOR = (2 * Math.PI) / 180;
/** Places nearer than this are the same, pattern units. */
const SAME_PLACE = 1e-9;
/** Single changes that might mend a broken vertex. */
export function* candidatesAt(pattern: Pattern, vertex: number, positionTolerance: number): Generator<Candidate> {
  const around = creasesAround(pattern);
  const folds = foldsAt(pattern, around, vertex);
  if (folds === null) return;
  yield* swaps(pattern, folds);
  if (folds.creases.length % 2 === 1) {
    yield* additions(pattern, vertex, folds, positionTolerance);
    for (const crease of folds.creases) {
      const { from, to } = pattern.creases[crease];
      const change = { what: 'drop-crease', crease } as const;
      yield { change, pattern: dropCrease(pattern, crease), touched: [from, to], price: PRICE.drop };
    }
    return;
  }
  // The vertex may be in its place and only a neighbour out of it.
  for (const v of [vertex, ...folds.far]) yield* moves(pattern, around, v);
}

function* swaps(pattern: Pattern, folds: VertexFolds): Generator<Candidate> {
  for (let i = 0; i < folds.creases.length; i++) {
    const crease = folds.creases[i];
    if (folds.kinds[i] === 'U') continue;
    const to: Kind = folds.kinds[i] === 'M' ? 'V' : 'M';
    const { from, to: end } = pattern.creases[crease];
    const change = { what: 'swap-kind', creases: [crease], to } as const;
    yield { change, pattern: setKinds(pattern, new Map([[crease, to]])), touched: [from, end], price: PRICE.swap };
  }
}

/**
 * The one direction in each sector that makes alternate sums equal: between creases j and j + 1, at
 * x = aⱼ + aⱼ₊₂ + aⱼ₊₄ + … - π from crease j (from Kawasaki's condition).
 */
function* additions(pattern: Pattern, v: number, folds: VertexFolds, near: number): Generator<Candidate> {
  const { sectorsRad, far } = folds;
  const degree = sectorsRad.length;
  for (let j = 0; j < degree; j++) {
    let x = -Math.PI;
    for (let m = 0; m < degree; m += 2) x += sectorsRad[(j + m) % degree];
    if (x < LEAST_SECTOR || sectorsRad[j] - x < LEAST_SECTOR) continue;
    const [ox, oy] = pattern.vertices[v];
    const [fx, fy] = pattern.vertices[far[j]];
    const angle = Math.atan2(fy - oy, fx - ox) + x;
    const hit = castRay(pattern, v, angle, near);
    if (hit === null || (hit.crease >= 0 && pattern.creases[hit.crease].kind !== 'B')) continue;
    const to: PatternPoint =
      hit.vertex >= 0
        ? pattern.vertices[hit.vertex]
        : [ox + hit.distance * Math.cos(angle), oy + hit.distance * Math.sin(angle)];
    for (const kind of ['M', 'V'] as const) {
      const changed =
        hit.vertex >= 0
          ? addCrease(pattern, v, hit.vertex, kind)
          : addCreaseInto(pattern, v, hit.crease, { at: to, exact: null }, kind);
      const touched = hit.vertex >= 0 ? [v, hit.vertex] : [v];
      const change = { what: 'add-crease', from: [ox, oy], to, kind } as const;
      yield { change, pattern: changed, touched, price: PRICE.add };
    }
  }
}

function* moves(pattern: Pattern, around: Around, vertex: number): Generator<Candidate> {
  const here = pattern.vertices[vertex];
  const star = pattern.creases.filter(({ from, to }) => from === vertex || to === vertex);
  if (star.some(({ kind }) => kind === 'B' || kind === 'C')) return;
  const neighbours = star.map(({ from, to }) => (from === vertex ? to : from));
  const folded = neighbours.filter((_, i) => star[i].kind !== 'F');
  const tried = new Set<string>();
  const places = [...latticePlaces(pattern, here), ...kawasakiPlaces(pattern, around, vertex, folded)];
  for (const place of places) {
    const key = place.at.map((x) => x.toFixed(9)).join(' ');
    if (tried.has(key) || Math.hypot(...difference(place.at, here)) < SAME_PLACE) continue;
    tried.add(key);
    if (neighbours.some((w) => Math.hypot(...difference(pattern.vertices[w], place.at)) < SAME_PLACE)) continue;
    const moved = moveVertex(pattern, vertex, place);
    if (starCrosses(moved, vertex)) continue;
    const change = { what: 'move-vertex', vertex, to: place.at } as const;
    yield { change, pattern: moved, touched: [vertex, ...neighbours], price: PRICE.move };
  }
}
