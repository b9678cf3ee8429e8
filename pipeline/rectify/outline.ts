/** Which polygon on the picture is the sheet: candidates from networks of lines, each side traced, scored by evidence. */
import type { Raster } from '../types.ts';
import { toBrim } from './brim.ts';
import { type Candidate, candidatesOn, groundsOf, isClear, isCluttered } from './candidates.ts';
import { withinFrame } from './double.ts';
import { DRAWN_SHARE } from './evidence.ts';
import { blackMap, greyMap, type InkMap, inkMap, lightShare, type WorkingCopy, workingCopy } from './inkmap.ts';
import { findMarks } from './marks.ts';
import { borderInOtherInk } from './other-ink.ts';
import { peel } from './peel.ts';
import { polygonArea, type WorkPoint } from './polygon.ts';
import { type Found, isClosed, ON_SHEET, refine } from './refine.ts';
import { findRegions, type Region } from './regions.ts';
import { creaseWidth, settle } from './settle.ts';

export type { Found } from './refine.ts';

/** Candidates that are traced in full: the best, and of those kept in the race. */
const MOST_TRACED = 8;
const MOST_RESERVED = 6;
/** An outline without a closed border is believed at once from this score on, among quiet lines. */
const CLEAR_SCORE = 3;
/** Longest side of the working copy on which grain and moire are smoothed away, px. */
const COARSE_LONGEST = 700;
/** Above this share of light the paper is surely light, below the other surely dark. */
const SURELY_LIGHT = 0.6;
const SURELY_DARK = 0.4;
/** Share of the picture that a sheet on a desk takes up. */
const LEAST_SHEET = 0.2;
const MOST_SHEET = 0.8;
/** Candidates whose corners agree to this are the same, working px. */
const SAME_PX = 4;
/** Worth of a border drawn in the one ink before the picture's edges seen in the other, in the units of the score. */
const DRAWN_BEFORE = 0.5;
/** Corners of one outline in two inks agree to this share of its size: a seam lies beside the stroke. */
const ALIKE_SHARE = 0.03;

/** The best outline, or null where no network of lines looks like a pattern. */
export function findOutline(picture: Raster<Uint8Array>): Found | null {
  const traced = tracedOutlines(picture);
  const best = bestOf(traced);
  if (!best) return null;
  const peeled = peel(withinFrame(borderInOtherInk(inBestInk(best, traced), picture)));
  const { map, network, sides } = peeled;
  const settled = settle(map, network, sides) ?? toBrim(map, sides, creaseWidth(map, network, sides));
  return settled ? { ...peeled, sides: settled, seenSides: sides, corners: settled.map((s) => s.from) } : peeled;
}

/**
 * The same outline as it is seen in the other ink, where that backs it better: light lines on dark have dark seams beside them, which pass for dark lines on
 * a sheet. Only dark ink is looked for on sheets, so what a sheet is worth does not count between the two.
 */
function inBestInk(best: Found, traced: readonly Found[]): Found {
  const worth = (f: Found): number =>
    f.score - (f.onSheet ? ON_SHEET : 0) + (f.kinds.every((k) => k === 'ink') ? DRAWN_BEFORE : 0);
  const near = ALIKE_SHARE * Math.sqrt(Math.abs(polygonArea(best.corners)));
  let out = best;
  for (const f of traced) {
    if (f.map.polarity === best.map.polarity || worth(f) <= worth(out)) continue;
    if (f.kinds.every((k) => k === 'ink') && alike(f.corners, best.corners, near)) out = f;
  }
  return out;
}

/** Every candidate that was traced in full, in no order. */
export function tracedOutlines(picture: Raster<Uint8Array>): Found[] {
  const copy = workingCopy(picture);
  const views = viewsOf(copy);
  const traced = trace(views.flatMap(candidatesIn));
  const best = bestOf(traced);
  // A sheet without a border and a display around one look alike where fringes hide the border; a picture cut to the pattern does not.
  const isCropped = best?.kinds.every((kind) => kind === 'picture') ?? false;
  if (best && isPlain(best) && (isDrawn(best) || (isCropped && !isRuled(best)))) return traced;
  const black = views.map((v) => ({ ...v, map: blackMap(copy, v.map) }));
  // Printed squares run on to the picture's edges, coloured; what is drawn on them is black.
  if (best && isPlain(best) && isCropped) return [...traced, ...trace(black.flatMap(candidatesIn))];
  const coarse = workingCopy(picture, COARSE_LONGEST);
  const grey = viewsOf(coarse).map((v) => ({ ...v, map: greyMap(coarse, v.map) }));
  const again = [black, grey].flatMap((seen) => trace(seen.flatMap(candidatesIn)));
  // What is seen of a bare sheet's edges is seen best in all colours and sharp.
  return [...traced, ...(best && isPlain(best) ? again.filter(isDrawn) : again)];
}

/** True where marks run along most of the sides. */
function isDrawn({ evidence: { support } }: Found): boolean {
  return 2 * support.filter((share) => share > DRAWN_SHARE).length > support.length;
}

/** Lines that run from edge to edge of the picture, as on squared paper: so many. */
const FEWEST_RULED = 8;
/** Such a line has this share of its length inked, and its ends this near to the picture's edges, working px. */
const RULED_INK = 0.7;
const AT_EDGE_PX = 12;

/** True where many lines run right through the picture and hardly anything else is drawn along its edges. */
function isRuled({ map, marks }: Found): boolean {
  const atEdge = (x: number, y: number): boolean =>
    Math.min(x - map.rim, y - map.rim, map.width - map.rim - x, map.height - map.rim - y) < AT_EDGE_PX;
  const through = marks.chains.filter(({ ax, ay, bx, by, inkLength }) => {
    const length = Math.hypot(bx - ax, by - ay);
    const isLong = length > Math.min(map.width, map.height) / 2;
    return isLong && inkLength > RULED_INK * length && atEdge(ax, ay) && atEdge(bx, by);
  });
  return through.length >= FEWEST_RULED;
}

/** False where coloured grain or moire may hide a closed border. */
function isPlain({ evidence, score, map, marks, network }: Found): boolean {
  if (isClosed(evidence)) return true;
  const chains = network.chains.map((c) => marks.chains[c]);
  return score > CLEAR_SCORE && !isCluttered(chains, Math.max(map.width, map.height));
}

function bestOf(traced: readonly Found[]): Found | null {
  let best: Found | null = null;
  let isBestPlain = false;
  for (const found of traced) {
    const plain = isPlain(found);
    if (best && (plain === isBestPlain ? found.score <= best.score : isBestPlain)) continue;
    best = found;
    isBestPlain = plain;
  }
  return best;
}

/** Traces the likeliest candidates in full. */
function trace(candidates: readonly Candidate[]): Found[] {
  const worth = (c: Candidate): number =>
    c.quick +
    (c.onSheet ? 0.2 : 0) -
    0.05 * c.looseness +
    0.1 * Math.log(c.mass) +
    (c.kinds.every((k) => k === 'sheet') ? 1 : 0);
  const all = [...candidates].sort((p, q) => worth(q) - worth(p));
  const isSheet = ({ kinds }: Candidate): boolean => kinds.every((kind) => kind === 'sheet');
  // The same corners come from several networks: they are traced once and weighed with each; a sheet's edge and a border beside it are traced apart.
  const groups: Candidate[][] = [];
  const counts = [0, 0];
  for (const c of all) {
    const group = groups.find(([first]) => same(first, c) && isSheet(first) === isSheet(c));
    const kind = c.reserved ? 1 : 0;
    if (group) group.push(c);
    else if (counts[kind]++ < [MOST_TRACED, MOST_RESERVED][kind]) groups.push([c]);
  }
  return groups.flatMap((group) => refine(group) ?? []);
}

/** Ink of one polarity, and the sheets on which to look for it. */
interface View {
  readonly map: InkMap;
  readonly regions: readonly Region[];
}

/** Dark lines on light paper, and light lines on dark paper where the picture may be that. */
function viewsOf(copy: WorkingCopy): View[] {
  const light = lightShare(copy);
  const out: View[] = [];
  const map = inkMap(copy, 'dark-ink');
  const regions = findRegions(map);
  // A light sheet on a dark, patterned desk makes the picture dark, not the paper.
  if (light >= SURELY_DARK || regions.some(isClear)) out.push({ map, regions });
  if (light <= SURELY_LIGHT) {
    const inked = inkMap(copy, 'light-ink');
    out.push({ map: inked, regions: findRegions(inked) });
  }
  return out;
}

function candidatesIn({ map, regions }: View): Candidate[] {
  const marks = findMarks(map, map.noise);
  const all = groundsOf(map, marks, regions).flatMap((ground) => candidatesOn(ground, map));
  // Where a sheet of this size lies in the picture, the grain of the desk runs into the picture's edges, not creases.
  const hasSheet = regions.some((region) => isClear(region) && region.share > LEAST_SHEET && region.share < MOST_SHEET);
  return hasSheet ? all.filter(({ kinds }) => kinds.some((kind) => kind !== 'picture')) : all;
}

function same(a: Candidate, b: Candidate): boolean {
  const corners = (c: Candidate): WorkPoint[] => c.sides.map((s) => s.from);
  return alike(corners(a), corners(b), SAME_PX);
}

function alike(a: readonly WorkPoint[], b: readonly WorkPoint[], near: number): boolean {
  return a.length === b.length && a.every((p) => b.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < near));
}
