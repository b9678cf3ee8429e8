/** Changes to a pattern that leave the given one as it is. */
export { crossingOf } from '../geometry/crossing.ts';

import type { Crease, ExactPoint, Kind, Pattern, PatternPoint } from '../types.ts';

/** A place for a vertex, with its exact coordinates where they are known. */
export interface Place {
  readonly at: PatternPoint;
  readonly exact: ExactPoint | null;
}

export function setKinds(pattern: Pattern, kinds: ReadonlyMap<number, Kind>): Pattern {
  return {
    ...pattern,
    creases: pattern.creases.map((crease, c) => ({ ...crease, kind: kinds.get(c) ?? crease.kind })),
  };
}

export function dropCrease(pattern: Pattern, crease: number): Pattern {
  return { ...pattern, creases: pattern.creases.filter((_, c) => c !== crease) };
}

export function moveVertex(pattern: Pattern, vertex: number, { at, exact }: Place): Pattern {
  return {
    ...pattern,
    vertices: pattern.vertices.with(vertex, at),
    exact: pattern.exact.with(vertex, exact),
  };
}

/** A new crease from a vertex to another one. */
export function addCrease(pattern: Pattern, from: number, to: number, kind: Kind): Pattern {
  return { ...pattern, creases: [...pattern.creases, { from, to, kind }] };
}

/** A new crease from a vertex to a new one that splits another crease. */
export function addCreaseInto(
  pattern: Pattern,
  from: number,
  split: number,
  { at, exact }: Place,
  kind: Kind,
): Pattern {
  const added = pattern.vertices.length;
  const old = pattern.creases[split];
  const creases: Crease[] = [...pattern.creases];
  creases[split] = { ...old, to: added };
  creases.push({ ...old, from: added }, { from, to: added, kind });
  return { ...pattern, vertices: [...pattern.vertices, at], exact: [...pattern.exact, exact], creases };
}
