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

/** The turn that tells a line through two middles from one beside them, radians. */
const NUDGE = 1e-4;

/**
 * True where so few pieces that patches cannot be told lie on both sides of a straight line, one sort on each: light that falls on half the sheet parts them so. A
 * line that parts them can be turned until it touches two of them.
 */
export function mayBeHalves(own: readonly Pick<Feature, 'middle'>[], strong: readonly boolean[]): boolean {
  if (own.length > 2 * NEIGHBOURS) return false;
  return own.some(({ middle: [x, y] }, i) =>
    own.slice(i + 1).some(({ middle }) => {
      const along = Math.atan2(middle[1] - y, middle[0] - x);
      return [along - NUDGE, along + NUDGE].some((angle) => isCutAcross(own, strong, angle + Math.PI / 2));
    }),
  );
}

/** Whether all of one sort come before all of the other in a direction, radians. */
function isCutAcross(own: readonly Pick<Feature, 'middle'>[], strong: readonly boolean[], angle: number): boolean {
  const [low, high] = [
    [Infinity, Infinity],
    [-Infinity, -Infinity],
  ];
  own.forEach(({ middle: [x, y] }, i) => {
    const at = x * Math.cos(angle) + y * Math.sin(angle);
    const sort = strong[i] ? 1 : 0;
    low[sort] = Math.min(low[sort], at);
    high[sort] = Math.max(high[sort], at);
  });
  return high[0] < low[1] || high[1] < low[0];
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
