import type { Box } from './beside.ts';
import type { Blob } from './blobs.ts';

/** A short level stroke, in one piece or in dashes. */
export interface Sample extends Box {
  readonly marks: readonly Blob[];
}

/** Text beside a sample. */
export interface Label extends Box {
  /** Usual height of its letters, px. */
  readonly letterPx: number;
  /** Px between it and the sample. */
  readonly gap: number;
}

export interface Labelled {
  readonly sample: Sample;
  readonly label: Label;
}

/** Samples are no thicker than so many of the pattern's usual strokes. */
const MOST_THICK = 2.5;
/** Lengths in what follows are shares of the sheet's longest side. */
const SAMPLE = { least: 0.018, most: 0.25 };
/** Gaps between dashes reach so far, and no farther than so many times the longer of them. */
const MOST_GAP = 0.02;
const GAP_OF_MARK = 2.5;
/** A longer mark is a stroke by itself: what goes on with it is about as long, or hardly apart. */
const LONG_MARK = 0.03;
const LIKE_MARK = 3;
const HARDLY_APART = 0.004;
/** Dashes of one row are as thick as each other, to this factor and the px of their rims. */
const LIKE_THICKNESS = 1.4;
const RIM_PX = 1;
/** A dash is so many times as long as high; dots, and letters, are not: most of a sample's length is dashes. */
const LONG_DASH = 2;
const DASH_SHARE = 0.5;
/** A sample is so many times as long as high. */
const SLENDER = 5;
/** A level stroke rises by this share of its length at most, where the sheet bends beyond its border. */
const SLOPE = 0.1;
const LETTER = { lowest: 0.0055, highest: 0.07, widest: 0.4 };
/** From the sample to its label it is no farther. */
const MOST_TO_LABEL = 0.1;
/** Words of a label lie no farther apart than so many times its height, and make it no longer than this. */
const WORD_GAP = 1.1;
const LONGEST_LABEL = 0.5;
/** More thin blobs are the grain of a picture, no text. */
const MOST_MARKS = 1500;
/** A page with more level strokes is no legend's. */
const MOST_SAMPLES = 300;
const MOST_IN_LEGEND = 8;

/**
 * Groups of level strokes with text on the same side of each, in a column or a row, as samples in a legend stand; those whose text is
 * nearest first.
 *
 * @param side the sheet's longest side, px
 * @param strokePx width of the pattern's strokes, px
 */
export function findLegends(blobs: readonly Blob[], side: number, strokePx: number): Labelled[][] {
  const samples = findSamples(blobs, side, strokePx);
  if (samples.length < 2 || samples.length > MOST_SAMPLES) return [];
  const used = new Set(samples.flatMap(({ marks }) => marks));
  const letters = blobs.filter(
    (b) =>
      !used.has(b) &&
      b.bottom - b.top >= LETTER.lowest * side &&
      b.bottom - b.top <= LETTER.highest * side &&
      b.right - b.left <= LETTER.widest * side,
  );
  const beside = samples.map((sample) => {
    const [right, left] = ([1, -1] as const).map((way) => labelOf(sample, letters, samples, way, side));
    return { sample, right, left };
  });
  const groups = (['right', 'left'] as const).flatMap((own) => {
    const other = own === 'right' ? 'left' : 'right';
    const labelled = beside.flatMap((one): Labelled[] =>
      isNearer(one[own], one[other]) ? [{ sample: one.sample, label: one[own] }] : [],
    );
    return aligned(labelled, side);
  });
  const gapOf = (group: readonly Labelled[]) => group.reduce((sum, { label }) => sum + label.gap, 0) / group.length;
  return groups.sort((a, b) => gapOf(a) - gapOf(b));
}

/** Of text on both sides of a sample the label is so many times nearer, or there is no telling. */
const NEARER = 1.4;
const LEAST_GAP_PX = 2;

function isNearer(own: Label | null, other: Label | null): own is Label {
  return own !== null && (other === null || NEARER * Math.max(LEAST_GAP_PX, own.gap) < other.gap);
}

/** Thin level blobs, alone or in a row of dashes. */
function findSamples(blobs: readonly Blob[], side: number, strokePx: number): Sample[] {
  const thick = MOST_THICK * strokePx + 2 * RIM_PX;
  const marks = blobs
    .filter((b) => {
      const [w, h] = [b.right - b.left, b.bottom - b.top];
      // Of a straight level stroke the mean height is nearly the whole: letters, written together too, are higher.
      const straight = LIKE_THICKNESS * (b.area / w) + RIM_PX + SLOPE * w;
      return w <= SAMPLE.most * side && h <= straight && b.area <= thick * w && w >= 0.5 * h;
    })
    .sort((a, b) => a.left - b.left);
  if (marks.length > MOST_MARKS) return [];
  const rows: Blob[][] = [];
  // Rows whose last mark ends there, by the height of its middle.
  const open = new Map<number, Blob[][]>();
  const levelOf = (b: Blob) => Math.round((b.top + b.bottom) / 4);
  for (const mark of marks) {
    const level = levelOf(mark);
    const [row] = [level - 1, level, level + 1]
      .flatMap((k) => open.get(k) ?? [])
      .filter((r) => goesOn(r[r.length - 1], mark, side))
      .sort((a, b) => b[b.length - 1].right - a[a.length - 1].right);
    const longer = row ?? [];
    if (row) {
      const before = levelOf(row[row.length - 1]);
      open.set(
        before,
        open.get(before)!.filter((r) => r !== row),
      );
    } else rows.push(longer);
    longer.push(mark);
    open.set(level, [...(open.get(level) ?? []), longer]);
  }
  return rows.map(around).filter(({ left, right, top, bottom, marks: own }) => {
    const length = right - left;
    const isLong = length >= SAMPLE.least * side && length <= SAMPLE.most * side && length >= SLENDER * (bottom - top);
    const inked = (of: readonly Blob[]) => of.reduce((sum, m) => sum + m.right - m.left, 0);
    return isLong && inked(own.filter(isDash)) > DASH_SHARE * inked(own);
  });
}

function isDash({ left, top, right, bottom }: Blob): boolean {
  return right - left >= LONG_DASH * (bottom - top);
}

function goesOn(last: Blob, next: Blob, side: number): boolean {
  const gap = next.left - last.right;
  const lengths = [last.right - last.left, next.right - next.left];
  const [longer, shorter] = [Math.max(...lengths), Math.min(...lengths)];
  if (gap < 0 || gap > Math.min(MOST_GAP * side, GAP_OF_MARK * longer)) return false;
  if (longer > LONG_MARK * side && longer > LIKE_MARK * shorter && gap > HARDLY_APART * side) return false;
  const [low, high] = [last, next].sort((a, b) => a.bottom - a.top - b.bottom + b.top);
  return high.bottom - high.top <= (isDash(high) ? LIKE_THICKNESS : 1) * (low.bottom - low.top) + RIM_PX;
}

function around(marks: readonly Blob[]): Sample {
  return { ...union(marks), marks };
}

function union(boxes: readonly Box[]): Box {
  return {
    left: Math.min(...boxes.map((b) => b.left)),
    top: Math.min(...boxes.map((b) => b.top)),
    right: Math.max(...boxes.map((b) => b.right)),
    bottom: Math.max(...boxes.map((b) => b.bottom)),
  };
}

/** The line of text that begins right of a sample (direction 1) or ends left of it (-1). */
function labelOf(
  sample: Sample,
  letters: readonly Blob[],
  samples: readonly Sample[],
  direction: 1 | -1,
  side: number,
): Label | null {
  const middle = (sample.top + sample.bottom) / 2;
  const gapTo = (from: Box, to: Box) => (direction > 0 ? to.left - from.right : from.left - to.right);
  const nextTo = (box: Box, reach: number) =>
    letters
      .filter((l) => gapTo(box, l) >= -OVERLAP_PX && gapTo(box, l) <= reach)
      .sort((a, b) => gapTo(box, a) - gapTo(box, b));
  const first = nextTo(sample, MOST_TO_LABEL * side).find(
    (l) => middle > l.top - LETTER.lowest * side && middle < l.bottom + LETTER.lowest * side,
  );
  if (!first) return null;
  let box: Box = first;
  const own = [first];
  for (;;) {
    const height = box.bottom - box.top;
    const found = nextTo(box, WORD_GAP * height).find(
      (l) =>
        !own.includes(l) &&
        Math.min(l.bottom, box.bottom) - Math.max(l.top, box.top) > SAME_LINE * Math.min(height, l.bottom - l.top),
    );
    if (!found) break;
    const next = union([box, found]);
    const isTaken = samples.some((s) => gapTo(box, s) >= 0 && gapTo(s, found) >= 0 && crosses(s, next));
    if (isTaken || next.right - next.left > LONGEST_LABEL * side) break;
    own.push(found);
    box = next;
  }
  const heights = own.map((l) => l.bottom - l.top).sort((a, b) => a - b);
  return { ...box, letterPx: heights[heights.length >> 1], gap: gapTo(sample, first) };
}

/** Letters may lean over each other by so many px. */
const OVERLAP_PX = 4;
/** Letters of one line share this much of the lower one's height. */
const SAME_LINE = 0.4;

function crosses(sample: Sample, line: Box): boolean {
  const middle = (sample.top + sample.bottom) / 2;
  return middle > line.top && middle < line.bottom;
}

/** Alike as samples in a column or row are, shares of their length and of the side. */
const LIKE_LENGTH = 1.7;
const SAME_COLUMN = 0.3;
const SAME_ROW = 0.012;
const NEAR = 0.5;

function aligned(labelled: readonly Labelled[], side: number): Labelled[][] {
  const groups: Labelled[][] = [];
  for (const one of labelled) {
    const near = groups.filter((group) => group.some((other) => isAligned(one.sample, other.sample, side)));
    const joined = [...near.flat(), one];
    for (const group of near) groups.splice(groups.indexOf(group), 1);
    groups.push(joined);
  }
  return groups.filter((group) => group.length > 1 && group.length <= MOST_IN_LEGEND);
}

function isAligned(a: Sample, b: Sample, side: number): boolean {
  const [length, other] = [a.right - a.left, b.right - b.left];
  if (Math.max(length, other) > LIKE_LENGTH * Math.min(length, other)) return false;
  const down = Math.abs(a.top + a.bottom - b.top - b.bottom) / 2;
  const across = Math.abs(a.left - b.left);
  const column = across < SAME_COLUMN * length && down > 0 && down < NEAR * side;
  const row = down < SAME_ROW * side + SLOPE * 0.5 * across && across > length && across < 2 * NEAR * side;
  return column || row;
}
