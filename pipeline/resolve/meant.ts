/** The drawing as a hand meant it: its lines laid where they hang on the sheet and on each other. */
import type { PatternPoint } from '../types.ts';
import type { LineGraph } from './line-graph.ts';

/** Lines at smaller angles, sine, do not tell where they meet. */
const LEAST_SINE = 0.3;
/** Lines that were meant to meet do so within this, pattern units: rounding. */
const ROUNDING = 1e-5;

/**
 * The graph with every line where it was meant, and vertices where such lines meet; other lines and vertices as measured. Null for
 * drawings of which nothing of the kind is known.
 */
export function asMeant(graph: LineGraph): LineGraph | null {
  const { carriers, pieces, vertices } = graph;
  if (!carriers.some((c) => c.meant)) return null;
  const laid = carriers.map((c) => {
    if (!c.meant) return c;
    const sense = Math.sign(c.meant.nx * c.nx + c.meant.ny * c.ny);
    const [nx, ny, off] = [sense * c.meant.nx, sense * c.meant.ny, sense * c.meant.off];
    return { ...c, nx, ny, off, dx: ny, dy: -nx };
  });
  const known: Set<number>[] = vertices.map(() => new Set());
  for (const { from, to, carrier, border } of pieces) {
    if (!border && !carriers[carrier].meant && !carriers[carrier].grid) continue;
    known[from].add(carrier);
    known[to].add(carrier);
  }
  const places = vertices.map((place, v): PatternPoint => {
    const own = [...known[v]].map((c) => laid[c]);
    for (const a of own) {
      for (const b of own) {
        const sine = a.nx * b.ny - a.ny * b.nx;
        if (sine < LEAST_SINE) continue;
        const [x, y] = [(a.off * b.ny - b.off * a.ny) / sine, (a.nx * b.off - b.nx * a.off) / sine];
        if (own.every((c) => Math.abs(c.nx * x + c.ny * y - c.off) < ROUNDING)) return [x, y];
      }
    }
    return place;
  });
  return { ...graph, carriers: laid, vertices: places, meet: 0 };
}
