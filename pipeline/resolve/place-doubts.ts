/** What is doubtful about places that no grid confirms. */
import type { Pattern, Sheet } from '../types.ts';
import { type Finding, middleOf } from './doubt-list.ts';

/** A place is right if it is this near the true one, pattern units: about a stroke's width on a small print. */
const NEAR_ENOUGH = 0.006;
/** Creases whose places are surer than this are not named. */
const WORTH_NAMING = 0.92;
/**
 * Sides tell little of how a sheet bends within: inner places may be off together by this share of the sides' bow, however well the sides are met. Common practice,
 * no source; two photographs without a grid were off by 0.55 and 0.7 of it at most.
 */
const LEFT_OF_CURL = 0.3;

/**
 * Creases with an end that is shown where it was measured, where its line strays, or runs at a shallow angle to those that it meets, the sheet was bent, or its
 * proportions were measured.
 *
 * @param spread normal spread of each vertex in the direction in which it is least well known, pattern units
 * @param common how far places may be off together, in either direction, however well they agree
 */
export function placeFindings(pattern: Pattern, spread: ArrayLike<number>, common: number, sheet: Sheet): Finding[] {
  const { lattice, vertices, exact, creases } = pattern;
  const isOnGrid = lattice?.kind === 'square' || lattice?.kind === 'hex';
  const proportions = sheet.proportionSpread ?? 0;
  const isCorner = (v: number) => sheet.polygon.some(([x, y]) => vertices[v][0] === x && vertices[v][1] === y);
  const isLoose = vertices.map((_, v) => !isOnGrid && !exact[v] && !isCorner(v));
  // The longer side is 1 whatever the proportions.
  const spreadOf = vertices.map(([x, y], v) =>
    Math.hypot(isLoose[v] ? spread[v] : 0, proportions * (sheet.width < sheet.height ? x : y)),
  );
  const off = Math.max(common, LEFT_OF_CURL * (sheet.bow ?? 0));
  // In two directions at once (Rayleigh 1880).
  const together = off > 0 ? 1 - Math.exp(-(NEAR_ENOUGH ** 2) / (2 * off ** 2)) : 1;
  const chanceOf = (v: number): number => Math.min(nearEnough(spreadOf[v]), isLoose[v] ? together : 1);
  return creases.flatMap(({ from, to }, crease): Finding[] => {
    const probability = chanceOf(from) * chanceOf(to);
    if (probability >= WORTH_NAMING) return [];
    const offPercent = Math.round(Math.max(spreadOf[from], spreadOf[to], off) * 1000) / 10;
    return [
      {
        what: 'place-unsure',
        crease,
        at: middleOf(pattern, crease),
        facts: { offPercent },
        probability,
        instead: 'other',
      },
    ];
  });
}

/** Chance that a normal error of this spread is small enough: the error function after Abramowitz & Stegun (1964), 7.1.27, good to 5e-4. */
function nearEnough(spread: number): number {
  if (spread === 0) return 1;
  const x = NEAR_ENOUGH / (spread * Math.SQRT2);
  return 1 - 1 / (1 + 0.278393 * x + 0.230389 * x ** 2 + 0.000972 * x ** 3 + 0.078108 * x ** 4) ** 4;
}
