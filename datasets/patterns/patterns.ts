/** True crease patterns with known coordinates and kinds: the entry point of the pattern data. */
import { traditionalBases } from './bases.ts';
import { makeBox } from './box.ts';
import type { NamedPattern, PatternFamily } from './family.ts';
import { makeAngle22, makeFree, makePolygon, makeRectangle } from './fold-angles.ts';
import { makeGrid, makePleat } from './fold-grid.ts';
import { makeGuided } from './guides.ts';
import { makeReverse } from './reverse.ts';
import { makeMiura, makeTwist, makeWaterbomb } from './tessellations.ts';

export { traditionalBases } from './bases.ts';
export type { NamedPattern, PatternFamily } from './family.ts';

const MAKERS: Readonly<Record<PatternFamily, (seed: number) => NamedPattern>> = {
  base: (seed) => {
    const bases = traditionalBases();
    return bases[((seed % bases.length) + bases.length) % bases.length];
  },
  pleat: makePleat,
  grid: makeGrid,
  angle22: makeAngle22,
  free: makeFree,
  miura: makeMiura,
  waterbomb: makeWaterbomb,
  twist: makeTwist,
  box: makeBox,
  rectangle: makeRectangle,
  polygon: makePolygon,
  reverse: makeReverse,
  guided: makeGuided,
};

export const patternFamilies = Object.keys(MAKERS) as readonly PatternFamily[];

/** The pattern of a family that belongs to a seed; the same seed always gives the same pattern. */
export function makePattern(family: PatternFamily, seed: number): NamedPattern {
  return MAKERS[family](seed);
}
