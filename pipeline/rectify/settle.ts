/**
 * Borders cut lengthwise by the picture's edge. Where a drawn border touches the edge, and what is left of it is thinner than the creases, the picture was cropped
 * along the border's middle: the side is the picture's edge, not the middle of the visible rest.
 */
import { cornerOf, rebase, rulerOf, straight } from './curve.ts';
import { depthIn } from './evidence.ts';
import type { InkMap } from './inkmap.ts';
import type { Network } from './networks.ts';
import type { WorkPoint } from './polygon.ts';
import type { Side } from './sides.ts';

/** A side that the picture cuts lies within a crease's width of the edge, and this much for the blur, px: what is left of it is thinner than that. */
const BLUR_PX = 2;
/** Creases are measured this far inside, px. */
const INSIDE_PX = 10;
/** Stations along a side, and the share of them at which ink must touch the edge. */
const STATIONS = 60;
const TOUCHING_SHARE = 0.6;
/** A border whose visible width is below this share of the creases' width is cut. */
const CUT_WIDTH = 0.85;
/** Widths are counted where ink has this share of the stroke's peak, within this distance, px. */
const HALF = 0.5;
const WIDEST_PX = 14;
/** Creases measured for their width. */
const MOST_SAMPLES = 200;

/** The sides, those that the picture cuts moved to its edge; null where none is. */
export function settle(map: InkMap, network: Network, sides: readonly Side[]): Side[] | null {
  const width = creaseWidth(map, network, sides);
  let moved = false;
  const lines = sides.map((side) => {
    const edge = cutEdge(map, side, width);
    if (edge) moved = true;
    return edge ?? side;
  });
  if (!moved) return null;
  const corners = lines.map((side, i) => cornerOf(lines[(i + lines.length - 1) % lines.length], side));
  if (!corners.every((p) => p !== null)) return null;
  return lines.map((side, i) => ({ ...side, ...rebase(side, corners[i], corners[(i + 1) % corners.length]) }));
}

/** The part of the picture's edge that takes the side's place, or null. */
function cutEdge(map: InkMap, side: Side, width: number): Side | null {
  const low = map.rim;
  const right = map.width - map.rim - 1;
  const bottom = map.height - map.rim - 1;
  const edges: { from: WorkPoint; to: WorkPoint; inX: number; inY: number; off: (p: WorkPoint) => number }[] = [
    { from: [low, low - 0.5], to: [right, low - 0.5], inX: 0, inY: 1, off: (p) => p[1] - low },
    { from: [right + 0.5, low], to: [right + 0.5, bottom], inX: -1, inY: 0, off: (p) => right - p[0] },
    { from: [right, bottom + 0.5], to: [low, bottom + 0.5], inX: 0, inY: -1, off: (p) => bottom - p[1] },
    { from: [low - 0.5, bottom], to: [low - 0.5, low], inX: 1, inY: 0, off: (p) => p[0] - low },
  ];
  for (const edge of edges) {
    if (Math.max(Math.abs(edge.off(side.from)), Math.abs(edge.off(side.to))) > width + BLUR_PX) continue;
    const widths: number[] = [];
    let touching = 0;
    for (let s = 0; s < STATIONS; s++) {
      const t = (s + 0.5) / STATIONS;
      const x = Math.round(edge.from[0] + (edge.to[0] - edge.from[0]) * t + 0.5 * edge.inX);
      const y = Math.round(edge.from[1] + (edge.to[1] - edge.from[1]) * t + 0.5 * edge.inY);
      const at = (k: number): number => map.ink[(y + k * edge.inY) * map.width + x + k * edge.inX];
      let peak = 0;
      for (let k = 0; k < 4; k++) peak = Math.max(peak, at(k));
      if (peak < map.noise || at(0) < HALF * peak) continue;
      touching++;
      let k = 0;
      while (k < WIDEST_PX && at(k) >= HALF * peak) k++;
      widths.push(k);
    }
    if (touching < TOUCHING_SHARE * STATIONS) continue;
    widths.sort((a, b) => a - b);
    if (widths[widths.length >> 1] >= CUT_WIDTH * width) continue;
    return { ...side, ...straight(edge.from, edge.to) };
  }
  return null;
}

/** Median width of the network's strokes inside the outline, px. */
export function creaseWidth(map: InkMap, network: Network, sides: readonly Side[]): number {
  const stride = Math.max(1, Math.floor(network.count / MOST_SAMPLES));
  const rulers = sides.map(rulerOf);
  const widths: number[] = [];
  for (let i = 0; i < network.count; i += stride) {
    if (depthIn(rulers, network.x[i], network.y[i]) < INSIDE_PX) continue;
    const nx = -network.uy[i];
    const ny = network.ux[i];
    const at = (k: number): number => {
      const x = Math.round(network.x[i] + nx * k);
      const y = Math.round(network.y[i] + ny * k);
      return x < 0 || y < 0 || x >= map.width || y >= map.height ? 0 : map.ink[y * map.width + x];
    };
    const peak = at(0);
    if (peak < map.noise) continue;
    let width = 1;
    for (const step of [-0.5, 0.5]) {
      let k = step;
      while (Math.abs(k) < WIDEST_PX && at(k) >= HALF * peak) k += step;
      width += Math.abs(k) - 0.5;
    }
    widths.push(width);
  }
  widths.sort((a, b) => a - b);
  return widths.length ? widths[widths.length >> 1] : 0;
}
