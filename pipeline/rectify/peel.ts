/**
 * Frames around the pattern: a page's frame, a scanner's shadow along the sheet, a double border. An outline gives way to a drawn one inside it when hardly
 * any line leads from the one to the other: creases end at the border, and nothing goes on from there.
 */
import { candidatesOn } from './candidates.ts';
import { type Curve, rulerOf } from './curve.ts';
import { depthIn, LIKELY, likeness } from './evidence.ts';
import { polygonArea } from './polygon.ts';
import { type Found, refine } from './refine.ts';

/** The inner outline has this support on each side at least. */
const LEAST_SUPPORT = 0.75;
/** Creases that end at it. */
const LEAST_ENDS = 2;
/** Share of the outer outline's area. */
const LEAST_AREA = 0.12;
/** The gap between both, as a share of the size, under which they are the same line. */
const LEAST_GAP = 0.012;
/** Lines from the inner to the outer outline that may be accidents: a word's stroke, an arrow. */
const MOST_LINKS = 1;
/** Links paler than this share of the inner border's ink do not count: ruled and squared paper. */
const LINK_CONTRAST = 0.5;
/** Lines between both, as a share of those within the inner one: more is drawing, not frame and words. */
const MOST_BETWEEN = 0.5;
/** Points looked at along a chain at least, and along so much of it as the gap is wide. */
const STEPS = 16;
const STEPS_A_GAP = 6;

/** The innermost outline that stands free within `outer`, or `outer` itself. */
export function peel(outer: Found): Found {
  const { map, marks } = outer;
  const size = Math.sqrt(Math.abs(polygonArea(outer.corners)));
  const gap = Math.max(4, LEAST_GAP * size);
  const rulers = outer.sides.map(rulerOf);
  // Nearly all of the chain: a label beside the border may have joined with it.
  const inside = (c: number): boolean => {
    const { ax, ay, bx, by } = marks.chains[c];
    let deep = 0;
    for (let k = 0; k <= STEPS; k++) {
      if (depthIn(rulers, ax + ((bx - ax) * k) / STEPS, ay + ((by - ay) * k) / STEPS) > gap) deep++;
    }
    return deep >= STEPS;
  };
  const ground = { marks, takes: inside, known: [], onSheet: outer.onSheet };
  let best: Found | null = null;
  for (const candidate of candidatesOn(ground, map)) {
    if (Math.abs(polygonArea(candidate.sides.map((c) => c.from))) < LEAST_AREA * size * size || candidate.quick < QUICK)
      continue;
    const found = refine([candidate]);
    if (!found || (best && best.score >= found.score)) continue;
    const { support, ends } = found.evidence;
    if (Math.min(...support) < LEAST_SUPPORT || ends.reduce((s, n) => s + n, 0) < LEAST_ENDS) continue;
    if (!found.corners.every((p) => depthIn(rulers, p[0], p[1]) > gap)) continue;
    if (standsFree(outer, found, gap)) best = found;
  }
  return best ?? outer;
}

/** Whether hardly any line leads from the one outline to the other, and little is drawn between them. `gap`: how far apart they are at least, px. */
export function standsFree(
  outer: Pick<Found, 'marks'> & { sides: readonly Curve[] },
  inner: Found,
  gap: number,
): boolean {
  const { links, between, within } = linesOf(outer, inner, gap);
  return links <= MOST_LINKS && between <= MOST_BETWEEN * within;
}

/** Quick score under which an inner candidate is not traced. */
const QUICK = 0.6;

interface Lines {
  /** Chains that lead from the inner outline, or from within it, to the outer one. */
  readonly links: number;
  /** Length of the chains that lie between both, and of those within the inner one, working px. */
  readonly between: number;
  readonly within: number;
}

function linesOf(outer: Parameters<typeof standsFree>[0], inner: Found, gap: number): Lines {
  const strength = LINK_CONTRAST * borderContrast(inner);
  const like = likeness(outer.marks, inner.sides);
  const [outerSides, innerSides] = [outer.sides.map(rulerOf), inner.sides.map(rulerOf)];
  let [links, between, within] = [0, 0, 0];
  for (const [c, chain] of outer.marks.chains.entries()) {
    if (chain.contrast < strength || chain.inkLength < gap || like(c) < LIKELY) continue;
    let atOuter = false;
    let atInner = false;
    let [outside, deep] = [0, 0];
    // A long chain crosses a narrow gap between two points of a few.
    const length = Math.hypot(chain.bx - chain.ax, chain.by - chain.ay);
    const steps = Math.max(STEPS, Math.ceil((STEPS_A_GAP * length) / gap));
    for (let k = 0; k <= steps; k++) {
      const x = chain.ax + ((chain.bx - chain.ax) * k) / steps;
      const y = chain.ay + ((chain.by - chain.ay) * k) / steps;
      const out = depthIn(outerSides, x, y);
      const inn = depthIn(innerSides, x, y);
      if (Math.abs(out) < 0.5 * gap) atOuter = true;
      if (inn > -0.5 * gap) atInner = true;
      if (out > 0.25 * gap && inn < -0.25 * gap) outside++;
      if (inn > 0.25 * gap) deep++;
    }
    if (atOuter && outside > 0 && atInner) links++;
    between += (chain.inkLength * outside) / (steps + 1);
    within += (chain.inkLength * deep) / (steps + 1);
  }
  return { links, between, within };
}

function borderContrast(found: Found): number {
  const { network } = found;
  const sides = found.sides.map(rulerOf);
  let sum = 0;
  let weight = 0;
  for (let i = 0; i < network.count; i++) {
    if (Math.abs(depthIn(sides, network.x[i], network.y[i])) > 3) continue;
    sum += network.contrast[i] * network.weight[i];
    weight += network.weight[i];
  }
  return weight > 0 ? sum / weight : 0;
}
