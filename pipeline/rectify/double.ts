/**
 * Borders with a frame close around them. A side traced from a guess may come to lie on the frame and its neighbour on the border, so that the outline is
 * neither: lines are looked for beside each side, and the border is the second from outside all round.
 */
import { allMarks, type Candidate } from './candidates.ts';
import { type Curve, chordOf, cornerOf, offAt, rebase, rulerOf, shareAt } from './curve.ts';
import { coverageOf, depthIn } from './evidence.ts';
import { findNetworks, type Network } from './networks.ts';
import { standsFree } from './peel.ts';
import { isConvex, polygonArea, type WorkPoint } from './polygon.ts';
import { type Found, refine } from './refine.ts';

/** A frame lies this far outside the border at most, a share of the size; nearer than this, px, both are one stroke. */
const CLOSE_SHARE = 0.06;
const LEAST_GAP_PX = 5;
/** Frames and borders are drawn along this share of each side. */
const DRAWN = 0.85;
/** Pieces run along a side to this (sine). */
const ALONG_SINE = 0.03;
/** Marks nearer than this share of the size are joined to one network, and the border's network is so large at least. */
const REACH_SHARE = 0.014;
const LEAST_EXTENT = 0.8;
/** Ends of an inner outline's sides that may run on: the lines of a border stop in its corners, creases do not. */
const MOST_RUN_ON = 1;

/** The border within a frame that runs close around it, or the same outline. */
export function withinFrame(found: Found): Found {
  if (found.kinds.some((kind) => kind !== 'ink')) return found;
  const size = Math.sqrt(Math.abs(polygonArea(found.corners)));
  const all = allMarks({ marks: found.marks, known: [], onSheet: found.onSheet }, found.map);
  if (!all) return found;
  const lines = found.sides.map((side) => linesBeside(side, all, CLOSE_SHARE * size));
  const isBorder = lines.every(([, second]) => Math.abs(second) < LEAST_GAP_PX);
  if (isBorder || lines.some((offsets) => offsets.length < 2)) return found;
  const frame = shifted(
    found.sides,
    lines.map(([first]) => first),
  );
  const border = shifted(
    found.sides,
    lines.map(([, second]) => second),
  );
  if (!frame || !border) return found;
  const gap = Math.min(...lines.map(([first, second]) => first - second));
  const inner = traced(found, border, frame, all, gap, size);
  if (!inner || inner.score < found.score || inner.evidence.runsOn > MOST_RUN_ON) return found;
  return standsFree({ marks: found.marks, sides: frame }, inner, gap) ? inner : found;
}

/** Offsets of the lines drawn along a side, px outward from it, the outermost first. */
function linesBeside(side: Curve, all: Network, reach: number): number[] {
  const ruler = rulerOf(side);
  const length = chordOf(side);
  const [ux, uy] = [(side.to[0] - side.from[0]) / length, (side.to[1] - side.from[1]) / length];
  const most = Math.ceil(reach);
  const amount = new Float64Array(2 * most + 1);
  for (let i = 0; i < all.count; i++) {
    if (Math.abs(all.ux[i] * uy - all.uy[i] * ux) > ALONG_SINE) continue;
    const off = offAt(ruler, all.x[i], all.y[i]);
    const t = shareAt(ruler, all.x[i], all.y[i]);
    if (Math.abs(off) <= reach && t >= 0 && t <= 1) amount[Math.round(off) + most] += all.weight[i];
  }
  const near = (k: number): number => (amount[k - 1] ?? 0) + amount[k] + (amount[k + 1] ?? 0);
  const out: number[] = [];
  for (let k = amount.length - 1; k >= 0; k--) {
    const off = k - most;
    if (near(k) < DRAWN * length || (out.length > 0 && out[out.length - 1] - off < LEAST_GAP_PX)) continue;
    if (near(k - 1) > near(k) || coverageOf(moved(side, off), all, 0) < DRAWN) continue;
    out.push(off);
  }
  return out;
}

function moved(side: Curve, off: number): Curve {
  const length = chordOf(side);
  const [nx, ny] = [(side.to[1] - side.from[1]) / length, -(side.to[0] - side.from[0]) / length];
  const by = ([x, y]: WorkPoint): WorkPoint => [x + off * nx, y + off * ny];
  return { ...side, from: by(side.from), to: by(side.to) };
}

/** The outline with each side moved outward so far, px; null where it falls apart. */
function shifted(sides: readonly Curve[], offsets: readonly number[]): Curve[] | null {
  const curves = sides.map((side, k) => moved(side, offsets[k]));
  const corners = curves.map((side, k) => cornerOf(curves[(k + curves.length - 1) % curves.length], side));
  if (!corners.every((p) => p !== null) || !isConvex(corners)) return null;
  return curves.map((side, k) => rebase(side, corners[k], corners[(k + 1) % corners.length]));
}

/** The border traced along its own ink, with what is drawn within the frame. */
function traced(
  { map, marks, onSheet, kinds }: Found,
  border: readonly Curve[],
  frame: readonly Curve[],
  all: Network,
  gap: number,
  size: number,
): Found | null {
  const rulers = frame.map(rulerOf);
  const isWithin = (c: number): boolean => {
    const { ax, ay, bx, by } = marks.chains[c];
    return depthIn(rulers, (ax + bx) / 2, (ay + by) / 2) > gap / 2;
  };
  const [network] = findNetworks(marks, map.width, map.height, {
    reach: REACH_SHARE * size,
    takes: isWithin,
    leastExtent: LEAST_EXTENT * size,
  });
  if (!network) return null;
  const candidate: Candidate = {
    sides: border,
    kinds,
    network,
    all,
    marks,
    map,
    quick: 1,
    mass: 1,
    reserved: false,
    looseness: 0,
    onSheet,
  };
  return refine([candidate], gap / 2);
}
