import { GRID_DIRECTIONS, type GridDirection } from './grid-directions.ts';
import { MOST_DIVISIONS } from './pitch.ts';
import type { StraightSegment } from './straight-segment.ts';

/** A segment that may be a bent line of a grid, and the direction it would have there. */
export type GridRow = StraightSegment & { readonly along: GridDirection };

/** The clearest window of a rhythm: the lines in it and their numbers. */
export interface RhythmSeed {
  /** Divisions of a pattern unit that are supposed. */
  readonly divisions: number;
  readonly cx: number;
  readonly cy: number;
  /** Lines a x + b y of the window, numbered in divisions from the sheet's lower left corner. */
  readonly lines: readonly { readonly row: GridRow; readonly line: number }[];
}

/** Directions this far off the grid's may still be a bent grid line, radians. */
const DIRECTION_SLACK = 0.14;
/** Side of the window in which the sheet is taken for flat, pattern units. */
export const WINDOW = 0.36;
/** Lines of a direction that a window must hold to say something. */
const LEAST_IN_WINDOW = 3;
/** A window is as trusted as one with so many lines at most. */
const MANY_IN_WINDOW = 12;
/** Local rhythm must reach this strength (1 is a perfect comb). */
const LEAST_RHYTHM = 0.5;
/** Rhythms this near to the strongest are tried too, ... */
const NEARLY = 0.85;
/** ... so many at most, each from its clearest windows. */
const MOST_RHYTHMS = 8;
const WINDOWS_TRIED = 3;
/** A bent or tilted sheet stretches the local rhythm by this much at most, tried in these steps. */
const STRETCH = 0.12;
const STRETCH_STEP = 0.015;
/** The outline stays in place, so stretched windows are balanced by shrunk ones: the price of a mean stretch. */
const MEAN_STRETCH_PRICE = 2;
/** A window in the middle of the sheet may have wandered farther from its place than one near a corner. */
const DEPTH_PRICE = 1.5;

/** So many of the longest are enough, and time grows with their number. */
const MOST_ROWS = 1500;

export function gridRows(segments: readonly StraightSegment[]): GridRow[] {
  const rows = segments.flatMap((s) => {
    if (s.x < -0.03 || s.x > 1.03 || s.y < -0.03 || s.y > 1.03) return [];
    const along = GRID_DIRECTIONS.find((g) => Math.abs(Math.sin(s.angle - g.angle)) < Math.sin(DIRECTION_SLACK));
    return along ? [{ ...s, along }] : [];
  });
  return rows.length <= MOST_ROWS ? rows : rows.sort((a, b) => b.length - a.length).slice(0, MOST_ROWS);
}

interface Window {
  readonly cx: number;
  readonly cy: number;
  /** Lines of each direction that has enough of them here. */
  readonly own: readonly Bundle[];
  readonly weight: number;
}

/** Nearly parallel lines: their offsets a x + b y from the window's middle, along the usual direction there. */
interface Bundle {
  readonly along: GridDirection;
  readonly rows: readonly GridRow[];
  readonly offsets: Float64Array;
}

interface Clear {
  readonly window: Window;
  readonly stretch: number;
  readonly strength: number;
}

/** Rhythms of the lines and windows where they are clearest, best first; empty where there is no rhythm. */
export function findRhythms(rows: readonly GridRow[]): RhythmSeed[] {
  const windows = windowsOf(rows);
  const all = windows.reduce((sum, w) => sum + w.weight, 0);
  const rhythms: { divisions: number; strength: number; clear: Clear[] }[] = [];
  for (let divisions = 3; divisions <= MOST_DIVISIONS; divisions++) {
    const clear = windows.map((window) => clearest(window, divisions));
    const strength = clear.reduce((sum, c) => sum + c.strength * c.window.weight, 0) / all;
    const stretch = clear.reduce((sum, c) => sum + c.stretch * c.window.weight, 0) / all;
    rhythms.push({ divisions, strength: strength - MEAN_STRETCH_PRICE * Math.abs(stretch), clear });
  }
  const strongest = Math.max(...rhythms.map((r) => r.strength));
  if (!(strongest >= LEAST_RHYTHM)) return [];
  return rhythms
    .filter((r) => r.strength >= NEARLY * strongest)
    .sort((a, b) => b.strength - a.strength)
    .slice(0, MOST_RHYTHMS)
    .flatMap(({ divisions, clear }) =>
      clear
        .sort((a, b) => worth(b) - worth(a))
        .slice(0, WINDOWS_TRIED)
        .map(({ window, stretch }) => seedOf(window, divisions, 1 + stretch)),
    );
}

function worth({ window: { cx, cy, weight }, strength }: Clear): number {
  const depth = Math.min(cx, 1 - cx) + Math.min(cy, 1 - cy);
  return (strength * Math.sqrt(weight)) / (1 + DEPTH_PRICE * depth);
}

function windowsOf(rows: readonly GridRow[]): Window[] {
  const windows: Window[] = [];
  for (let cy = WINDOW / 2; cy < 1; cy += WINDOW / 2.2) {
    for (let cx = WINDOW / 2; cx < 1; cx += WINDOW / 2.2) {
      const here = rows.filter((s) => Math.abs(s.x - cx) < WINDOW / 2 && Math.abs(s.y - cy) < WINDOW / 2);
      const own = GRID_DIRECTIONS.flatMap((along) => {
        const list = here.filter((s) => s.along === along);
        return list.length < LEAST_IN_WINDOW ? [] : [bundleOf(list, cx, cy)];
      });
      if (own.length < 2) continue;
      const second = own.map((o) => o.rows.length).sort((u, v) => v - u)[1];
      windows.push({ cx, cy, own, weight: Math.min(second, MANY_IN_WINDOW) });
    }
  }
  return windows;
}

function bundleOf(rows: readonly GridRow[], cx: number, cy: number): Bundle {
  const { along } = rows[0];
  // Turns are small: an angle just below 180 degrees is one just below 0.
  const turns = rows.map(
    (s) => Math.asin(Math.sin(s.angle - along.angle)) * Math.sign(Math.cos(s.angle - along.angle)),
  );
  const turn = [...turns].sort((u, v) => u - v)[turns.length >> 1];
  const a = along.a - turn * along.b;
  const b = along.b + turn * along.a;
  return { along, rows, offsets: Float64Array.from(rows, (s) => a * (s.x - cx) + b * (s.y - cy)) };
}

/** The stretch at which all directions of a window keep the rhythm best. */
function clearest(window: Window, divisions: number): Clear {
  let best: Clear = { window, stretch: 0, strength: 0 };
  for (let stretch = -STRETCH; stretch < STRETCH + STRETCH_STEP / 2; stretch += STRETCH_STEP) {
    const strength = Math.min(...window.own.map((o) => comb(o, divisions * (1 + stretch)).strength));
    if (strength > best.strength) best = { window, stretch, strength };
  }
  return best;
}

/** Strength (0..1) and phase, in teeth, of the lines on a comb of f teeth a unit. */
function comb({ rows, offsets }: Bundle, f: number): { strength: number; phase: number } {
  let re = 0;
  let im = 0;
  let sum = 0;
  for (let i = 0; i < offsets.length; i++) {
    const weight = Math.min(0.1, rows[i].length);
    re += weight * Math.cos(2 * Math.PI * f * offsets[i]);
    im += weight * Math.sin(2 * Math.PI * f * offsets[i]);
    sum += weight;
  }
  return { strength: sum > 0 ? Math.hypot(re, im) / sum : 0, phase: Math.atan2(im, re) / (2 * Math.PI) };
}

function seedOf({ cx, cy, own }: Window, divisions: number, stretch: number): RhythmSeed {
  const combs = own.map((bundle) => ({ bundle, ...comb(bundle, divisions * stretch) }));
  const [x, y] = middleOf(combs, divisions * cx, divisions * cy);
  const lines = combs.flatMap(({ bundle: { along, rows, offsets } }) =>
    rows.map((row, i) => ({
      row,
      line: Math.round(along.a * x + along.b * y + divisions * stretch * offsets[i]),
    })),
  );
  return { divisions, cx, cy, lines };
}

type Comb = ReturnType<typeof comb> & { readonly bundle: Bundle };

/** Where the window's middle lies, in divisions: the place nearest (x, y) at which the combs' lines have whole numbers. */
function middleOf(combs: readonly Comb[], x: number, y: number): [number, number] {
  const [p, q] = [...combs].sort((u, v) => v.strength - u.strength);
  const f = p.bundle.along;
  const g = q.bundle.along;
  const det = f.a * g.b - f.b * g.a;
  let best: [number, number] = [x, y];
  let least = Infinity;
  // Near whole numbers either way are tried: two diagonals fix the middle only up to half a division both ways.
  for (let i = -1; i <= 1; i++) {
    for (let j = -1; j <= 1; j++) {
      const first = Math.round(f.a * x + f.b * y + p.phase) + i - p.phase;
      const second = Math.round(g.a * x + g.b * y + q.phase) + j - q.phase;
      const mx = (first * g.b - f.b * second) / det;
      const my = (f.a * second - first * g.a) / det;
      let miss = MIDDLE_SLACK * Math.hypot(mx - x, my - y);
      for (const { bundle, phase, strength } of combs) {
        const at = bundle.along.a * mx + bundle.along.b * my + phase;
        miss += strength * Math.abs(at - Math.round(at));
      }
      if (miss < least) {
        least = miss;
        best = [mx, my];
      }
    }
  }
  return best;
}

/** A division's wandering costs this much of a direction that is out of step. */
const MIDDLE_SLACK = 0.2;
