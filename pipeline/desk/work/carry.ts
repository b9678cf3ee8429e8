import type { Crease, Kind, Pattern } from '../../types.ts';
import { nearness } from './draft.ts';
import type { DeskState } from './work.ts';

/**
 * Takes a person's answers over to a new reading of the picture: a crease with the same two ends, within a fraction of the
 * grid's step, gets the kind that the person gave it. What was drawn or erased is not carried.
 */
export function carryAnswers(old: DeskState, fresh: DeskState): DeskState {
  const near = Math.max(nearness(old), nearness(fresh));
  const kinds = new Map<number, Kind>();
  old.pattern.creases.forEach((crease, c) => {
    if (old.evidence[c].origin !== 'edited') return;
    const same = fresh.pattern.creases.findIndex((other) => sameEnds(old.pattern, crease, fresh.pattern, other, near));
    if (same >= 0) kinds.set(same, crease.kind);
  });
  if (kinds.size === 0) return fresh;
  return {
    ...fresh,
    pattern: {
      ...fresh.pattern,
      creases: fresh.pattern.creases.map((crease, c) => ({ ...crease, kind: kinds.get(c) ?? crease.kind })),
    },
    evidence: fresh.evidence.map((one, c) => (kinds.has(c) ? { ...one, origin: 'edited' } : one)),
    doubts: fresh.doubts.map((doubt) =>
      doubt.crease !== undefined && kinds.has(doubt.crease) ? { ...doubt, settled: true } : doubt,
    ),
  };
}

function sameEnds(one: Pattern, a: Crease, other: Pattern, b: Crease, near: number): boolean {
  const gap = (v: number, w: number) =>
    Math.hypot(one.vertices[v][0] - other.vertices[w][0], one.vertices[v][1] - other.vertices[w][1]);
  const straight = Math.max(gap(a.from, b.from), gap(a.to, b.to));
  const turned = Math.max(gap(a.from, b.to), gap(a.to, b.from));
  return Math.min(straight, turned) <= near;
}
