/** Dots printed on the paper in even rows and columns, as on dotted paper. */
import Flatbush from 'flatbush';
import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import { apply, homographyFrom, inverse } from '../geometry/homography.ts';
import type { PaperPoint, Sheet } from '../types.ts';

/** A spot is darker than all of the paper on rings of these radii around it, px: small ones, and those of a large picture. */
const RINGS_PX = [4, 7];
/** It is so alike in all directions: an end of a stroke, or a darker place on one, is not. */
const ALL_AROUND = 0.7;
/** ... by this much of the paper's light, and by this share of what the spots usual on this paper are; so many of the darkest tell that. */
const LEAST_DARKER = 0.03;
const USUAL_SHARE = 0.4;
const TELLING = 120;
/** More spots than this are the grain of the paper. */
const MOST_SPOTS = 2500;
/** From one dot to the next is this far, a share of the sheet's longest side; displacements are counted in bins of so many px. */
const NEAREST = 0.012;
const FARTHEST = 0.13;
const BIN_PX = 2;
/** A step of the pattern is had by this share of the spots, and of what the commonest displacement is had by. */
const LEAST_STEPS = 0.3;
const AS_COMMON = 0.6;
/** The two steps of one square are as long as each other, and at right angles, up to this share: the sheet's proportions are not known yet. */
const SKEW = 0.35;
/** The next dot is this near to where it should be, a share of the step. */
const NEAR = 0.14;
/** Fewer dots, or dots on a smaller share of the places on the sheet, are no pattern. Strokes hide some. */
const LEAST_DOTS = 40;
const LEAST_TAKEN = 0.6;

type Step = readonly [x: number, y: number];

/** Dots on the paper raster, and the column and the row of each. */
export interface Squares {
  readonly at: readonly PaperPoint[];
  readonly to: readonly (readonly [column: number, row: number])[];
}

/** The dots of the paper; null where there are none. */
export function findDots(sheet: Sheet): Squares | null {
  const spots = spotsOf(sheet);
  if (spots.length < LEAST_DOTS) return null;
  const near = neighboursOf(spots, Math.max(sheet.width, sheet.height) * sheet.pxPerUnit * FARTHEST);
  const steps = stepsOf(spots, near, sheet);
  if (!steps) return null;
  const placed = placedOn(spots, near, steps);
  if (placed.size < LEAST_DOTS) return null;
  const dots: Squares = { at: [...placed.keys()].map((i) => spots[i]), to: [...placed.values()] };
  return areAllOver(dots, sheet) ? dots : null;
}

/** Middles of small dark spots that stand alone, the darkest first. */
function spotsOf(sheet: Sheet): PaperPoint[] {
  const { width, height, channels, data } = sheet.raster;
  const light = new Float32Array(width * height);
  for (let i = 0; i < light.length; i++) {
    for (let c = 0; c < channels; c++) light[i] += data[i * channels + c] / (255 * channels);
  }
  const found = RINGS_PX.map((radius) => spotsWithin(light, width, height, radius));
  // The ring that sees more of them is of the right size.
  return found.reduce((best, spots) => (spots.length > best.length ? spots : best));
}

function spotsWithin(light: Float32Array, width: number, height: number, radius: number): PaperPoint[] {
  // Without gaps, or thin strokes pass between its places.
  const places = Math.ceil(2 * Math.PI * radius);
  const ring = Array.from({ length: places }, (_, k) => {
    const angle = (2 * Math.PI * k) / places;
    return Math.round(radius * Math.sin(angle)) * width + Math.round(radius * Math.cos(angle));
  });
  const spots: { x: number; y: number; darker: number }[] = [];
  for (let y = radius; y < height - radius; y++) {
    for (let x = radius; x < width - radius; x++) {
      const i = y * width + x;
      if (!isDarkest(light, i, width)) continue;
      let least = Infinity;
      let sum = 0;
      for (const d of ring) {
        sum += light[i + d];
        if (light[i + d] < least) least = light[i + d];
      }
      const darker = 1 - light[i] / least;
      const usual = 1 - (light[i] * places) / sum;
      if (darker > Math.max(LEAST_DARKER, ALL_AROUND * usual)) spots.push({ ...middleOf(light, i, width), darker });
    }
  }
  spots.sort((a, b) => b.darker - a.darker);
  const usual = spots[Math.min(TELLING, spots.length) - 1]?.darker ?? 0;
  const told = spots.filter(({ darker }) => darker > USUAL_SHARE * usual);
  return told.length > MOST_SPOTS ? [] : told.map(({ x, y }): PaperPoint => [x, y]);
}

/** Whether none of the eight pixels around is darker; of equal ones the first counts. */
function isDarkest(light: Float32Array, i: number, width: number): boolean {
  for (const d of [-width - 1, -width, -width + 1, -1]) if (light[i + d] <= light[i]) return false;
  for (const d of [1, width - 1, width, width + 1]) if (light[i + d] < light[i]) return false;
  return true;
}

/** The summit of the parabolas through the pixel and its neighbours. */
function middleOf(light: Float32Array, i: number, width: number): { x: number; y: number } {
  const summit = (d: number): number => {
    const bend = light[i - d] + light[i + d] - 2 * light[i];
    return bend > 0 ? Math.max(-0.5, Math.min(0.5, (light[i - d] - light[i + d]) / (2 * bend))) : 0;
  };
  return { x: (i % width) + 0.5 + summit(1), y: Math.floor(i / width) + 0.5 + summit(width) };
}

/** For each spot the others within reach. */
function neighboursOf(spots: readonly PaperPoint[], reach: number): number[][] {
  const index = new Flatbush(spots.length);
  for (const [x, y] of spots) index.add(x, y);
  index.finish();
  return spots.map(([x, y], i) =>
    index.search(
      x - reach,
      y - reach,
      x + reach,
      y + reach,
      (j) => j !== i && Math.hypot(spots[j][0] - x, spots[j][1] - y) < reach,
    ),
  );
}

/** The two shortest steps that very many spots are apart by, nearly at right angles. */
function stepsOf(
  spots: readonly PaperPoint[],
  near: readonly (readonly number[])[],
  { width, height, pxPerUnit }: Sheet,
): [Step, Step] | null {
  const longest = Math.max(width, height) * pxPerUnit;
  const half = Math.ceil((longest * FARTHEST) / BIN_PX) + 1;
  const size = 2 * half + 1;
  const counts = new Float64Array(size * size);
  const binOf = (v: number): number => Math.round(v / BIN_PX) + half;
  near.forEach((others, i) => {
    for (const j of others) {
      const [dx, dy] = [spots[j][0] - spots[i][0], spots[j][1] - spots[i][1]];
      if (Math.hypot(dx, dy) > NEAREST * longest) counts[binOf(dy) * size + binOf(dx)]++;
    }
  });
  // Steps fall beside the middles of bins: all around one count together.
  const around = (i: number): number => {
    let sum = 0;
    for (const r of [-size, 0, size]) for (const c of [-1, 0, 1]) sum += counts[i + r + c];
    return sum;
  };
  const common: { step: Step; count: number }[] = [];
  for (let r = 1; r < size - 1; r++) {
    for (let c = 1; c < size - 1; c++) {
      const i = r * size + c;
      if (counts[i] === 0) continue;
      common.push({ step: [(c - half) * BIN_PX, (r - half) * BIN_PX], count: around(i) });
    }
  }
  const most = Math.max(0, ...common.map(({ count }) => count));
  if (most < LEAST_STEPS * spots.length) return null;
  const steps = common
    .filter(({ count }) => count > Math.max(AS_COMMON * most, LEAST_STEPS * spots.length))
    .map(({ step }) => step)
    .sort((a, b) => Math.hypot(...a) - Math.hypot(...b));
  const [first] = steps;
  const second = steps.find((step) => {
    const [long, short] = [Math.hypot(...step), Math.hypot(...first)];
    const along = (step[0] * first[0] + step[1] * first[1]) / (long * short);
    return Math.abs(along) < SKEW && long < (1 + SKEW) * short;
  });
  return second ? [first, second] : null;
}

/** Columns and rows of the spots that are steps apart, from the one that most are joined to. */
function placedOn(
  spots: readonly PaperPoint[],
  near: readonly (readonly number[])[],
  [u, v]: readonly [Step, Step],
): Map<number, [number, number]> {
  const reach = NEAR * Math.min(Math.hypot(...u), Math.hypot(...v));
  const moves: readonly (readonly [column: number, row: number])[] = [
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
  ];
  let most = new Map<number, [number, number]>();
  const seen = new Set<number>();
  for (let seed = 0; seed < spots.length; seed++) {
    if (seen.has(seed)) continue;
    const placed = new Map<number, [number, number]>([[seed, [0, 0]]]);
    const queue = [seed];
    for (let i = queue.pop(); i !== undefined; i = queue.pop()) {
      seen.add(i);
      const [column, row] = placed.get(i) as [number, number];
      for (const [du, dv] of moves) {
        const [x, y] = [spots[i][0] + du * u[0] + dv * v[0], spots[i][1] + du * u[1] + dv * v[1]];
        // Spots are in order of darkness: the darkest of those that are near enough.
        const next = Math.min(...near[i].filter((j) => Math.hypot(spots[j][0] - x, spots[j][1] - y) < reach));
        if (next === Infinity || placed.has(next)) continue;
        placed.set(next, [column + du, row + dv]);
        queue.push(next);
      }
    }
    if (placed.size > most.size) most = placed;
  }
  return most;
}

/** Whether dots are on most places of the pattern that lie on the sheet. */
function areAllOver({ at, to }: Squares, sheet: Sheet): boolean {
  const map = homographyFrom(at, to);
  const back = inverse(map);
  const isOnSheet = (p: PaperPoint): boolean => {
    const [x, y] = paperToPattern(sheet, p);
    return x > 0 && y > 0 && x < sheet.width && y < sheet.height;
  };
  const corners = sheet.polygon.map((p) => apply(map, patternToPaper(sheet, p)));
  const [columns, rows] = [0, 1].map((axis) => corners.map((c) => Math.round(c[axis])));
  let all = 0;
  for (let column = Math.min(...columns); column <= Math.max(...columns); column++) {
    for (let row = Math.min(...rows); row <= Math.max(...rows); row++) {
      if (isOnSheet(apply(back, [column, row]))) all++;
    }
  }
  const taken = at.filter(isOnSheet).length;
  return taken >= LEAST_DOTS && taken > LEAST_TAKEN * all;
}
