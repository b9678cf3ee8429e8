import { type Bend, unbend } from '../geometry/bend.ts';
import { patternToPaper } from '../geometry/frames.ts';
import type { Carrier } from '../graph/carriers.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import { hasLearnedLines, type InkField } from '../ink/ink.ts';
import type { PatternPoint, Sheet } from '../types.ts';

/** Ink across the stroke, one sample a paper px along a piece without its ends. */
export interface Profile {
  /** Paper minus ink, three channels a sample, summed over the width. */
  readonly rows: Float64Array;
  /** Density summed over the width, density px, and the densest px across. */
  readonly amount: Float64Array;
  readonly crest: Float64Array;
  /** Density summed over the stroke's own width alone, where neighbours' ink hardly reaches, density px. */
  readonly core: Float64Array;
  /** Mean height of the network's ridge, 0..1; null where the lines are not the network's. */
  readonly ridge: number | null;
  /** Whether the colour of the paper beside was taken off `rows`. */
  readonly net: boolean;
  /** Middle of the piece, pattern units. */
  readonly middle: PatternPoint;
  /** Px left out at either end, and length of the whole piece in px. */
  readonly ends: number;
  readonly length: number;
}

/** Half-width of the window across a stroke, in stroke widths, plus px for blur. */
const WINDOW_WIDTHS = 0.9;
const WINDOW_PX = 2.5;
/** ... but under moire, whose own colours lie beside the stroke, and which is measured with its blur: px beyond half its width. */
const MOIRE_PX = 1.5;
/** Half-width of the stroke itself, likewise. */
const CORE_WIDTHS = 0.5;
const CORE_PX = 0.7;
/** Ends of a piece are left out over this many stroke widths plus a px, at most this share of it. */
const END_WIDTHS = 1.3;
const END_SHARE = 0.3;

/** Samples the ink along every piece of the graph on the straightened sheet. */
export function profilesOf(graph: StrokeGraph, ink: InkField, sheet: Sheet, bend: Bend): Profile[] {
  const px = 1 / sheet.pxPerUnit;
  const crowd = neighbourGaps(graph, px);
  return graph.pieces.map((piece, i) => {
    const c = graph.carriers[piece.carrier];
    const length = (piece.t1 - piece.t0) / px;
    const end = Math.min(END_SHARE * length, END_WIDTHS * ink.strokeWidthPx + 1);
    const n = Math.max(1, Math.floor(length - 2 * end));
    const wish = ink.coloured
      ? CORE_WIDTHS * ink.strokeWidthPx + MOIRE_PX
      : WINDOW_WIDTHS * ink.strokeWidthPx + WINDOW_PX;
    const reach = Math.max(1, Math.min(wish, 0.45 * crowd[i]));
    const core = Math.min(reach, CORE_WIDTHS * ink.strokeWidthPx + CORE_PX);
    const from = piece.t0 + end * px;
    const beside = strokeBeside(c, piece, px);
    // Paper lies between this stroke's window and the neighbour's.
    const paper = Math.min(PAPER_PX, Math.floor(crowd[i] - wish - reach));
    const sampled = samplePiece(c, beside, from, px, n, { reach, core, paper }, ink, sheet, bend);
    return { ...sampled, ends: end, length };
  });
}

/** Distance in px from each piece to the nearest parallel piece beside it: keeps windows apart in tight pleats. */
function neighbourGaps(graph: StrokeGraph, px: number): Float64Array {
  const gaps = new Float64Array(graph.pieces.length).fill(1e9);
  const byDirection = new Map<number, number[]>();
  graph.pieces.forEach((p, i) => {
    const c = graph.carriers[p.carrier];
    const key = Math.round(Math.atan2(c.ny, c.nx) / (Math.PI / 180) + 360) % 180;
    const list = byDirection.get(key);
    if (list) list.push(i);
    else byDirection.set(key, [i]);
  });
  const off = Float64Array.from(graph.pieces, (p) => graph.carriers[p.carrier].off);
  const from = Float64Array.from(graph.pieces, (p) => p.t0);
  const to = Float64Array.from(graph.pieces, (p) => p.t1);
  for (const list of byDirection.values()) {
    const order = Int32Array.from(list.sort((a, b) => off[a] - off[b]));
    for (let u = 0; u < order.length; u++) {
      const a = order[u];
      for (let v = u + 1; v < order.length; v++) {
        const b = order[v];
        const gap = (off[b] - off[a]) / px;
        if (gap > MOST_GAP_PX) break;
        if (gap < 0.5 || Math.min(to[a], to[b]) <= Math.max(from[a], from[b])) continue;
        if (gap < gaps[a]) gaps[a] = gap;
        if (gap < gaps[b]) gaps[b] = gap;
      }
    }
  }
  return gaps;
}

const MOST_GAP_PX = 60;

/** The stroke may bow about its carrier: it is followed by running means over this many px each way. */
const FOLLOW_PX = 12;

/** How far the stroke lies beside its carrier: one value a bin of the piece, from the carrier's bin `first` on. */
interface Beside {
  readonly first: number;
  readonly values: Float32Array;
}

/** Running means of what was seen; gaps take what is seen around them. */
function strokeBeside({ seen, beside, from }: Carrier, { t0, t1 }: { t0: number; t1: number }, px: number): Beside {
  const first = Math.max(0, Math.floor((t0 - from) / px));
  const last = Math.min(seen.length - 1, Math.ceil((t1 - from) / px));
  const n = Math.max(0, last - first + 1);
  const values = new Float32Array(n);
  const sums = new Float64Array(n + 1);
  const counts = new Int32Array(n + 1);
  for (let b = 0; b < n; b++) {
    sums[b + 1] = sums[b] + (seen[first + b] ? beside[first + b] : 0);
    counts[b + 1] = counts[b] + seen[first + b];
  }
  let near = 0;
  let known = false;
  for (let b = 0; b < n; b++) {
    const a = Math.max(0, b - FOLLOW_PX);
    const z = Math.min(n, b + FOLLOW_PX + 1);
    if (counts[z] > counts[a]) {
      near = (sums[z] - sums[a]) / (counts[z] - counts[a]);
      if (!known) values.fill(near, 0, b);
      known = true;
    }
    values[b] = near;
  }
  return { first, values };
}

function samplePiece(
  c: Carrier,
  beside: Beside,
  t0: number,
  px: number,
  n: number,
  { reach, core: coreReach, paper: paperPx }: { reach: number; core: number; paper: number },
  ink: InkField,
  sheet: Sheet,
  bend: Bend,
): Omit<Profile, 'ends' | 'length'> {
  const profile = {
    rows: new Float64Array(n * 3),
    amount: new Float64Array(n),
    crest: new Float64Array(n),
    core: new Float64Array(n),
  };
  const steps = Math.ceil(2 * reach);
  const weight = (2 * reach) / steps;
  const paper = ink.coloured && paperPx > 0 ? blankPaper(n) : null;
  const isLearned = hasLearnedLines(ink);
  let ridges = 0;
  for (let s = 0; s < n; s++) {
    const t = t0 + (s + 0.5) * px;
    const off = c.off + (beside.values[Math.round((t - c.from) / px) - beside.first] ?? 0);
    const [mx, my] = unbend(bend, c.nx * off + c.dx * t, c.ny * off + c.dy * t);
    const [x, y] = patternToPaper(sheet, [mx, my]);
    if (paper) addPaper(paper, s, ink, x, y, c, reach, paperPx);
    // Pattern normal (y up) on the paper raster (y down).
    sampleAcross(ink, x, y, c.nx, -c.ny, reach, coreReach, steps, s, profile);
    if (isLearned) ridges += ridgeAt(ink, x, y, c);
  }
  if (paper) takeOff(profile.rows, paper, (steps + 1) * weight);
  const middle = t0 + (n * px) / 2;
  const ridge = isLearned ? ridges / n : null;
  return {
    ...profile,
    ridge,
    net: paper !== null,
    middle: [c.nx * c.off + c.dx * middle, c.ny * c.off + c.dy * middle],
  };
}

/** A ridge is followed to within so many px. */
const RIDGE_PX = 2;

/** Height of the ridge across (x, y), paper px. */
function ridgeAt({ width, height, line }: InkField, x: number, y: number, { nx, ny }: Carrier): number {
  let highest = 0;
  for (let o = -RIDGE_PX; o <= RIDGE_PX; o++) {
    const ix = Math.floor(x + nx * o);
    const iy = Math.floor(y - ny * o);
    if (ix >= 0 && iy >= 0 && ix < width && iy < height) highest = Math.max(highest, line[iy * width + ix]);
  }
  return highest;
}

/** Writes sample `s` of a profile: the ink from `reach` on the one side of (x, y), paper px, to the other, along the unit normal, in `steps` steps. */
function sampleAcross(
  { width, height, density, diff }: InkField,
  x: number,
  y: number,
  nx: number,
  ny: number,
  reach: number,
  coreReach: number,
  steps: number,
  s: number,
  { rows, amount, crest, core }: Pick<Profile, 'rows' | 'amount' | 'crest' | 'core'>,
): void {
  const weight = (2 * reach) / steps;
  let [sum, inCore, highest] = [0, 0, 0];
  let [red, green, blue] = [0, 0, 0];
  for (let k = 0; k <= steps; k++) {
    const o = -reach + (2 * reach * k) / steps;
    const fx = x + nx * o - 0.5;
    const fy = y + ny * o - 0.5;
    const ix = Math.floor(fx);
    const iy = Math.floor(fy);
    if (ix < 0 || iy < 0 || ix >= width - 1 || iy >= height - 1) continue;
    const tx = fx - ix;
    const ty = fy - iy;
    const p = iy * width + ix;
    let here = 0;
    // Between pixels, so that slanted thin strokes do not beat against the grid.
    for (let j = 0; j < 4; j++) {
      const q = p + (j & 1) + (j >> 1) * width;
      const share = (j & 1 ? tx : 1 - tx) * (j >> 1 ? ty : 1 - ty);
      here += share * density[q];
      const part = share * weight;
      red += part * diff[q * 3];
      green += part * diff[q * 3 + 1];
      blue += part * diff[q * 3 + 2];
    }
    sum += here * weight;
    if (Math.abs(o) <= coreReach) inCore += here * weight;
    if (here > highest) highest = here;
  }
  rows[s * 3] = red;
  rows[s * 3 + 1] = green;
  rows[s * 3 + 2] = blue;
  core[s] = inCore;
  crest[s] = highest;
  amount[s] = sum;
}

/** Paper on both sides of a stroke is heard over at most so many px beyond its window, and by so many px along it. */
const PAPER_PX = 3;
const PAPER_ALONG_PX = 10;
/** Where the map of lines is higher than this share of its crest is no paper, but another stroke. */
const PAPER_LINE = 0.3;

/** Sums of the paper's colour beside a piece, three channels a sample, and of how many pixels. */
interface PaperBeside {
  readonly sums: Float64Array;
  readonly counts: Float64Array;
}

function blankPaper(n: number): PaperBeside {
  return { sums: new Float64Array(n * 3), counts: new Float64Array(n) };
}

/** Hears the paper beside the stroke at sample `s`, which lies at (x, y), paper px. */
function addPaper(
  paper: PaperBeside,
  s: number,
  ink: InkField,
  x: number,
  y: number,
  { nx, ny }: Carrier,
  reach: number,
  paperPx: number,
): void {
  for (let k = 1; k <= paperPx; k++) {
    for (const o of [reach + k, -reach - k]) {
      const ix = Math.floor(x + nx * o);
      const iy = Math.floor(y - ny * o);
      if (ix < 0 || iy < 0 || ix >= ink.width || iy >= ink.height) continue;
      const q = iy * ink.width + ix;
      if (ink.line[q] > PAPER_LINE * ink.ridge.crest) continue;
      for (let ch = 0; ch < 3; ch++) paper.sums[s * 3 + ch] += ink.diff[q * 3 + ch];
      paper.counts[s]++;
    }
  }
}

/** Bands of moire run on under the stroke: takes the colour of the paper beside it, times the window's width, off each sample. */
function takeOff(rows: Float64Array, { sums, counts }: PaperBeside, width: number): void {
  const n = counts.length;
  const heard = new Float64Array(4);
  const add = (s: number, sign: number): void => {
    if (s < 0 || s >= n) return;
    for (let ch = 0; ch < 3; ch++) heard[ch] += sign * sums[s * 3 + ch];
    heard[3] += sign * counts[s];
  };
  for (let s = 0; s < PAPER_ALONG_PX; s++) add(s, 1);
  for (let s = 0; s < n; s++) {
    add(s + PAPER_ALONG_PX, 1);
    add(s - PAPER_ALONG_PX - 1, -1);
    if (heard[3] < 1) continue;
    for (let ch = 0; ch < 3; ch++) rows[s * 3 + ch] -= (width * heard[ch]) / heard[3];
  }
}
