import { patternToPaper } from '../../pipeline/geometry/frames.ts';
/** Graphs as a picture would give them: a true pattern with every line measured a little off. */

import { makeRandom } from '../../datasets/patterns/random.ts';
import { NO_BEND } from '../../pipeline/geometry/bend.ts';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import type { Piece, StrokeGraph } from '../../pipeline/graph/graph.ts';
import type { LatticeFit } from '../../pipeline/lattice/lattice.ts';
import type { Pattern, PatternPoint, Sheet } from '../../pipeline/types.ts';
import { sheetWith } from '../unit-sheet.ts';

export interface Drawn {
  readonly graph: StrokeGraph;
  readonly lattice: LatticeFit;
  readonly sheet: Sheet;
  /** Crease of the pattern that each piece is. */
  readonly creaseOf: readonly number[];
}

const PX_PER_UNIT = 1000;
const SAME_LINE = 1e-7;

/** @param spreadPx standard deviation of a line's place across itself, at a scale of 1000 px to the side */
export function drawn(pattern: Pattern, spreadPx: number, seed: number): Drawn {
  const random = makeRandom(seed);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random.range(0, 1))) * Math.cos(2 * Math.PI * random.range(0, 1));
  const spread = spreadPx / PX_PER_UNIT;
  const lines: { nx: number; ny: number; off: number; creases: number[]; side: boolean }[] = [];
  pattern.creases.forEach(({ from, to, kind }, c) => {
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    let [nx, ny] = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
    if (ny < -SAME_LINE || (Math.abs(ny) <= SAME_LINE && nx < 0)) [nx, ny] = [-nx, -ny];
    const off = nx * a[0] + ny * a[1];
    const side = kind === 'B';
    const known = lines.find(
      (l) =>
        l.side === side &&
        Math.abs(l.nx - nx) < SAME_LINE &&
        Math.abs(l.ny - ny) < SAME_LINE &&
        Math.abs(l.off - off) < SAME_LINE,
    );
    if (known) known.creases.push(c);
    else lines.push({ nx, ny, off, creases: [c], side });
  });
  // Sides come last, as in a graph from a picture.
  lines.sort((p, q) => Number(p.side) - Number(q.side));
  const step = stepOf(pattern);
  const carriers = lines.map((l): Carrier => {
    const along = l.creases.flatMap((c) => [pattern.creases[c].from, pattern.creases[c].to]);
    const t = along.map((v) => l.ny * pattern.vertices[v][0] - l.nx * pattern.vertices[v][1]);
    const [from, to] = [Math.min(...t), Math.max(...t)];
    const grid = l.side ? null : gridLine(l, step);
    const exactly = l.side || grid !== null;
    const turn = exactly ? 0 : (normal() * spread) / (to - from);
    const [nx, ny] = [l.nx - turn * l.ny, l.ny + turn * l.nx];
    const middle = [l.nx * l.off + (l.ny * (from + to)) / 2, l.ny * l.off - (l.nx * (from + to)) / 2];
    const off = nx * middle[0] + ny * middle[1] + (exactly ? 0 : normal() * spread);
    return {
      nx,
      ny,
      off,
      dx: ny,
      dy: -nx,
      grid,
      from,
      to,
      seen: new Uint8Array(0),
      beside: new Float32Array(0),
      residual: exactly ? 0 : spread,
    };
  });
  const at: Set<number>[] = pattern.vertices.map(() => new Set());
  lines.forEach((l, i) => {
    for (const c of l.creases) {
      at[pattern.creases[c].from].add(i);
      at[pattern.creases[c].to].add(i);
    }
  });
  const vertices = pattern.vertices.map((p, v) =>
    meet(
      p,
      [...at[v]].map((i) => carriers[i]),
    ),
  );
  const creaseOf: number[] = [];
  const pieces = lines.flatMap((l, carrier): Piece[] =>
    l.creases.map((c) => {
      const { dx, dy } = carriers[carrier];
      const ends = [pattern.creases[c].from, pattern.creases[c].to].map((v) => ({
        v,
        t: dx * vertices[v][0] + dy * vertices[v][1],
      }));
      ends.sort((p, q) => p.t - q.t);
      creaseOf.push(c);
      return { from: ends[0].v, to: ends[1].v, carrier, t0: ends[0].t, t1: ends[1].t, coverage: 1, border: l.side };
    }),
  );
  const { lattice } = pattern;
  const isSquare = lattice?.kind === 'square';
  return {
    graph: { carriers, vertices, pieces, rejected: [], dangling: [], dashHole: 0, meet: 0 },
    lattice: {
      pitch: isSquare ? { divisions: divisionsOf(pattern), halfUnits: lattice.halfUnits, explained: 1 } : null,
      step: step ?? 0,
      bend: NO_BEND,
      spread: isSquare ? spread : 0,
      straight: [],
    },
    sheet: sheetOf(pattern),
    creaseOf,
  };
}

function divisionsOf({ lattice }: Pattern): number {
  return Math.max(lattice?.divisionsX ?? 0, lattice?.divisionsY ?? 0);
}

function stepOf(pattern: Pattern): number | null {
  if (pattern.lattice?.kind !== 'square') return null;
  return 1 / (divisionsOf(pattern) * (pattern.lattice.halfUnits ? 2 : 1));
}

function gridLine(l: { nx: number; ny: number; off: number }, step: number | null): Carrier['grid'] {
  if (step === null) return null;
  const direction = [0, 1, 2, 3].find((d) => {
    const angle = (d * Math.PI) / 4;
    return Math.abs(Math.cos(angle) * l.nx + Math.sin(angle) * l.ny) < SAME_LINE;
  });
  if (direction === undefined) return null;
  // The grid writes a line as a x + b y = index * step with a and b of 0 or 1 in size, b first to be positive.
  const [a, b] = [
    [0, 1],
    [-1, 1],
    [1, 0],
    [1, 1],
  ][direction];
  const at = (l.off * (a * l.nx + b * l.ny > 0 ? 1 : -1) * Math.hypot(a, b)) / step;
  const index = Math.round(at);
  return Math.abs(at - index) < SAME_LINE / step ? { direction, index } : null;
}

/** Least-squares meeting point of lines; sides and grid lines weigh most. */
function meet([x, y]: PatternPoint, through: readonly Carrier[]): PatternPoint {
  let [a, b, d, u, v] = [0, 0, 0, 0, 0];
  for (const c of through) {
    const weight = c.grid || c.residual === 0 ? 1e6 : 1;
    const off = c.off - c.nx * x - c.ny * y;
    a += weight * c.nx * c.nx;
    b += weight * c.nx * c.ny;
    d += weight * c.ny * c.ny;
    u += weight * c.nx * off;
    v += weight * c.ny * off;
  }
  const det = a * d - b * b;
  return det < 1e-9 * a * d ? [x, y] : [x + (d * u - b * v) / det, y + (a * v - b * u) / det];
}

/** The sheet on a made-up picture in which it lies straight, a margin around it. */
function sheetOf(pattern: Pattern): Sheet {
  const polygon = outlineOf(pattern);
  const sheet = sheetWith(PX_PER_UNIT, 50, undefined, polygon);
  const corners = polygon.map((p) => sheet.toPicture(patternToPaper(sheet, p)));
  return { ...sheet, outline: { ...sheet.outline, corners, how: 'drawn-border' } };
}

/** Corners of the outline, counterclockwise from the lowest on, the leftmost of these. */
function outlineOf({ vertices, creases }: Pattern): PatternPoint[] {
  const next = new Map<number, number[]>();
  for (const { from, to, kind } of creases) {
    if (kind !== 'B') continue;
    next.set(from, [...(next.get(from) ?? []), to]);
    next.set(to, [...(next.get(to) ?? []), from]);
  }
  const ring: number[] = [];
  let [before, at] = [-1, [...next.keys()][0]];
  do {
    ring.push(at);
    const [p, q] = next.get(at)!;
    [before, at] = [at, p === before ? q : p];
  } while (at !== ring[0]);
  const cross = (i: number, j: number, k: number) =>
    (vertices[j][0] - vertices[i][0]) * (vertices[k][1] - vertices[j][1]) -
    (vertices[j][1] - vertices[i][1]) * (vertices[k][0] - vertices[j][0]);
  const n = ring.length;
  let corners = ring.filter((v, i) => Math.abs(cross(ring[(i + n - 1) % n], v, ring[(i + 1) % n])) > 1e-9);
  let area = 0;
  corners.forEach((v, i) => {
    const w = corners[(i + 1) % corners.length];
    area += vertices[v][0] * vertices[w][1] - vertices[w][0] * vertices[v][1];
  });
  if (area < 0) corners = corners.reverse();
  const first = corners.reduce((best, v, i) => {
    const [x, y] = vertices[v];
    const [bx, by] = vertices[corners[best]];
    return y < by - 1e-9 || (Math.abs(y - by) <= 1e-9 && x < bx) ? i : best;
  }, 0);
  return [...corners.slice(first), ...corners.slice(0, first)].map((v) => vertices[v]);
}
