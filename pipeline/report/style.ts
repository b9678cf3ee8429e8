import type { Crease, Kind, Pattern } from '../types.ts';

/** How one kind is drawn. Line style tells the kinds apart, colour only helps. */
export interface LineStyle {
  /** Class, layer and group name. */
  readonly name: string;
  /** #rrggbb. */
  readonly colour: string;
  /** Width in units of BASE_WIDTH_MM. */
  readonly weight: number;
  /** Drawn, left out, drawn, ... in stroke widths, ending with the drawn part that starts the next period; empty: solid. */
  readonly rhythm: readonly number[];
  /** Name in the DXF line type table. */
  readonly lineType: 'CONTINUOUS' | 'DASHED' | 'DASHDOT';
  /** AutoCAD colour index, the only colours that R12 has. */
  readonly colourIndex: number;
}

/** Thin lines of ISO 128-2's series of widths. */
export const BASE_WIDTH_MM = 0.35;
const DASH = 12;
/** As long as wide, so that screens show it; the standard allows at most half. */
const DOT = 1;
const GAP = 3;

/**
 * Valley dashed, mountain dash-dot (Yoshizawa-Randlett notation); lengths of dash, dot and gap after ISO 128-2. Colours
 * from Okabe and Ito's palette, those with a contrast of at least 3 : 1 on white; pale grey for guides, 4.5 : 1.
 */
export const STYLES: Readonly<Record<Kind, LineStyle>> = {
  F: { name: 'guide', colour: '#767676', weight: 0.5, rhythm: [], lineType: 'CONTINUOUS', colourIndex: 8 },
  U: { name: 'undecided', colour: '#cc79a7', weight: 1, rhythm: [], lineType: 'CONTINUOUS', colourIndex: 6 },
  V: { name: 'valley', colour: '#0072b2', weight: 1, rhythm: [DASH, GAP], lineType: 'DASHED', colourIndex: 5 },
  M: {
    name: 'mountain',
    colour: '#d55e00',
    weight: 1,
    rhythm: [DASH, GAP, DOT, GAP],
    lineType: 'DASHDOT',
    colourIndex: 1,
  },
  C: { name: 'cut', colour: '#009e73', weight: 1.4, rhythm: [], lineType: 'CONTINUOUS', colourIndex: 3 },
  B: { name: 'edge', colour: '#000000', weight: 2, rhythm: [], lineType: 'CONTINUOUS', colourIndex: 7 },
};

/** Kinds in drawing order: what matters most comes last, on top. */
export const KINDS = Object.keys(STYLES) as readonly Kind[];

/** With the closing dash, one period still shows the rhythm on a short crease: two dashes. */
const MIN_PERIODS = 1;

/**
 * The dash array that fits a crease: whole periods, a dash at each end, so that the notation reads on any length.
 *
 * @param length of the crease and @param width of the stroke in one unit, which is also the result's
 */
export function dashesFor(kind: Kind, length: number, width: number): number[] {
  const { rhythm } = STYLES[kind];
  if (rhythm.length === 0) return [];
  const period = rhythm.reduce((sum, part) => sum + part, 0);
  const first = rhythm[0];
  const periods = Math.max(MIN_PERIODS, Math.round((length / width - first) / period));
  const fitted = length / (periods * period + first);
  return rhythm.map((part) => part * fitted);
}

/** Length of a crease, pattern units. */
export function lengthOf(pattern: Pattern, { from, to }: Crease): number {
  const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}

/** Sides of the box around the pattern, pattern units. */
export function sidesOf(pattern: Pattern): { readonly width: number; readonly height: number } {
  let width = 0;
  let height = 0;
  for (const [x, y] of pattern.vertices) {
    width = Math.max(width, x);
    height = Math.max(height, y);
  }
  return { width, height };
}
