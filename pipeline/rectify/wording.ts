/** How sure the outline is, on what ground it stands, and the sentences for it. */
import type { Outline } from '../types.ts';
import type { Found } from './outline.ts';

/** A side is called drawn from this share of ink along it. */
const DRAWN_SUPPORT = 0.6;

/** The weakest ground that any side stands on. */
export function howFound(found: Found): Outline['how'] {
  const bare = found.kinds.filter((_, k) => found.evidence.support[k] < DRAWN_SUPPORT);
  if (bare.length === 0) return 'drawn-border';
  if (bare.some((kind) => kind !== 'picture' && kind !== 'sheet')) return 'outermost-ink';
  return bare.includes('picture') ? 'picture-edge' : 'sheet-edge';
}

/** What was taken for granted, side by side where a side is not drawn. */
export function assumptions(found: Found): string[] {
  const out: string[] = [];
  const count = { picture: 0, sheet: 0, ink: 0 };
  found.kinds.forEach((kind, k) => {
    if (found.evidence.support[k] >= DRAWN_SUPPORT) return;
    if (kind === 'picture') count.picture++;
    else if (kind === 'sheet') count.sheet++;
    else count.ink++;
  });
  const sides = (n: number): string => (n === 1 ? 'one side' : `${n} sides`);
  if (count.picture) out.push(`${sides(count.picture)} taken at the picture's edge: no border is drawn there`);
  if (count.sheet) out.push(`${sides(count.sheet)} taken at the sheet's edge on the desk: no border is drawn there`);
  if (count.ink)
    out.push(`${sides(count.ink)} taken through the outermost ends of the creases: no border is drawn there`);
  return out;
}

export function outlineProbability(found: Found): number {
  return 1 / (1 + Math.exp(-(found.score - 1.5) * 1.5));
}
