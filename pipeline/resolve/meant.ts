/** The drawing as a hand meant it: its lines laid where they hang on the sheet and on each other. */
import type { Carrier } from '../graph/carriers.ts';
import { laidOn } from '../graph/laid.ts';
import { EIGHTH, MOST_TURN } from '../graph/meant-strokes.ts';
import type { PatternPoint } from '../types.ts';
import type { LineGraph } from './line-graph.ts';

/** Lines at smaller angles, sine, do not tell where they meet. */
const LEAST_SINE = 0.3;
/** Lines that were meant to meet do so within this, pattern units: rounding. */
const ROUNDING = 1e-5;

/** The end of a short stroke strays so far, pattern units. */
const STRAY = 0.02;

/**
 * The graph with every line where it was meant, and vertices where such lines meet; other lines and vertices as measured. Null for
 * drawings of which nothing of the kind is known.
 */
export function asMeant(graph: LineGraph): LineGraph | null {
  const { carriers, pieces, vertices } = graph;
  if (!carriers.some((c) => c.meant)) return null;
  const laid = carriers.map((c) => (c.meant ? laidOn(c, c.meant) : c));
  const known: Set<number>[] = vertices.map(() => new Set());
  for (const { from, to, carrier, border } of pieces) {
    if (!border && !carriers[carrier].meant && !carriers[carrier].grid) continue;
    known[from].add(carrier);
    known[to].add(carrier);
  }
  const places = vertices.map((place, v) => meetingOf([...known[v]].map((c) => laid[c])) ?? place);
  layLoose(graph, laid, known, places);
  return { ...graph, carriers: laid, vertices: places, meet: 0 };
}

/** Where all of these lines meet; null where they do not, or run too nearly alike. */
function meetingOf(own: readonly Carrier[]): PatternPoint | null {
  for (const a of own) {
    for (const b of own) {
      const sine = a.nx * b.ny - a.ny * b.nx;
      if (sine < LEAST_SINE) continue;
      const [x, y] = [(a.off * b.ny - b.off * a.ny) / sine, (a.nx * b.off - b.nx * a.off) / sine];
      return own.every((c) => Math.abs(c.nx * x + c.ny * y - c.off) < ROUNDING) ? [x, y] : null;
    }
  }
  return null;
}

/**
 * Short strokes that have no meant line yet, from a vertex where such lines meet to one where they do not: laid in the direction of
 * the family nearest to them through the first, if that moves the other end by no more than a hand's stray. In place.
 */
function layLoose(
  { carriers, pieces }: LineGraph,
  laid: Carrier[],
  known: Set<number>[],
  places: PatternPoint[],
): void {
  const isMet = known.map((own) => meetingOf([...own].map((c) => laid[c])) !== null);
  const own = carriers.map((): Set<number> => new Set());
  for (const { from, to, carrier, border } of pieces) {
    if (border || carriers[carrier].meant || carriers[carrier].grid) continue;
    own[carrier].add(from).add(to);
  }
  own.forEach((ends, l) => {
    const met = [...ends].filter((v) => isMet[v]);
    if (ends.size !== 2 || met.length !== 1) return;
    const { dx, dy } = carriers[l];
    const [home] = met;
    const [far] = [...ends].filter((v) => v !== home);
    const angle = Math.atan2(dy, dx);
    const nearest = Math.round(angle / EIGHTH) * EIGHTH;
    const length = Math.hypot(places[far][0] - places[home][0], places[far][1] - places[home][1]);
    if (Math.abs(angle - nearest) > Math.min(MOST_TURN, STRAY / length)) return;
    const [cos, sin] = [Math.cos(nearest), Math.sin(nearest)];
    const line = { nx: -sin, ny: cos, off: cos * places[home][1] - sin * places[home][0], dx: cos, dy: sin };
    laid[l] = { ...carriers[l], ...line };
    known[far].add(l);
    places[far] = meetingOf([...known[far]].map((c) => laid[c])) ?? places[far];
  });
}
