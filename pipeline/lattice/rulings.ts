import { weightedMedian } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import type { Segment } from '../strokes/segments.ts';
import type { Sheet } from '../types.ts';
import { borderPx, type ChordOf, chordsOf, inkAlong, lineThrough, OUTSIDE_TO, type PaperLine } from './past-outline.ts';

/** Lines printed on the paper, seen where they run on past the outline at both ends. */
export interface Ruling {
  /** From the one side of the sheet's margin to the other, in order, evenly spaced; paper px. */
  readonly lines: readonly PaperLine[];
  /** From one line to the next, px. */
  readonly step: number;
  /** Ink across a line, mean density over the window of `inkAlong`. */
  readonly amount: number;
}

/** Directions are counted in so many bins of half a turn; a ruling has one of the fullest, and strokes so near it tell its direction, radians. */
const BINS = 180;
const MOST_DIRECTIONS = 4;
const NEAR = (3 * Math.PI) / 180;
/** A direction with a smaller share of the length of all strokes is none of a ruling. */
const LEAST_SHARE = 0.04;
/**
 * Past the outline a line shows on the nearer half of the way to the end of the raster and on the farther one, on each with this share of
 * what it has on the other: what a hand overshoots ends before.
 */
const GOES_ON = 0.5;
/** It stands out of what most places beside it show by so many times, and has at least this share of what is usual for such lines. */
const STANDS_OUT = 4;
const LEAST_STRONG = 0.4;
/** Its crossings at the two ends lie apart by this share of a step at most. */
const SAME_LINE = 0.25;
/** Beside the outline there is desk where the paper's tone is off by this much, density. */
const DESK = 0.15;
/** Steps agree to this share, of all but a few steps; a step that is a multiple has lines in it that something hides. */
const UNEVEN = 0.15;
const EVEN_SHARE = 0.8;
const MOST_HIDDEN = 3;
/** Fewer lines, or lines on less of the sheet, are marks that someone made; so are lines nearer than strokes, in stroke widths. */
const LEAST_LINES = 5;
const LEAST_SPAN = 0.6;
const LEAST_SEEN = 0.6;
const LEAST_STEP_WIDTHS = 4;
/** A line of more than this share of the longest one's length within the sheet tells its own direction. */
const LONG = 0.6;
/** Paper beside a line is looked at this far from its edge; a shorter way outside says nothing, px. */
const FLANK_PX = 4;
const LEAST_OUTSIDE_PX = 8;

/**
 * The rulings of the paper: evenly spaced lines that run on past the outline at both ends to the end of what is seen of the paper, all over
 * the sheet. Creases and grids of a drawing end at its outline. Two for squared paper. Common practice, no source.
 */
export function findRulings(segments: readonly Segment[], ink: InkField, sheet: Sheet): Ruling[] {
  const found: Ruling[] = [];
  for (const angle of directionsOf(segments)) {
    const ruling = rulingAlong(angle, ink, sheet);
    if (ruling) found.push(ruling);
  }
  return found;
}

/** The fullest directions of the strokes, radians, paper px (y down). */
function directionsOf(segments: readonly Segment[]): number[] {
  const sums = new Float64Array(BINS);
  const binOf = (angle: number): number => Math.floor((angle / Math.PI) * BINS) % BINS;
  let all = 0;
  for (const { angle, length } of segments) {
    sums[binOf(angle)] += length;
    all += length;
  }
  const rounded = sums.map((v, i) => v + sums[(i + 1) % BINS] + sums[(i + BINS - 1) % BINS]);
  const found: number[] = [];
  for (const bin of [...rounded.keys()].sort((a, b) => rounded[b] - rounded[a])) {
    const middle = ((bin + 0.5) * Math.PI) / BINS;
    if (rounded[bin] < LEAST_SHARE * all || found.length === MOST_DIRECTIONS) break;
    if (found.some((f) => Math.abs(turn(f, middle)) < 2 * NEAR)) continue;
    const near = segments.filter((s) => Math.abs(turn(s.angle, middle)) < NEAR);
    found.push(middle + weightedMedian(near.map((s) => ({ value: turn(s.angle, middle), weight: s.length }))));
  }
  return found;
}

/** The turn from b to a, radians in [-pi / 2, pi / 2). */
function turn(a: number, b: number): number {
  return a - b - Math.PI * Math.round((a - b) / Math.PI);
}

/** Where a line crosses the margin: how far beside the origin, where along its direction, and its ink. */
interface Crossing {
  readonly off: number;
  readonly t: number;
  /** How far it stands out of the paper, density. */
  readonly strength: number;
  readonly amount: number;
}
/** The crossings of one line, where it enters the sheet and where it leaves it. */
type Pair = readonly [Crossing, Crossing];

const middleOf = ([a, b]: Pair): number => (a.off + b.off) / 2;
const median = (values: readonly number[]): number => weightedMedian(values.map((value) => ({ value, weight: 1 })));
const gapsOf = (offs: readonly number[]): number[] => offs.slice(1).map((off, i) => off - offs[i]);

function rulingAlong(angle: number, ink: InkField, sheet: Sheet): Ruling | null {
  const normal = { nx: -Math.sin(angle), ny: Math.cos(angle) };
  const corners = [0, ink.width].flatMap((x) => [0, ink.height].map((y) => normal.nx * x + normal.ny * y));
  const [low, high] = [Math.min(...corners), Math.max(...corners)];
  const near = chordsOf(sheet, borderPx(ink));
  const far = chordsOf(sheet, OUTSIDE_TO * sheet.pxPerUnit);
  const ways = Array.from({ length: Math.ceil(high - low) }, (_, i) =>
    wayOf({ ...normal, off: low + i }, near, far, ink),
  );
  const [before, after] = [0, 1].map((end) => crossingsOf(ways, end, ink));
  if (Math.min(before.length, after.length) < LEAST_LINES) return null;
  const pairs = paired(before, after);
  const step = median(gapsOf(pairs.map(middleOf)));
  const even = longestRow(pairs, step);
  const seen = ways.filter(({ outside }) => outside !== null).length;
  const across = Math.min(1, Math.abs(normal.nx) * sheet.width + Math.abs(normal.ny) * sheet.height);
  const isRuling =
    step >= LEAST_STEP_WIDTHS * ink.strokeWidthPx &&
    even.length >= Math.max(LEAST_LINES, (LEAST_SEEN * seen) / step, EVEN_SHARE * pairs.length) &&
    middleOf(even[even.length - 1]) - middleOf(even[0]) >= LEAST_SPAN * across * sheet.pxPerUnit;
  if (!isRuling) return null;
  return {
    lines: linesThrough(normal, withHidden(even, step, low, high)),
    step,
    amount: median(even.flatMap((pair) => pair.map(({ amount }) => amount))),
  };
}

/** A line of the ruling's direction and where it passes the margin at either end: positions on it; null where nothing is seen of the paper. */
interface Way {
  readonly line: PaperLine;
  readonly outside: readonly (readonly [number, number])[] | null;
}

/** `nearOf` and `farOf` say where a line crosses the border's outer edge and the end of what is seen of the paper. */
function wayOf(line: PaperLine, nearOf: ChordOf, farOf: ChordOf, ink: InkField): Way {
  const flank = flankPx(ink);
  const beside = [-flank, 0, flank].map((o) => ({ ...line, off: line.off + o }));
  const near = beside.map(nearOf);
  const far = beside.map(farOf);
  const outside = [0, 1].map((end): [number, number] => {
    const sense = 2 * end - 1;
    const ends = (of: readonly ([number, number] | null)[]): number[] =>
      of.map((c) => sense * (c?.[end] ?? Number.NaN));
    const [from, to] = [Math.max(...ends(near)), Math.min(...ends(far))];
    let t = from;
    const isDesk = (l: PaperLine): boolean => Math.abs(inkAt(l, sense * t, ink)) >= DESK;
    while (t < to && !(isDesk(beside[0]) && isDesk(beside[2])) && !Number.isNaN(inkAt(line, sense * t, ink))) t++;
    return sense < 0 ? [-t + 1, -from] : [from, t - 1];
  });
  return { line, outside: outside.every(([from, to]) => to - from >= LEAST_OUTSIDE_PX) ? outside : null };
}

/** Paper beside a line lies this far from its middle. */
function flankPx(ink: InkField): number {
  return Math.ceil(ink.strokeWidthPx / 2) + FLANK_PX;
}

/** Where lines show past the outline, at the end where they enter it (0) or leave it (1), in order. `ways` are a px apart. */
function crossingsOf(ways: readonly Way[], end: number, ink: InkField): Crossing[] {
  const halves = [0, 1].map((half) =>
    ways.map(({ line, outside }) => {
      if (!outside) return 0;
      const [from, to] = outside[end];
      const middle = (from + to) / 2;
      return meanAlong(line, half === 0 ? from : middle, half === 0 ? middle : to, ink);
    }),
  );
  const flank = flankPx(ink);
  const standsOut = (of: readonly number[]): number[] => {
    const sums = [0];
    for (const v of of) sums.push(sums[sums.length - 1] + v);
    return of.map((_, i) => {
      const mean = (a: number, b: number): number => {
        const [from, to] = [a, b + 1].map((k) => Math.min(of.length, Math.max(0, i + k)));
        return (sums[to] - sums[from]) / Math.max(1, to - from);
      };
      return mean(-1, 1) - (mean(-flank - 1, -flank + 1) + mean(flank - 1, flank + 1)) / 2;
    });
  };
  const [inner, outer] = halves.map(standsOut);
  const weaker = inner.map((v, i) => Math.min(v, outer[i]));
  const noise = median(weaker.filter((_, i) => ways[i].outside !== null).map(Math.abs));
  const shown = weaker.map((v, i) => (ways[i].outside && v > GOES_ON * Math.max(inner[i], outer[i]) ? v : 0));
  const reach = Math.ceil(ink.strokeWidthPx / 2) + 1;
  const isPeak = (i: number): boolean => {
    for (let k = 1; k <= reach; k++) if (shown[i - k] >= shown[i] || shown[i + k] > shown[i]) return false;
    return shown[i] > STANDS_OUT * noise;
  };
  const found = ways.flatMap(({ line, outside }, i): Crossing[] => {
    if (!outside || !isPeak(i)) return [];
    const [from, to] = outside[end];
    const held = ways.slice(Math.max(0, i - 2), i + 3);
    const off = weightedMedian(
      held.map((w, k) => ({ value: w.line.off, weight: Math.max(0, shown[Math.max(0, i - 2) + k]) })),
    );
    return [{ off, t: (from + to) / 2, strength: shown[i], amount: inkAlong({ ...line, off }, from, to, ink) }];
  });
  // Weighed by themselves: specks are many but weak.
  const usual = weightedMedian(found.map(({ strength }) => ({ value: strength, weight: strength })));
  return found.filter(({ strength }) => strength > LEAST_STRONG * usual);
}

/** Density on a line at a position, mean of the channels; NaN off the raster. */
function inkAt({ nx, ny, off }: PaperLine, t: number, ink: InkField): number {
  const [x, y] = [Math.floor(nx * off + ny * t), Math.floor(ny * off - nx * t)];
  if (x < 0 || y < 0 || x >= ink.width || y >= ink.height) return Number.NaN;
  const i = 3 * (y * ink.width + x);
  return (ink.diff[i] + ink.diff[i + 1] + ink.diff[i + 2]) / 3;
}

function meanAlong(line: PaperLine, from: number, to: number, ink: InkField): number {
  let [sum, count] = [0, 0];
  for (let t = from; t <= to; t++, count++) sum += inkAt(line, t, ink) || 0;
  return sum / Math.max(1, count);
}

/** The crossings that belong to one line each: nearer to each other than to their neighbours, once what all are turned by is off. */
function paired(before: readonly Crossing[], after: readonly Crossing[]): Pair[] {
  const near = SAME_LINE * median(gapsOf(before.map(({ off }) => off)));
  const shifts = before.map((a) => nearest(after, a.off).off - a.off);
  const shift = median(shifts);
  return before.flatMap((a): Pair[] => {
    const b = nearest(after, a.off + shift);
    return Math.abs(b.off - a.off - shift) < near ? [[a, b]] : [];
  });
}

function nearest(of: readonly Crossing[], off: number): Crossing {
  return of.reduce((best, c) => (Math.abs(c.off - off) < Math.abs(best.off - off) ? c : best));
}

/** The longest row of lines a step apart, or as many steps as lines may be hidden in between. */
function longestRow(pairs: readonly Pair[], step: number): Pair[] {
  const length: number[] = [];
  const previous: number[] = [];
  pairs.forEach((pair, i) => {
    length[i] = 1;
    previous[i] = -1;
    for (let j = i - 1; j >= 0; j--) {
      const gap = (middleOf(pair) - middleOf(pairs[j])) / step;
      const steps = Math.round(gap);
      if (steps > MOST_HIDDEN + 1) break;
      if (steps < 1 || Math.abs(gap - steps) > UNEVEN || length[j] < length[i]) continue;
      length[i] = length[j] + 1;
      previous[i] = j;
    }
  });
  const row: Pair[] = [];
  for (let i = length.indexOf(Math.max(...length)); i >= 0; i = previous[i]) row.unshift(pairs[i]);
  return row;
}

/** The row with the lines between that something hides, and on to both ends of the raster. */
function withHidden(row: readonly Pair[], step: number, low: number, high: number): Pair[] {
  const between = (a: Pair, b: Pair, share: number): Pair => [mixed(a[0], b[0], share), mixed(a[1], b[1], share)];
  const out: Pair[] = [];
  row.forEach((pair, i) => {
    const last = row[i - 1];
    const steps = last ? Math.round((middleOf(pair) - middleOf(last)) / step) : 0;
    for (let k = 1; k < steps; k++) out.push(between(last, pair, k / steps));
    out.push(pair);
  });
  const beside = (pair: Pair, off: number): Pair => [
    { ...pair[0], off: pair[0].off + off },
    { ...pair[1], off: pair[1].off + off },
  ];
  for (let first = out[0]; middleOf(first) > low; first = out[0]) out.unshift(beside(first, -step));
  for (let last = out[out.length - 1]; middleOf(last) < high; last = out[out.length - 1]) out.push(beside(last, step));
  return out;
}

function mixed(a: Crossing, b: Crossing, share: number): Crossing {
  const mix = (u: number, v: number): number => u + (v - u) * share;
  return {
    off: mix(a.off, b.off),
    t: mix(a.t, b.t),
    strength: mix(a.strength, b.strength),
    amount: mix(a.amount, b.amount),
  };
}

/**
 * The lines through the crossings. Where a line cuts a corner of the sheet, its two crossings are too near to tell its direction: it has
 * that of the nearest longer one.
 */
function linesThrough({ nx, ny }: Pick<PaperLine, 'nx' | 'ny'>, row: readonly Pair[]): PaperLine[] {
  const lengthOf = ([a, b]: Pair): number => b.t - a.t;
  const longest = Math.max(...row.map(lengthOf));
  const long = row.filter((pair) => lengthOf(pair) > LONG * longest);
  return row.map((pair) => {
    const off = middleOf(pair);
    const like = long.reduce((best, l) => (Math.abs(middleOf(l) - off) < Math.abs(middleOf(best) - off) ? l : best));
    const slope = (like[1].off - like[0].off) / lengthOf(like);
    const t = (pair[0].t + pair[1].t) / 2;
    const at = (u: number): [number, number] => {
      const beside = off + slope * (u - t);
      return [nx * beside + ny * u, ny * beside - nx * u];
    };
    return lineThrough(...at(t - longest), ...at(t + longest));
  });
}
