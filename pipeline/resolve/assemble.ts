import type { Bend } from '../geometry/bend.ts';
import { unbend } from '../geometry/bend.ts';
import { patternToPaper } from '../geometry/frames.ts';
import type { Crease, Evidence, ExactPoint, Kind, Odds, PatternPoint, PicturePoint, Sheet } from '../types.ts';
import type { Draft } from './draft.ts';

/** Creases with their evidence, before exact places and doubts. */
export interface Assembly {
  readonly vertices: readonly PatternPoint[];
  readonly exact: readonly (ExactPoint | null)[];
  readonly creases: readonly Crease[];
  readonly evidence: readonly Evidence[];
  /** Parts of the draft that each crease is made of. */
  readonly partsOf: readonly (readonly number[])[];
  /** Pattern vertex of each vertex of the draft, -1 for none. */
  readonly vertexOf: Int32Array;
}

interface Piece {
  from: number;
  to: number;
  readonly carrier: number;
  readonly kind: Kind;
  odds: Odds;
  coverage: number;
  length: number;
  readonly origin: Evidence['origin'];
  readonly made: number[];
}

/** Parts that are present become creases; straight neighbours of one kind with nothing between them become one. */
export function assemble({ vertices, exact, parts, carriers }: Draft): Assembly {
  const pieces = parts.flatMap((part, p): Piece[] =>
    part.present ? [{ ...part, odds: part.belief, length: part.t1 - part.t0, made: [p] }] : [],
  );
  const joined = joinStraight(pieces, vertices.length);
  const number = new Int32Array(vertices.length).fill(-1);
  const keptVertices: PatternPoint[] = [];
  const keptExact: (ExactPoint | null)[] = [];
  const renumber = (v: number) => {
    if (number[v] < 0) {
      number[v] = keptVertices.length;
      keptVertices.push(vertices[v]);
      keptExact.push(exact[v]);
    }
    return number[v];
  };
  const creases = joined.map((p) => ({ from: renumber(p.from), to: renumber(p.to), kind: p.kind }));
  const evidence = joined.map((p) => ({
    odds: p.odds,
    coverage: p.coverage,
    residual: carriers[p.carrier].residual,
    origin: p.origin,
  }));
  return {
    vertices: keptVertices,
    exact: keptExact,
    creases,
    evidence,
    partsOf: joined.map(({ made }) => made),
    vertexOf: number,
  };
}

/** A vertex with just two creases, straight and of one kind, is no vertex. */
function joinStraight(parts: Piece[], vertexCount: number): Piece[] {
  const at: Set<Piece>[] = Array.from({ length: vertexCount }, () => new Set());
  for (const p of parts) {
    at[p.from].add(p);
    at[p.to].add(p);
  }
  for (const own of at) {
    if (own.size !== 2) continue;
    const [a, b] = own;
    if (a.carrier !== b.carrier || a.kind !== b.kind || a === b) continue;
    // Pieces run forth along their carrier: one ends where the other begins.
    const [first, second] = a.to === b.from ? [a, b] : b.to === a.from ? [b, a] : [null, null];
    if (!first || !second) continue;
    const length = first.length + second.length;
    const mix = (u: number, v: number) => (u * first.length + v * second.length) / length;
    first.odds = {
      mountain: mix(first.odds.mountain, second.odds.mountain),
      valley: mix(first.odds.valley, second.odds.valley),
      edge: mix(first.odds.edge, second.odds.edge),
      guide: mix(first.odds.guide, second.odds.guide),
      absent: mix(first.odds.absent, second.odds.absent),
    };
    first.coverage = mix(first.coverage, second.coverage);
    first.length = length;
    first.made.push(...second.made);
    at[second.to].delete(second);
    at[second.to].add(first);
    first.to = second.to;
    own.clear();
    second.length = -1;
  }
  return parts.filter((p) => p.length >= 0);
}

/** A place of the pattern in ORIGINAL picture px, through the bend and the straightening. */
export function toPicturePx(at: PatternPoint, sheet: Sheet, bend: Bend, scale: number): PicturePoint {
  const [x, y] = unbend(bend, at[0], at[1]);
  const [px, py] = sheet.toPicture(patternToPaper(sheet, [x, y]));
  return [px / scale, py / scale];
}
