/** What is doubtful about places that no grid confirms. */
import type { Pattern, Sheet } from '../types.ts';
import { type Finding, middleOf } from './doubt-list.ts';
import type { Draft } from './draft.ts';
import { isUnsteady } from './hypotheses.ts';

/**
 * What a flattened bend leaves behind between its straightened lines, as a share of the bow of the sheet's sides: along
 * a straight line the paper may still be stretched, which its straightness does not show. Common practice, no source.
 */
const LEFT_OF_BOW = 0.2;
/** Where a hand drew lines past each other, their vertex lies between them: its spread as a share of the radius within which they were joined. */
const LEFT_OF_MEETING = 0.3;
/** A place is right if it is this near the true one, pattern units: about a stroke's width on a small print. */
const NEAR_ENOUGH = 0.006;
/** Creases whose places are surer than this are not named. */
const WORTH_NAMING = 0.92;

/**
 * Creases with an end that is shown where it was measured, where strokes stray or the sheet was bent: a normal spread
 * in both directions puts an end within reach with 1 - exp(-r^2 / 2 s^2) (Rayleigh 1880).
 */
export function placeFindings(pattern: Pattern, draft: Draft, sheet: Sheet): Finding[] {
  if (pattern.lattice?.kind === 'square' || pattern.lattice?.kind === 'hex') return [];
  const meeting = isUnsteady(draft.meet) ? LEFT_OF_MEETING * draft.meet : 0;
  const spread = Math.max(strayOf(draft), meeting, LEFT_OF_BOW * (sheet.unexplainedBow ?? 0));
  const nearEnough = 1 - Math.exp(-(NEAR_ENOUGH ** 2) / (2 * spread ** 2));
  const isCorner = (v: number) =>
    sheet.polygon.some(([x, y]) => pattern.vertices[v][0] === x && pattern.vertices[v][1] === y);
  return pattern.creases.flatMap(({ from, to }, crease): Finding[] => {
    const loose = [from, to].filter((v) => !pattern.exact[v] && !isCorner(v)).length;
    const probability = nearEnough ** loose;
    if (probability >= WORTH_NAMING) return [];
    const offPercent = Math.round(spread * 1000) / 10;
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

/** How far strokes stray from their lines, the middle one of the lines that carry creases, pattern units. */
function strayOf({ carriers, parts }: Draft): number {
  const used = new Set(parts.flatMap(({ present, border, carrier }) => (present && !border ? [carrier] : [])));
  const strays = Float64Array.from([...used], (c) => carriers[c].residual).sort();
  return strays[strays.length >> 1] ?? 0;
}
