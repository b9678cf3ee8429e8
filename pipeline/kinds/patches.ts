import type { Feature } from './features.ts';

/** Neighbours compared for each piece, and the agreement beyond chance (Cohen 1960) that light alone makes. */
const NEIGHBOURS = 8;
const PATCHY = 0.6;

/** True where the pieces of one sort lie in patches, as glare and shadow make them, not mixed as a designer draws them. */
export function liesInPatches(own: readonly Pick<Feature, 'middle'>[], strong: readonly boolean[]): boolean {
  const share = strong.filter(Boolean).length / own.length;
  const chance = share * share + (1 - share) * (1 - share);
  if (own.length <= 2 * NEIGHBOURS || chance > 0.98) return false;
  const every = Math.max(1, Math.floor(own.length / 200));
  let agree = 0;
  let asked = 0;
  for (let i = 0; i < own.length; i += every) {
    const near = nearest(own, i);
    for (const k of near) if (strong[k] === strong[i]) agree++;
    asked += near.length;
  }
  return (agree / asked - chance) / (1 - chance) > PATCHY;
}

/** The nearest pieces to one of them, by their middles. */
function nearest(own: readonly Pick<Feature, 'middle'>[], i: number): number[] {
  const [x, y] = own[i].middle;
  const found: number[] = [];
  const gaps: number[] = [];
  for (let k = 0; k < own.length; k++) {
    if (k === i) continue;
    const gap = (own[k].middle[0] - x) ** 2 + (own[k].middle[1] - y) ** 2;
    if (found.length === NEIGHBOURS && gap >= gaps[NEIGHBOURS - 1]) continue;
    let at = Math.min(found.length, NEIGHBOURS - 1);
    for (; at > 0 && gaps[at - 1] > gap; at--) {
      found[at] = found[at - 1];
      gaps[at] = gaps[at - 1];
    }
    found[at] = k;
    gaps[at] = gap;
  }
  return found;
}
