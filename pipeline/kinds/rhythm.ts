/** How a stroke is interrupted: lengths in stroke widths. */
export interface Beat {
  /** Share of the length with ink. */
  readonly filled: number;
  /** Holes per stroke width of length. */
  readonly holeRate: number;
  /** Dots (runs much shorter than the longest, or no longer than DOT_WIDTHS) as a share of the whole runs. */
  readonly dots: number;
  /** Whole runs seen (with a hole on both sides). */
  readonly runs: number;
  /** Length looked at. */
  readonly length: number;
  /** How irregularly the holes follow each other, about 0 for drawn rhythms and 0.5 for skips of the pen; null where they are too few. */
  readonly irregular: number | null;
}

export type Rhythm = 'solid' | 'dashed' | 'dashdot' | 'dotted';

/** A run no longer than this many stroke widths is a dot. */
const DOT_WIDTHS = 2.4;
/** ... or than this share of the dashes beside it; so many whole runs are enough to go by that alone. */
const DOT_SHARE = 0.5;
const TELLING_RUNS = 3;
/** Every third run at least is a dash. */
const DASH_QUANTILE = 0.8;
/** Holes shorter than this many stroke widths (at least so many px) are noise. */
const LEAST_HOLE_WIDTHS = 0.5;
const LEAST_HOLE_PX = 1.5;

/** Counts the runs and holes in samples of 1 px. `width` is the stroke width in px. */
export function readBeat(beat: Uint8Array, width: number): Beat {
  const leastHole = Math.max(LEAST_HOLE_PX, LEAST_HOLE_WIDTHS * width);
  let filled = 0;
  let dots = 0;
  const ends: { from: number; to: number }[] = [];
  for (let i = 0; i < beat.length; ) {
    if (!beat[i]) {
      i++;
      continue;
    }
    let j = i;
    while (j < beat.length && beat[j]) j++;
    filled += j - i;
    const last = ends[ends.length - 1];
    if (last && i - last.to < leastHole) last.to = j;
    else ends.push({ from: i, to: j });
    i = j;
  }
  const whole = ends.filter((e) => e.from > 0 && e.to < beat.length);
  const lengths = (whole.length >= TELLING_RUNS ? whole : ends).map(({ from, to }) => to - from).sort((a, b) => a - b);
  // Two dashes that another line's ink joins are no long dash.
  const dash = lengths[Math.ceil(DASH_QUANTILE * (lengths.length - 1))];
  // Beside enough whole runs a dot is what is short among them: short dashes alone are no dots.
  const most = whole.length >= TELLING_RUNS ? 0 : DOT_WIDTHS * width + 1;
  for (const { from, to } of whole) if (to - from <= most || to - from < DOT_SHARE * dash) dots++;
  const length = beat.length / width;
  const runs = whole.length;
  return {
    filled: beat.length ? filled / beat.length : 0,
    holeRate: length > 0 ? Math.max(0, ends.length - 1) / length : 0,
    dots: runs ? dots / runs : 0,
    runs,
    length,
    irregular: irregularity(ends),
  };
}

/** Where no ink is between ink, px. */
export interface Hole {
  readonly at: number;
  readonly length: number;
}

/** All holes in samples of 1 px, however short. */
export function holesIn(beat: Uint8Array): Hole[] {
  const holes: Hole[] = [];
  let last = -1;
  for (let i = 0; i < beat.length; i++) {
    if (!beat[i]) continue;
    if (last >= 0 && i - last > 1) holes.push({ at: (last + 1 + i) / 2, length: i - last - 1 });
    last = i;
  }
  return holes;
}

/** A rhythm repeats after a dash, a dash and a dot, or a dash and two dots. */
const MOST_IN_PERIOD = 3;
/** Distances from hole to hole that are enough to judge by. */
const LEAST_STEPS = 3;

/** Median deviation of the distance from each hole to the one a period on, as a share of it, for the period that fits best. */
function irregularity(runs: readonly { from: number; to: number }[]): number | null {
  const holes = runs.slice(1).map(({ from }, i) => (runs[i].to + from) / 2);
  let best: number | null = null;
  for (let k = 1; k <= MOST_IN_PERIOD && holes.length - k >= LEAST_STEPS; k++) {
    const steps = holes.slice(k).map((at, i) => at - holes[i]);
    const usual = middleOf(steps);
    const off = middleOf(steps.map((step) => Math.abs(step - usual))) / usual;
    if (best === null || off < best) best = off;
  }
  return best;
}

function middleOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1];
}

/** Long strokes with fewer holes than one in this many widths are solid. */
const SOLID_LENGTH = 45;

/** Pools the beats of several pieces, weighted by their length. */
export function poolBeats(beats: readonly Beat[]): Beat {
  let length = 0;
  let filled = 0;
  let holes = 0;
  let dots = 0;
  let runs = 0;
  let [judged, irregular] = [0, 0];
  for (const b of beats) {
    if (b.irregular !== null) {
      judged += b.length;
      irregular += b.irregular * b.length;
    }
    length += b.length;
    filled += b.filled * b.length;
    holes += b.holeRate * b.length;
    dots += b.dots * b.runs;
    runs += b.runs;
  }
  return {
    filled: length ? filled / length : 0,
    holeRate: length ? holes / length : 0,
    dots: runs ? dots / runs : 0,
    runs,
    length,
    irregular: judged ? irregular / judged : null,
  };
}

/** Holes more irregular than this are skips of the pen in a solid line; dashes drawn by hand vary less. */
const SKIPS = 0.25;
/** Dots fill less than this share of a dotted line. */
const DOTTED_FILL = 0.35;

/** Names a rhythm (element lengths after ISO 128-2: dash 12, gap 3, dot half a stroke width). */
export function nameRhythm(b: Beat): Rhythm {
  if (b.holeRate < 1 / SOLID_LENGTH || b.filled > 0.97) return 'solid';
  if (b.irregular !== null && b.irregular > SKIPS) return 'solid';
  // Runs all of one length are dashes, however short; true dots are mostly hole.
  if (b.dots > 0.85 || b.dots < 0.15) return b.filled < DOTTED_FILL ? 'dotted' : 'dashed';
  // Dash-dot has one dot a dash, dash-dot-dot two.
  return b.dots > 0.25 ? 'dashdot' : 'dashed';
}
