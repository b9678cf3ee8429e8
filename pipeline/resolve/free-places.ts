/** Places that no grid gives: what of the drawing fixes them, and how well. */
import { isByHand, unsteadiness } from '../graph/steadiness.ts';
import type { Lattice, Pattern, Sheet } from '../types.ts';
import { type Adjustment, adjustPlaces } from './adjust.ts';
import { type Assembly, assemble } from './assemble.ts';
import type { Draft } from './draft.ts';
import { isUnsteady } from './hypotheses.ts';
import { joinInto } from './twins.ts';

/** However sharp the picture, a line is known no better, px: the outline is not, nor how the sheet lay. Common practice, no source. */
const LEAST_STRAY_PX = 0.4;
/** What a flattened bend leaves behind, as a share of the bow of the sheet's sides. Common practice, no source. */
const LEFT_OF_BOW = 0.2;
/** A hand lays its lines beside where they were meant by this at least, pattern units, however straight they are. Common practice, no source. */
const HAND_STRAY = 0.003;
/** Where a hand drew lines past each other, how far each strays as a share of the radius within which they were joined. */
const LEFT_OF_MEETING = 0.3;
/** A line runs in a family's direction where it turns from it by no more than this, radians, and what its ends may stray. */
const NEAR_DIRECTION = (0.7 * Math.PI) / 180;
const MOST_SPREADS = 3;

/** Families of directions, as parts of half a turn. */
const PARTS: Partial<Record<string, number>> = { angle22: 8, hex: 6 };

/** Adjusts the places that are not exact; where they are too many they stay as measured, and are known as well as the middle one of the lines. */
export function freePlaces(pattern: Pattern, { partsOf }: Assembly, draft: Draft, sheet: Sheet): Adjustment {
  const carrierOf = partsOf.map(([part]) => draft.parts[part].carrier);
  const { carriers } = draft;
  const common = commonStray(draft, sheet);
  const hand = isByHand(unsteadiness(carriers), draft.px) ? HAND_STRAY : 0;
  const all = Math.hypot(LEAST_STRAY_PX * draft.px, Math.max(hand, common));
  const strays = Float64Array.from(carriers, ({ residual }) => Math.hypot(residual, all));
  const parts = PARTS[pattern.lattice?.kind ?? 'none'];
  const directions = new Float64Array(carriers.length).fill(Number.NaN);
  const spans = spansOf(pattern, carrierOf, draft);
  if (parts) {
    carriers.forEach(({ dx, dy }, l) => {
      const at = (Math.atan2(dy, dx) / Math.PI) * parts;
      const off = (Math.abs(at - Math.round(at)) / parts) * Math.PI;
      if (off < NEAR_DIRECTION + (MOST_SPREADS * strays[l]) / spans[l])
        directions[l] = (Math.round(at) / parts) * Math.PI;
    });
  }
  const adjusted = adjustPlaces(pattern, { carriers, carrierOf, strays, directions });
  if (adjusted) return adjusted;
  const used = Float64Array.from(new Set(carrierOf), (l) => strays[l]).sort();
  const spread = used[used.length >> 1] ?? 0;
  return { vertices: pattern.vertices, spread: Float64Array.from(pattern.exact, (point) => (point ? 0 : spread)) };
}

/** How far places may be off together, pattern units: where a bend is left in the sheet or a fold may be, or a hand missed its outline, lines agree with each other all the same. */
export function commonStray({ meet }: Draft, { unexplainedBow = 0, placeSpread = 0 }: Sheet): number {
  return Math.max(isUnsteady(meet) ? LEFT_OF_MEETING * meet : 0, LEFT_OF_BOW * unexplainedBow, placeSpread);
}

/** No crease is so short, pattern units: ends that come to lie nearer to each other are one. */
const MET = 0.001;

/**
 * Joins the ends of creases that lie in one place once they are adjusted: lines that a hand drew past a corner, or past each other, part there a little. In place.
 *
 * @returns whether anything was joined
 */
export function joinMet(draft: Draft, lattice: Lattice, sheet: Sheet): boolean {
  const assembly = assemble(draft);
  const { vertices, exact, creases, vertexOf } = assembly;
  const pattern: Pattern = { vertices, exact, creases, lattice };
  const { vertices: moved } = freePlaces(pattern, assembly, draft, sheet);
  const draftVertex = new Int32Array(vertices.length);
  vertexOf.forEach((v, d) => {
    if (v >= 0) draftVertex[v] = d;
  });
  const home = new Map<number, number>();
  for (const { from, to } of creases) {
    const apart = Math.hypot(moved[to][0] - moved[from][0], moved[to][1] - moved[from][1]);
    if (apart > MET || (exact[from] && exact[to])) continue;
    const [keep, go] = (exact[to] ? [to, from] : [from, to]).map((v) => draftVertex[v]);
    if (!home.has(keep) && !home.has(go)) home.set(go, keep);
  }
  return joinInto(draft, home);
}

/** Length of each carrier from its first vertex to its last, pattern units. */
function spansOf({ vertices, creases }: Pattern, carrierOf: readonly number[], { carriers }: Draft): Float64Array {
  const low = new Float64Array(carriers.length).fill(Infinity);
  const high = new Float64Array(carriers.length).fill(-Infinity);
  creases.forEach(({ from, to }, i) => {
    const l = carrierOf[i];
    for (const v of [from, to]) {
      const t = carriers[l].dx * vertices[v][0] + carriers[l].dy * vertices[v][1];
      low[l] = Math.min(low[l], t);
      high[l] = Math.max(high[l], t);
    }
  });
  return high.map((to, l) => to - low[l]);
}

/** The same draft, parts and all, with its vertices where the pattern's will be: angles as measured lead the laws astray where a vertex lies beside its place. */
export function atAdjustedPlaces(draft: Draft, lattice: Lattice, sheet: Sheet): Draft {
  const assembly = assemble(draft);
  const { vertices, exact, creases, vertexOf } = assembly;
  if (exact.every((place) => place !== null)) return draft;
  const moved = freePlaces({ vertices, exact, creases, lattice }, assembly, draft, sheet).vertices;
  return { ...draft, vertices: draft.vertices.map((place, d) => (vertexOf[d] < 0 ? place : moved[vertexOf[d]])) };
}
