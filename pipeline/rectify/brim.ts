/**
 * Borders drawn along the very edge of the sheet. Half of such a stroke is on the sheet, and beyond it lies the desk: neither the stroke's middle nor the step from
 * paper to ink is the sheet's edge, but the outer flank of the ink.
 */
import { cornerOf, curvePoint, rebase } from './curve.ts';
import type { InkMap } from './inkmap.ts';
import type { Side } from './sides.ts';

/** Profiles across a side run from this far inside to this far outside, in steps, px. */
const INSIDE_PX = 12;
const OUTSIDE_PX = 18;
const STEP_PX = 0.5;
/** Paper is looked for at this distance inside at least, and the desk at this distance outside, px. */
const PAPER_FROM_PX = 6;
const DESK_FROM_PX = 13;
/** Stations along a side; the corners are left out. */
const STATIONS = 64;
const END_SHARE = 0.04;
/** The desk differs from the paper by this, and the ink from every blend of both, RGB distance. */
const LEAST_DESK = 40;
const LEAST_INK = 25;
/** A stroke ends where its departure falls to this share of its top; its flanks are measured between these shares. */
const HALF = 0.5;
const FLANK_HIGH = 0.75;
const FLANK_LOW = 0.25;
/** The outer flank of ink is as sharp as the picture is; shadows fall off slowly, px. */
const FLANK_MOST_PX = 2.5;
/** Half a border is at most this many times as wide as a crease, with this much for the blur, px. */
const HALF_BORDER = 1.25;
const BLUR_PX = 1.5;
/** Beyond a border along the edge there is desk at once: within its own flank, px. */
const BEYOND_PX = 2;
/** A border runs along all sides; where a shadow falls off beyond it, its width is taken from the others, of which there are so many at least. */
const LEAST_SHARP = 2;

/** The sides moved to the outer flank of the border's ink; null where the sheet has no border along its edge. `width`: of creases, px. */
export function toBrim(map: InkMap, sides: readonly Side[], width: number): Side[] | null {
  const ends = sides.map((side) => brimOf(map, side, HALF_BORDER * width + BLUR_PX));
  const sharp = ends.filter((d) => typeof d === 'number').sort((a, b) => a - b);
  if (sharp.length < LEAST_SHARP || ends.includes('bare')) return null;
  const usual = sharp[sharp.length >> 1];
  const lines = sides.map((side, k) => {
    const end = ends[k];
    return { ...side, bow: side.bow.map((c, i) => (i === 0 ? c + (typeof end === 'number' ? end : usual) : c)) };
  });
  const corners = lines.map((side, i) => cornerOf(lines[(i + lines.length - 1) % lines.length], side));
  if (!corners.every((p) => p !== null)) return null;
  return lines.map((side, i) => ({ ...side, ...rebase(side, corners[i], corners[(i + 1) % corners.length]) }));
}

/** How far outward of the side the ink along the sheet's edge ends, px; 'blurred' where its end is not to be seen, 'bare' where there is none. */
function brimOf(map: InkMap, side: Side, most: number): number | 'blurred' | 'bare' {
  const profile = profileOf(map, side);
  if (!profile) return 'bare';
  const at = (d: number): number => Math.round((d + INSIDE_PX) / STEP_PX);
  const paper = [0, 1, 2].map((c) => Math.max(...profile.slice(0, at(-PAPER_FROM_PX)).map((p) => p[c])));
  const outer = profile.slice(at(DESK_FROM_PX));
  const desk = [0, 1, 2].map((c) => outer.reduce((s, p) => s + p[c], 0) / outer.length);
  if (distance(paper, desk) < LEAST_DESK) return 'bare';
  const ink = profile.map((p) => fromBlends(p, paper, desk));
  const reach = Math.min(most, INSIDE_PX);
  let top = at(-reach);
  for (let i = top; i <= at(reach); i++) if (ink[i] > ink[top]) top = i;
  if (ink[top] < LEAST_INK) return 'bare';
  const falls = (share: number, way: 1 | -1): number => {
    let i = top;
    while (i + way >= 0 && i + way < ink.length && ink[i + way] > share * ink[top]) i += way;
    const next = ink[i + way] ?? 0;
    return (i + (way * (ink[i] - share * ink[top])) / Math.max(1, ink[i] - next)) * STEP_PX - INSIDE_PX;
  };
  const flank = falls(FLANK_LOW, 1) - falls(FLANK_HIGH, 1);
  const end = falls(HALF, 1);
  // With a margin of paper beyond it, the stroke's middle is the border.
  const beyond = profile[Math.min(profile.length - 1, at(end + BEYOND_PX))];
  if (distance(beyond, desk) >= distance(beyond, paper)) return 'bare';
  return flank > FLANK_MOST_PX || end - falls(HALF, -1) > most ? 'blurred' : end;
}

/** Median colour at each distance across the side, from inside outward; null where the picture ends too soon for it. */
function profileOf(map: InkMap, side: Side): number[][] | null {
  const { width, height, rim, picture } = map;
  const length = Math.hypot(side.to[0] - side.from[0], side.to[1] - side.from[1]);
  const nx = (side.to[1] - side.from[1]) / length;
  const ny = -(side.to[0] - side.from[0]) / length;
  const out: number[][] = [];
  for (let d = -INSIDE_PX; d <= OUTSIDE_PX; d += STEP_PX) {
    const values: number[][] = [[], [], []];
    for (let s = 0; s < STATIONS; s++) {
      const [px, py] = curvePoint(side, END_SHARE + ((1 - 2 * END_SHARE) * s) / (STATIONS - 1));
      const x = px + nx * d;
      const y = py + ny * d;
      if (x < rim || y < rim || x >= width - rim - 1 || y >= height - rim - 1) continue;
      const ix = Math.floor(x);
      const iy = Math.floor(y);
      for (let c = 0; c < 3; c++) {
        const v = (dx: number, dy: number): number => picture[((iy + dy) * width + ix + dx) * 3 + c];
        const upper = v(0, 0) + (v(1, 0) - v(0, 0)) * (x - ix);
        const lower = v(0, 1) + (v(1, 1) - v(0, 1)) * (x - ix);
        values[c].push(upper + (lower - upper) * (y - iy));
      }
    }
    if (values[0].length < STATIONS / 2) return null;
    out.push(values.map((list) => list.sort((a, b) => a - b)[list.length >> 1]));
  }
  return out;
}

function distance(a: readonly number[], b: readonly number[]): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** Distance of a colour from the blends of paper and desk. */
function fromBlends(p: readonly number[], paper: readonly number[], desk: readonly number[]): number {
  let dot = 0;
  let square = 0;
  for (let c = 0; c < 3; c++) {
    dot += (p[c] - paper[c]) * (desk[c] - paper[c]);
    square += (desk[c] - paper[c]) ** 2;
  }
  const t = Math.min(1, Math.max(0, dot / square));
  return distance(
    p,
    paper.map((v, c) => v + (desk[c] - v) * t),
  );
}
