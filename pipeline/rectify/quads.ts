/** Quadrilaterals that may be the sheet, from the lines at the rim of one network. */
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import { crossing, hugPolygon, isConvex, polygonArea, turn, type WorkPoint } from './polygon.ts';

/** Where a side of a guess comes from. */
export type SideKind = 'ink' | 'hull' | 'sheet' | 'picture';

/** A side that is known from something other than this network's ink: the sheet's edge on the desk, the picture's own edge. */
export interface KnownLine {
  readonly from: WorkPoint;
  readonly to: WorkPoint;
  readonly kind: 'sheet' | 'picture';
}

/** A straight line through `p` along the unit vector `u`, with the network's centre on its right (screen clockwise travel). */
interface RimLine {
  readonly p: WorkPoint;
  readonly u: WorkPoint;
  /** Ink length along it, px; 0 for a line of the hull. */
  readonly drawn: number;
  /** Share of the network's ink that lies outside it. */
  readonly outside: number;
  readonly kind: SideKind;
}

export interface QuadGuess {
  /** Clockwise on the screen. */
  readonly corners: readonly WorkPoint[];
  /** Kind of the side from each corner to the next. */
  readonly kinds: readonly SideKind[];
  readonly score: number;
  /** Kept beside the best ones, whatever its score. */
  readonly reserved?: boolean;
}

/** A rim line has at most this share of the network's ink outside: words that touch, overshoots. */
const MOST_OUTSIDE = 0.15;
/** Drawn rim lines are at least this share of the network's extent. */
const LEAST_DRAWN = 0.22;
/** Lines compared in all combinations of four. */
const MOST_LINES = 15;
/** Points kept of a network for the quick score. */
const MOST_POINTS = 900;
/** Ink within this share of the network's extent of a line is on it, not outside it: curved sides bulge. */
const ON_LINE_SHARE = 0.012;
/** Directions of ink on a line agree with it to this (sine). */
const ON_LINE_SINE = 0.17;
/** Polygons have no side shorter than this share of the longest, and turn at each corner by this at least (sine). */
const LEAST_SIDE_SHARE = 0.15;
const LEAST_TURN = 0.25;
/** Bins for coverage along a side. */
const BINS = 48;
/** What a side counts for without ink along it. */
const COVER_WITHOUT_INK: Readonly<Record<SideKind, number>> = { ink: 0, hull: 0.3, sheet: 0.45, picture: 0.45 };
/** Chains shorter than this share of the extent cover nothing: words, specks. */
const LEAST_COVER_SHARE = 0.015;
/** Corners may lie outside the picture by this share of its size: cut crops. */
const BEYOND_SHARE = 0.04;

/** A network reduced for scoring: sample points for what lies outside, chain chords for what covers a side. */
interface Points {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly weight: Float32Array;
  readonly total: number;
  /** Four numbers a chord: ax, ay, bx, by. */
  readonly chords: Float32Array;
}

/** The most likely quadrilaterals of the network, best first, different from each other. */
export function guessQuads(
  marks: Marks,
  network: Network,
  width: number,
  height: number,
  known: readonly KnownLine[],
  count: number,
): QuadGuess[] {
  const points = thin(marks, network);
  const tolerance = Math.max(3, ON_LINE_SHARE * network.extent);
  const lines = rimLines(marks, network, points, tolerance, known);
  const guesses: QuadGuess[] = [];
  const hull = hugPolygon(network.hull, 4);
  const bare: SideKind[] = ['hull', 'hull', 'hull', 'hull'];
  if (hull) guesses.push({ corners: hull, kinds: bare, score: quickScore(hull, bare, points, tolerance) });
  const margin = BEYOND_SHARE * Math.max(width, height);
  const n = lines.length;
  for (let a = 0; a < n; a++) {
    for (let b = a + 1; b < n; b++) {
      for (let c = b + 1; c < n; c++) {
        for (let d = c + 1; d < n; d++) {
          const quad = cornersOf([lines[a], lines[b], lines[c], lines[d]]);
          if (!quad) continue;
          const { corners, kinds } = quad;
          if (corners.some((p) => p[0] < -margin || p[1] < -margin || p[0] > width + margin || p[1] > height + margin))
            continue;
          // A quadrilateral much smaller than the network's hull leaves ink outside: skip it before the costly count.
          if (Math.abs(polygonArea(corners)) < 0.6 * Math.abs(polygonArea(network.hull))) continue;
          guesses.push({ corners, kinds, score: quickScore(corners, kinds, points, tolerance) });
        }
      }
    }
  }
  guesses.sort((p, q) => q.score - p.score);
  const kept: QuadGuess[] = [];
  for (const guess of guesses) {
    if (kept.every((other) => !sameQuad(other.corners, guess.corners, 0.5 * tolerance))) kept.push(guess);
    if (kept.length >= count) break;
  }
  // The hull and the sheet stay in the race however little is drawn along them.
  for (const guess of guesses) {
    const plain = guess.kinds.every((k) => k === 'hull') || guess.kinds.every((k) => k === 'sheet');
    if (plain && !kept.includes(guess)) kept.push({ ...guess, reserved: true });
  }
  return kept;
}

/** The polygon with `sides` sides that hugs the network; null where it has a stub of a side or hardly turns at a corner. */
export function guessPolygon(
  marks: Marks,
  network: Network,
  known: readonly KnownLine[],
  sides: number,
): QuadGuess | null {
  const corners = hugPolygon(network.hull, sides);
  if (!corners || !isConvex(corners)) return null;
  const lengths = corners.map((p, i) => {
    const q = corners[(i + 1) % sides];
    return Math.hypot(q[0] - p[0], q[1] - p[1]);
  });
  if (Math.min(...lengths) < LEAST_SIDE_SHARE * Math.max(...lengths)) return null;
  const turns = corners.every((p, i) => {
    const q = corners[(i + 1) % sides];
    const r = corners[(i + 2) % sides];
    return turn(p, q, r) > LEAST_TURN * lengths[i] * lengths[(i + 1) % sides];
  });
  if (!turns) return null;
  const tolerance = Math.max(3, ON_LINE_SHARE * network.extent);
  const kinds = corners.map((p, i) => kindOf(p, corners[(i + 1) % sides], known, tolerance));
  return { corners, kinds, score: quickScore(corners, kinds, thin(marks, network), tolerance) };
}

/** A side of a hull that runs along a known line is of that line's kind. */
function kindOf(from: WorkPoint, to: WorkPoint, known: readonly KnownLine[], tolerance: number): SideKind {
  for (const line of known) {
    const length = Math.hypot(line.to[0] - line.from[0], line.to[1] - line.from[1]);
    const off = (p: WorkPoint): number => Math.abs(turn(line.from, line.to, p)) / length;
    if (off(from) < tolerance && off(to) < tolerance) return line.kind;
  }
  return 'hull';
}

function sameQuad(a: readonly WorkPoint[], b: readonly WorkPoint[], tolerance: number): boolean {
  return a.every((p) => b.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < tolerance));
}

function thin(marks: Marks, network: Network): Points {
  const stride = Math.max(1, Math.ceil(network.count / MOST_POINTS));
  const every = (a: Float32Array): Float32Array => a.filter((_, i) => i % stride === 0);
  const weight = every(network.weight);
  return {
    x: every(network.x),
    y: every(network.y),
    weight,
    total: weight.reduce((s, w) => s + w, 0),
    chords: Float32Array.from(
      network.chains
        .map((c) => marks.chains[c])
        .filter((c) => c.inkLength >= LEAST_COVER_SHARE * network.extent)
        .flatMap((c) => [c.ax, c.ay, c.bx, c.by]),
    ),
  };
}

/** Long chains and hull sides that have nearly all ink on one side, merged where they are the same line. */
function rimLines(
  marks: Marks,
  network: Network,
  points: Points,
  tolerance: number,
  known: readonly KnownLine[],
): RimLine[] {
  const raw: { p: WorkPoint; u: WorkPoint; drawn: number; kind: SideKind }[] = [];
  for (const c of network.chains) {
    const chain = marks.chains[c];
    const length = Math.hypot(chain.bx - chain.ax, chain.by - chain.ay);
    if (length < LEAST_DRAWN * network.extent || chain.inkLength < 0.3 * length) continue;
    raw.push({
      p: [(chain.ax + chain.bx) / 2, (chain.ay + chain.by) / 2],
      u: [(chain.bx - chain.ax) / length, (chain.by - chain.ay) / length],
      drawn: chain.inkLength,
      kind: 'ink',
    });
  }
  raw.sort((a, b) => b.drawn - a.drawn);
  const merged: { p: WorkPoint; u: WorkPoint; drawn: number; kind: SideKind }[] = [];
  for (const line of raw) {
    const twin = merged.find(
      (m) =>
        Math.abs(m.u[0] * line.u[1] - m.u[1] * line.u[0]) < 0.03 &&
        Math.abs((line.p[0] - m.p[0]) * m.u[1] - (line.p[1] - m.p[1]) * m.u[0]) < tolerance * 0.6,
    );
    if (twin) twin.drawn += line.drawn;
    else merged.push({ ...line });
  }
  const hull = hugPolygon(network.hull, 4) ?? [];
  const extra: { from: WorkPoint; to: WorkPoint; kind: SideKind }[] = hull.map((from, i) => ({
    from,
    to: hull[(i + 1) % hull.length],
    kind: 'hull',
  }));
  for (const { from, to, kind } of [...extra, ...known]) {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    merged.push({
      p: [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2],
      u: [(to[0] - from[0]) / length, (to[1] - from[1]) / length],
      drawn: 0,
      kind,
    });
  }
  const lines: RimLine[] = [];
  for (const { p, u, drawn, kind } of merged) {
    let left = 0;
    let right = 0;
    for (let i = 0; i < points.x.length; i++) {
      const off = (points.x[i] - p[0]) * u[1] - (points.y[i] - p[1]) * u[0];
      if (off > tolerance) left += points.weight[i];
      else if (off < -tolerance) right += points.weight[i];
    }
    const outside = Math.min(left, right) / points.total;
    if (outside > MOST_OUTSIDE) continue;
    // Travel so that the ink lies to the right on the screen.
    lines.push({ p, u: left > right ? [-u[0], -u[1]] : u, drawn, outside, kind });
  }
  const worth = (l: RimLine): number => (l.drawn / network.extent + 0.3) * (1 - l.outside / MOST_OUTSIDE);
  return lines.sort((a, b) => worth(b) - worth(a)).slice(0, MOST_LINES);
}

/** Corners of the region to the right of all four lines, clockwise; null where it is no convex quadrilateral. */
function cornersOf(lines: readonly RimLine[]): { corners: WorkPoint[]; kinds: SideKind[] } | null {
  const ring = [...lines].sort((a, b) => Math.atan2(a.u[1], a.u[0]) - Math.atan2(b.u[1], b.u[0]));
  const corners: WorkPoint[] = [];
  for (let i = 0; i < 4; i++) {
    const a = ring[(i + 3) % 4];
    const b = ring[i];
    // Neighbouring sides turn by 30 to 150 degrees.
    const sine = a.u[0] * b.u[1] - a.u[1] * b.u[0];
    if (sine < 0.5) return null;
    const p = crossing(a.p, [a.p[0] + a.u[0], a.p[1] + a.u[1]], b.p, [b.p[0] + b.u[0], b.p[1] + b.u[1]]);
    if (!p) return null;
    corners.push(p);
  }
  return isConvex(corners) ? { corners, kinds: ring.map((l) => l.kind) } : null;
}

/** Coverage of the four sides by parallel ink, less ink outside; about -4..1. */
function quickScore(
  corners: readonly WorkPoint[],
  kinds: readonly SideKind[],
  points: Points,
  tolerance: number,
): number {
  const n = corners.length;
  const bins = new Uint8Array(n * BINS);
  let outside = 0;
  const ux: number[] = [];
  const uy: number[] = [];
  const lengths: number[] = [];
  for (let k = 0; k < n; k++) {
    const a = corners[k];
    const b = corners[(k + 1) % n];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    lengths.push(length);
    ux.push((b[0] - a[0]) / length);
    uy.push((b[1] - a[1]) / length);
  }
  for (let i = 0; i < points.x.length; i++) {
    for (let k = 0; k < n; k++) {
      const off = (points.x[i] - corners[k][0]) * uy[k] - (points.y[i] - corners[k][1]) * ux[k];
      if (off > tolerance) {
        outside += points.weight[i];
        break;
      }
    }
  }
  const { chords } = points;
  for (let k = 0; k < n; k++) {
    const [ox, oy] = corners[k];
    for (let i = 0; i < chords.length; i += 4) {
      const offA = (chords[i] - ox) * uy[k] - (chords[i + 1] - oy) * ux[k];
      if (offA > tolerance || offA < -tolerance) continue;
      const offB = (chords[i + 2] - ox) * uy[k] - (chords[i + 3] - oy) * ux[k];
      if (offB > tolerance || offB < -tolerance) continue;
      const a = ((chords[i] - ox) * ux[k] + (chords[i + 1] - oy) * uy[k]) / lengths[k];
      const b = ((chords[i + 2] - ox) * ux[k] + (chords[i + 3] - oy) * uy[k]) / lengths[k];
      // Parallel: short chords within the tolerance may still run across.
      if (Math.abs(offA - offB) > ON_LINE_SINE * Math.abs(a - b) * lengths[k] + 1) continue;
      const from = Math.max(0, Math.round(Math.min(a, b) * BINS));
      const to = Math.min(BINS, Math.round(Math.max(a, b) * BINS));
      for (let bin = from; bin < to; bin++) bins[k * BINS + bin] = 1;
    }
  }
  let covered = 0;
  for (let k = 0; k < n; k++) {
    let side = 0;
    for (let bin = 0; bin < BINS; bin++) side += bins[k * BINS + bin];
    covered += Math.max(side, COVER_WITHOUT_INK[kinds[k]] * BINS);
  }
  return covered / (n * BINS) - 5 * (outside / points.total);
}
