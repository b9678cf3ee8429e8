/** Lines that may bound a network: long chains with nearly all ink on one side, the sides of its hull, and lines known from elsewhere. */
import { bowThrough, type Curve, chordOf, offAt, reversed, rulerOf, straight } from './curve.ts';
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import { hugPolygon, type WorkPoint } from './polygon.ts';

/** Where a side of a guess comes from. */
export type SideKind = 'ink' | 'hull' | 'sheet' | 'picture';

/** A side that is known from something other than this network's ink: the sheet's edge on the desk, the picture's own edge. */
export interface KnownLine extends Curve {
  readonly kind: 'sheet' | 'picture';
}

/** A bounding line, travelled so that the network lies to its right on the screen. */
export interface RimLine extends Curve {
  /** Ink length along it, px; 0 for lines without ink of their own. */
  readonly drawn: number;
  /** Share of the network's ink that lies outside it. */
  readonly outside: number;
  readonly kind: SideKind;
  /** Of its chord, radians. */
  readonly direction: number;
}

/** A network reduced for scoring: sample points for what lies outside, chords of chains for what covers a side. */
export interface Points {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly weight: Float32Array;
  readonly chain: Int32Array;
  readonly total: number;
  /** Four numbers a chord: ax, ay, bx, by. */
  readonly chords: Float32Array;
  /** Ink this near to a line is on it, px. */
  readonly tolerance: number;
}

/** A rim line has at most this share of the network's ink outside: words that touch, overshoots. */
export const MOST_OUTSIDE = 0.15;
/** Drawn rim lines are at least this share of the network's extent. */
const LEAST_DRAWN = 0.22;
/** Share of a chain that is ink. */
const LEAST_INKED = 0.3;
/** Drawn lines kept; the hull's sides and known lines have few rivals and stay whatever is drawn. */
const MOST_DRAWN = 10;
/** Points kept of a network. */
const MOST_POINTS = 900;
/** Ink within this share of the network's extent of a line is on it, not outside it. */
const ON_LINE_SHARE = 0.012;
/** Chains shorter than this share of the extent cover nothing: words, specks. */
const LEAST_COVER_SHARE = 0.015;
/** Lines in one: directions agree to this (sine), and the offset to this share of the tolerance. */
const TWIN_SINE = 0.03;
const TWIN_OFFSET = 0.6;
/** Bends of chains below this are noise, px. */
const LEAST_BOW_PX = 1.5;

export function thin(marks: Marks, network: Network): Points {
  const stride = Math.max(1, Math.ceil(network.count / MOST_POINTS));
  const every = <T extends Float32Array | Int32Array>(a: T): T => a.filter((_, i) => i % stride === 0) as T;
  const weight = every(network.weight);
  return {
    x: every(network.x),
    y: every(network.y),
    weight,
    chain: every(network.chain),
    total: weight.reduce((s, w) => s + w, 0),
    chords: Float32Array.from(
      network.chains
        .filter((c) => marks.chains[c].inkLength >= LEAST_COVER_SHARE * network.extent)
        .flatMap((c) => chordsOf(marks, c)),
    ),
    tolerance: Math.max(3, ON_LINE_SHARE * network.extent),
  };
}

/** Chords of a chain that follow its bend: from end to end for straight ones, piece by piece for others. */
function chordsOf(marks: Marks, c: number): number[] {
  const { ax, ay, bx, by, pieces } = marks.chains[c];
  const bow = pieces.length > 2 ? bowOf(marks, c) : [0];
  if (bow.length === 1) return [ax, ay, bx, by];
  const p = marks.pieces;
  return pieces.flatMap((i) => [p.ax[i], p.ay[i], p.bx[i], p.by[i]]);
}

/** Lines for the combinations of a quadrilateral: the most drawn with the least ink outside come first. */
export function rimLines(marks: Marks, network: Network, points: Points, known: readonly KnownLine[]): RimLine[] {
  const drawnLines: RimLine[] = [];
  for (const { curve, drawn, chains } of longLines(marks, network, points.tolerance)) {
    const line = oriented(curve, drawn, 'ink', points, chains);
    if (line) drawnLines.push(line);
  }
  const lines: RimLine[] = [];
  const hull = hugPolygon(network.hull, 4) ?? [];
  const plain = hull.map((p, i) => ({ ...straight(p, hull[(i + 1) % hull.length]), kind: 'hull' as SideKind }));
  for (const { kind, ...curve } of [...plain, ...known]) {
    const line = oriented(curve, 0, kind, points, []);
    if (line) lines.push(line);
  }
  const worth = (l: RimLine): number => (l.drawn / network.extent + 0.3) * (1 - l.outside / MOST_OUTSIDE);
  lines.push(...drawnLines.sort((a, b) => worth(b) - worth(a)).slice(0, MOST_DRAWN));
  return lines.sort((a, b) => worth(b) - worth(a));
}

/** Travelled so that the ink lies to the right on the screen; null where too much lies on both sides. The line's own chains lie on it. */
function oriented(curve: Curve, drawn: number, kind: SideKind, points: Points, own: readonly number[]): RimLine | null {
  let left = 0;
  let right = 0;
  const ruler = rulerOf(curve);
  const isOwn = new Set(own);
  for (let i = 0; i < points.x.length; i++) {
    if (isOwn.has(points.chain[i])) continue;
    const off = offAt(ruler, points.x[i], points.y[i]);
    if (off > points.tolerance) left += points.weight[i];
    else if (off < -points.tolerance) right += points.weight[i];
  }
  const outside = Math.min(left, right) / points.total;
  if (outside > MOST_OUTSIDE) return null;
  const { from, to, bow } = left > right ? reversed(curve) : curve;
  return { from, to, bow, drawn, outside, kind, direction: Math.atan2(to[1] - from[1], to[0] - from[0]) };
}

/** Long chains, with those that continue each other taken together. */
function longLines(
  marks: Marks,
  network: Network,
  tolerance: number,
): { curve: Curve; drawn: number; chains: number[] }[] {
  const raw: { curve: Curve; drawn: number; chains: number[] }[] = [];
  for (const c of network.chains) {
    const { ax, ay, bx, by, inkLength } = marks.chains[c];
    const length = Math.hypot(bx - ax, by - ay);
    if (length < LEAST_DRAWN * network.extent || inkLength < LEAST_INKED * length) continue;
    raw.push({ curve: { from: [ax, ay], to: [bx, by], bow: bowOf(marks, c) }, drawn: inkLength, chains: [c] });
  }
  raw.sort((a, b) => b.drawn - a.drawn);
  const merged: typeof raw = [];
  for (const line of raw) {
    const middle = [(line.curve.from[0] + line.curve.to[0]) / 2, (line.curve.from[1] + line.curve.to[1]) / 2];
    const [ux, uy] = directionOf(line.curve);
    const twin = merged.find((m) => {
      const [vx, vy] = directionOf(m.curve);
      const off = (middle[0] - m.curve.from[0]) * vy - (middle[1] - m.curve.from[1]) * vx;
      return Math.abs(vx * uy - vy * ux) < TWIN_SINE && Math.abs(off) < TWIN_OFFSET * tolerance;
    });
    if (twin) {
      twin.drawn += line.drawn;
      twin.chains.push(...line.chains);
    } else merged.push({ ...line });
  }
  return merged;
}

function directionOf(curve: Curve): [number, number] {
  const length = chordOf(curve);
  return [(curve.to[0] - curve.from[0]) / length, (curve.to[1] - curve.from[1]) / length];
}

/** The bends of a picture's chains that were asked for: every network that a chain belongs to asks anew. */
const BOWS = new WeakMap<Marks, Map<number, number[]>>();

/** The bend of a chain over its chord, from the ends of its pieces; [0] for a straight one. */
function bowOf(marks: Marks, c: number): number[] {
  let known = BOWS.get(marks);
  if (!known) {
    known = new Map();
    BOWS.set(marks, known);
  }
  let bow = known.get(c);
  if (!bow) {
    bow = findBow(marks, c);
    known.set(c, bow);
  }
  return bow;
}

function findBow(marks: Marks, c: number): number[] {
  const { ax, ay, bx, by, pieces } = marks.chains[c];
  const p = marks.pieces;
  const ends = pieces.flatMap((i): WorkPoint[] => [
    [p.ax[i], p.ay[i]],
    [p.bx[i], p.by[i]],
  ]);
  return bowThrough(straight([ax, ay], [bx, by]), ends, LEAST_BOW_PX);
}
