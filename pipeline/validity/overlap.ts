import Flatbush from 'flatbush';
import { type BitRows, makeBitRows, setBit } from './bits.ts';
import type { Footprints } from './footprints.ts';

/** Which footprints cover common ground. */
export interface Overlaps {
  /** Footprints that overlap footprint k, itself included: at[k] .. at[k + 1] - 1. */
  readonly at: Int32Array;
  readonly other: Int32Array;
  /** Row: segment; column: footprint whose inside the segment runs through. */
  readonly crossed: BitRows;
  /** Whether three footprints that overlap pairwise have ground in common. */
  readonly threefold: (i: number, j: number, k: number) => boolean;
}

/**
 * Finds overlapping footprints through a spatial index and the separating-axis test.
 *
 * @param sliver overlaps thinner than this do not count, pattern units
 */
export function findOverlaps(prints: Footprints, sliver: number): Overlaps {
  const { count, corner, x, y } = prints;
  const box = boxesOf(prints);
  const index = new Flatbush(Math.max(1, count));
  for (let k = 0; k < count; k++) index.add(box[4 * k], box[4 * k + 1], box[4 * k + 2], box[4 * k + 3]);
  if (count === 0) index.add(0, 0, 0, 0);
  index.finish();
  const lists: number[][] = Array.from({ length: count }, (_, k) => [k]);
  for (let k = 0; k < count; k++) {
    index.search(box[4 * k], box[4 * k + 1], box[4 * k + 2], box[4 * k + 3], (j) => {
      if (j > k && !isApart(prints, k, j, sliver) && !isApart(prints, j, k, sliver)) {
        lists[k].push(j);
        lists[j].push(k);
      }
      return false;
    });
  }
  const at = new Int32Array(count + 1);
  for (let k = 0; k < count; k++) at[k + 1] = at[k] + lists[k].length;
  const other = new Int32Array(at[count]);
  lists.forEach((list, k) => {
    other.set(list, at[k]);
  });
  const crossed = makeBitRows(prints.segments, count);
  for (let s = 0; s < prints.segments; s++) {
    const [x0, y0, x1, y1] = prints.ends.subarray(4 * s, 4 * s + 4);
    index.search(Math.min(x0, x1), Math.min(y0, y1), Math.max(x0, x1), Math.max(y0, y1), (k) => {
      if (runsThrough(prints, s, k, sliver)) setBit(crossed, s, k);
      return false;
    });
  }
  const clip = makeClipper(Math.max(...corner.subarray(1).map((end, k) => end - corner[k]), 3));
  const known = makePairCache();
  const threefold = (i: number, j: number, k: number): boolean => {
    if (i === j || j === k || i === k) return true;
    const low = Math.min(i, j, k);
    const high = Math.max(i, j, k);
    const middle = i + j + k - low - high;
    const answer = known.get(low * count + middle, high);
    if (answer >= 0) return answer === 1;
    clip.start(x, y, corner[low], corner[low + 1]);
    clip.within(x, y, corner[middle], corner[middle + 1]);
    clip.within(x, y, corner[high], corner[high + 1]);
    const found = clip.isThick(sliver);
    known.set(low * count + middle, high, found ? 1 : 0);
    return found;
  };
  return { at, other, crossed, threefold };
}

function boxesOf({ count, corner, x, y }: Footprints): Float64Array {
  const box = new Float64Array(count * 4);
  for (let k = 0; k < count; k++) {
    const [xs, ys] = [x.subarray(corner[k], corner[k + 1]), y.subarray(corner[k], corner[k + 1])];
    box.set([Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)], 4 * k);
  }
  return box;
}

/** Whether some side of footprint a has all of b on its outside, or inside by a sliver at most. */
function isApart({ corner, x, y }: Footprints, a: number, b: number, sliver: number): boolean {
  for (let i = corner[a], last = corner[a + 1] - 1; i < corner[a + 1]; last = i++) {
    const [ox, oy] = [x[last], y[last]];
    const [dx, dy] = [x[i] - ox, y[i] - oy];
    const most = sliver * Math.sqrt(dx * dx + dy * dy);
    let outside = true;
    for (let j = corner[b]; outside && j < corner[b + 1]; j++) {
      if (dx * (y[j] - oy) - dy * (x[j] - ox) > most) outside = false;
    }
    if (outside) return true;
  }
  return false;
}

/** Whether more than a sliver of a segment lies inside a footprint, deeper than a sliver. */
function runsThrough({ corner, x, y, ends }: Footprints, s: number, k: number, sliver: number): boolean {
  const [px, py] = [ends[4 * s], ends[4 * s + 1]];
  const [dx, dy] = [ends[4 * s + 2] - px, ends[4 * s + 3] - py];
  let [t0, t1] = [0, 1];
  for (let i = corner[k], last = corner[k + 1] - 1; i < corner[k + 1]; last = i++) {
    const [ex, ey] = [x[i] - x[last], y[i] - y[last]];
    const size = Math.sqrt(ex * ex + ey * ey);
    // Depth inside this side, less the sliver: a + t·b must be positive.
    const a = (ex * (py - y[last]) - ey * (px - x[last])) / size - sliver;
    const b = (ex * dy - ey * dx) / size;
    if (a <= 0 && a + b <= 0) return false;
    if (a <= 0) t0 = Math.max(t0, -a / b);
    else if (a + b <= 0) t1 = Math.min(t1, -a / b);
  }
  return (t1 - t0) * Math.hypot(dx, dy) > sliver;
}

interface Clipper {
  readonly start: (x: Float64Array, y: Float64Array, from: number, to: number) => void;
  readonly within: (x: Float64Array, y: Float64Array, from: number, to: number) => void;
  readonly isThick: (sliver: number) => boolean;
}

/** Cuts a convex polygon down by others, in place (Sutherland & Hodgman 1974). */
function makeClipper(corners: number): Clipper {
  // Each of two clips adds a corner a side at most.
  const size = 4 * corners;
  let [ax, ay, bx, by] = [0, 0, 0, 0].map(() => new Float64Array(size));
  let n = 0;
  return {
    start: (x, y, from, to) => {
      n = to - from;
      for (let i = 0; i < n; i++) {
        ax[i] = x[from + i];
        ay[i] = y[from + i];
      }
    },
    within: (x, y, from, to) => {
      for (let i = from, last = to - 1; i < to && n > 0; last = i++) {
        const [ox, oy] = [x[last], y[last]];
        const [ex, ey] = [x[i] - ox, y[i] - oy];
        let m = 0;
        let before = n - 1;
        let depthBefore = ex * (ay[before] - oy) - ey * (ax[before] - ox);
        for (let j = 0; j < n; j++) {
          const depth = ex * (ay[j] - oy) - ey * (ax[j] - ox);
          if (depth > 0 !== depthBefore > 0) {
            const t = depthBefore / (depthBefore - depth);
            bx[m] = ax[before] + t * (ax[j] - ax[before]);
            by[m++] = ay[before] + t * (ay[j] - ay[before]);
          }
          if (depth > 0) {
            bx[m] = ax[j];
            by[m++] = ay[j];
          }
          before = j;
          depthBefore = depth;
        }
        n = m;
        [ax, ay, bx, by] = [bx, by, ax, ay];
      }
    },
    isThick: (sliver) => {
      let twice = 0;
      let round = 0;
      for (let i = 0, last = n - 1; i < n; last = i++) {
        twice += ax[last] * ay[i] - ax[i] * ay[last];
        round += Math.hypot(ax[i] - ax[last], ay[i] - ay[last]);
      }
      // A region of width w has an area of at most w times half its outline.
      return twice > sliver * round;
    },
  };
}

interface PairCache {
  readonly get: (first: number, second: number) => number;
  readonly set: (first: number, second: number, value: number) => void;
}

/** Open-addressing table from two whole numbers to a small one; -1 where nothing is stored. */
function makePairCache(): PairCache {
  let mask = 1023;
  let first = new Float64Array(mask + 1).fill(-1);
  let second = new Int32Array(mask + 1);
  let value = new Int8Array(mask + 1);
  let used = 0;
  const find = (a: number, b: number): number => {
    // Multipliers are large odd numbers, as multiplicative hashing wants; the high bits are folded onto the low ones.
    const mixed = Math.imul(a % 4294967291, 0x9e3779b1) ^ Math.imul(b, 0x85ebca6b);
    let slot = (mixed ^ (mixed >>> 15)) & mask;
    while (first[slot] >= 0 && (first[slot] !== a || second[slot] !== b)) slot = (slot + 1) & mask;
    return slot;
  };
  const set = (a: number, b: number, v: number): void => {
    if (used * 2 > mask) {
      const [oldFirst, oldSecond, oldValue] = [first, second, value];
      mask = mask * 2 + 1;
      first = new Float64Array(mask + 1).fill(-1);
      second = new Int32Array(mask + 1);
      value = new Int8Array(mask + 1);
      used = 0;
      for (let i = 0; i < oldFirst.length; i++) if (oldFirst[i] >= 0) set(oldFirst[i], oldSecond[i], oldValue[i]);
    }
    const slot = find(a, b);
    if (first[slot] < 0) used++;
    first[slot] = a;
    second[slot] = b;
    value[slot] = v;
  };
  return {
    get: (a, b) => {
      const slot = find(a, b);
      return first[slot] < 0 ? -1 : value[slot];
    },
    set,
  };
}
