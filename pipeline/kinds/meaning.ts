import type { PrintedLegend } from '../legend/legend.ts';
import type { Kind, LegendRule } from '../types.ts';
import type { Ink } from './ink-groups.ts';
import type { InkSorting } from './inks.ts';
import { namedInks } from './printed.ts';

/** What an ink is taken to mean. */
export interface Meaning {
  readonly kind: Kind;
  readonly why: string;
  /** Probability that mountain and valley are not the other way round (1 where that is not the question). */
  readonly probability: number;
  /** Ink colour as it would be at full strength, #rrggbb. */
  readonly colour: string;
}

/**
 * Gives each ink its kind: the user's legend first, then the legend printed beside the pattern, then the notation (dash-dot mountain, dashed valley: the
 * Yoshizawa-Randlett notation), then custom (common practice, no source: red mountain, blue valley; the darker, thicker
 * or solid line mountain). `meets` tells that creases meet inside the sheet: then there must be both kinds, and one ink
 * cannot tell them apart. `hidesGaps` tells that strokes are too thin to show their gaps: what looks solid may be broken. `guide` is the
 * ink that is the first to be taken for a guide where there are more than two; without it the palest, greyest and rarest one is.
 */
export function readMeanings(
  sorting: InkSorting,
  paper: readonly [number, number, number],
  lightOnDark: boolean,
  legend: readonly LegendRule[],
  meets: boolean,
  printed: PrintedLegend | null,
  hidesGaps = false,
  guide?: number,
): Meaning[] {
  const { inks, pale } = sorting;
  const colours = inks.map((ink) => colourOf(ink, paper, lightOnDark));
  const told = inks.map((ink, i) => ruleFor(ink, colours[i], inks, legend));
  const kinds: (Meaning | null)[] = told.map((rule, i) =>
    rule ? { kind: LETTER[rule.kind], why: 'given by the legend', probability: 1, colour: hex(colours[i]) } : null,
  );
  const set = (i: number, kind: Kind, why: string, probability: number) => {
    kinds[i] = { kind, why, probability, colour: hex(colours[i]) };
  };
  for (const [i, { kind, why, probability }] of (printed && namedInks(sorting, printed)) ?? [])
    if (!kinds[i]) set(i, kind, why, probability);
  if (pale !== undefined && !kinds[pale]) set(pale, 'F', 'much paler than all other inks', 0.9);
  const open = [...inks.keys()].filter((i) => !kinds[i]);
  const taken = new Set(kinds.map((m) => m?.kind));
  // More than two inks: the palest grey ones are guides.
  const free = 2 - (taken.has('M') ? 1 : 0) - (taken.has('V') ? 1 : 0);
  const score = (i: number) => (i === guide ? Infinity : guideScore(inks[i], inks));
  open.sort((a, b) => score(b) - score(a));
  while (open.length > free) {
    const i = open.shift() as number;
    set(
      i,
      'F',
      free === 0 ? 'mountain and valley are given, this ink is neither' : 'the palest or rarest of the inks',
      0.9,
    );
  }
  if (open.length === 2) {
    const [a, b] = open;
    const { mountain, why, probability } = whichIsMountain(inks, colours, a, b, sorting.by, hidesGaps);
    set(mountain, 'M', why, probability);
    set(mountain === a ? b : a, 'V', why, probability);
  } else if (open.length === 1) {
    const i = open[0];
    if (taken.has('M') && !taken.has('V')) set(i, 'V', 'mountain is given, this is the other ink', 0.97);
    else if (taken.has('V') && !taken.has('M')) set(i, 'M', 'valley is given, this is the other ink', 0.97);
    else {
      const lone = meets ? null : loneKind(inks[i], colours[i]);
      if (lone) set(i, lone.kind, lone.why, 0.8);
      else set(i, 'U', 'one ink only: the picture does not tell mountain from valley', 1);
    }
  }
  return kinds as Meaning[];
}

/** Creases that never meet may all be of one kind; its ink may say which. */
function loneKind(ink: Ink, colour: readonly [number, number, number]): { kind: Kind; why: string } | null {
  if (ink.rhythm === 'dashdot') return { kind: 'M', why: 'notation: dash-dot is mountain' };
  if (ink.rhythm === 'dashed') return { kind: 'V', why: 'notation: dashed is valley' };
  if (saturation(ink) < LEAST_SATURATION) return null;
  const w = mountainHue(colour);
  if (w > PURELY) return { kind: 'M', why: 'custom: red is mountain' };
  return w < 1 - PURELY ? { kind: 'V', why: 'custom: blue is valley' } : null;
}

/** How near pure red or pure blue a lone ink must be to speak for itself. */
const PURELY = 0.9;
/** Inks less saturated than this are greys, however pale the stroke. */
const LEAST_SATURATION = 0.35;

const LETTER: Readonly<Record<LegendRule['kind'], Kind>> = { mountain: 'M', valley: 'V', edge: 'B', guide: 'F' };

/** Pale, grey and rare inks make good guides. */
function guideScore(ink: Ink, all: readonly Ink[]): number {
  const strongest = Math.max(...all.map((k) => k.strength));
  return (1 - ink.strength / strongest) * 2 + (1 - saturation(ink)) * 0.5 - ink.share;
}

function saturation(ink: Ink): number {
  const d = ink.direction;
  const low = Math.min(...d);
  const high = Math.max(...d);
  return high > 0 ? Math.max(0, (high - low) / high) : 0;
}

/** Which of two inks is mountain, why, and how likely that is. */
interface Mountain {
  readonly mountain: number;
  readonly why: string;
  readonly probability: number;
}

function whichIsMountain(
  inks: readonly Ink[],
  colours: readonly [number, number, number][],
  a: number,
  b: number,
  by: InkSorting['by'],
  hidesGaps: boolean,
): Mountain {
  const ra = inks[a].rhythm;
  const rb = inks[b].rhythm;
  const named = Math.min(inks[a].named ?? 1, inks[b].named ?? 1);
  if (by === 'colour' && named < SURELY_NAMED) return custom(colours, a, b);
  // Where colours tell the inks apart, a rhythm must be plain to overrule custom.
  const plain =
    by !== 'colour' ||
    (inks[a].named !== null && inks[b].named !== null) ||
    Math.abs(inks[a].filled - inks[b].filled) > PLAIN_STEP ||
    (inks[a].filled < PLAIN_GAPS && inks[b].filled < PLAIN_GAPS);
  if (ra !== rb && plain) {
    if (ra === 'solid' || rb === 'solid') {
      const mountain = ra === 'solid' ? a : b;
      if (hidesGaps)
        return {
          mountain,
          why: 'notation: solid against broken, unless the solid line is a dash-dot too fine to be told',
          probability: HIDDEN_RHYTHM,
        };
      return {
        mountain,
        why: 'notation: solid against broken, the broken line is valley',
        probability: ra === 'dashdot' || rb === 'dashdot' ? 0.7 : 0.93,
      };
    }
    if (ra === 'dashdot' || rb === 'dashdot')
      return {
        mountain: ra === 'dashdot' ? a : b,
        why: 'notation: dash-dot is mountain',
        probability: 0.5 + (named - 0.5) * 0.96,
      };
  }
  if (plain && ra !== 'solid' && Math.abs(inks[a].filled - inks[b].filled) > EMPTIER)
    return {
      mountain: inks[a].filled < inks[b].filled ? a : b,
      why: 'notation: both are broken, and the emptier line is taken for dash-dot, which is mountain',
      probability: 0.75,
    };
  if (by === 'strength')
    return {
      mountain: inks[a].strength > inks[b].strength ? a : b,
      why: 'custom: the darker or thicker line is mountain',
      probability: 0.7,
    };
  return custom(colours, a, b);
}

/** By colour alone. Common practice, no source. */
function custom(colours: readonly (readonly [number, number, number])[], a: number, b: number): Mountain {
  const wa = mountainHue(colours[a]);
  const wb = mountainHue(colours[b]);
  const apart = Math.abs(wa - wb);
  return {
    mountain: wa >= wb ? a : b,
    why: 'custom: red is mountain, blue is valley, or the nearest to that',
    probability: 0.5 + 0.42 * Math.min(1, apart),
  };
}

/** Names of rhythms that are less sure than this do not overrule colours. */
const SURELY_NAMED = 0.75;
/** Filled shares that differ by this, or both below that, are drawn rhythms and not noise. */
const PLAIN_STEP = 0.12;
const PLAIN_GAPS = 0.85;
/** What looks solid is the mountain this often where strokes are so thin that the dots and gaps of a dash-dot line may have run together. */
const HIDDEN_RHYTHM = 0.6;
/** Two broken lines whose filled shares differ by this are two rhythms. */
const EMPTIER = 0.06;

/** Middles of what passes for plain red and plain blue, and how far each reaches, degrees. */
const RED = 0;
const BLUE = 225;
const PLAIN_HUE = 18;

/** 1 for red, 0 for blue; greens and black between. */
function mountainHue(c: readonly [number, number, number]): number {
  const max = Math.max(...c);
  const min = Math.min(...c);
  const chroma = (max - min) / 255;
  if (chroma < 0.12) return 0.45;
  const hue = hueDegrees(c);
  const from = (centre: number): number => {
    const away = Math.abs(hue - centre);
    return Math.max(0, Math.min(away, 360 - away) - PLAIN_HUE);
  };
  return from(BLUE) / (from(BLUE) + from(RED) + 1e-9);
}

function hueDegrees([r, g, b]: readonly [number, number, number]): number {
  const angle = (Math.atan2(Math.sqrt(3) * (g - b), 2 * r - g - b) * 180) / Math.PI;
  return angle < 0 ? angle + 360 : angle;
}

/** The ink's colour at full strength on this paper: the paper's light less the ink's share, scaled until one channel is spent. */
function colourOf(ink: Ink, paper: readonly [number, number, number], lightOnDark: boolean): [number, number, number] {
  const top = Math.max(...ink.direction, 1e-6);
  // Sampled crests say how dark the ink gets; thin strokes never show it fully.
  const depth = Math.min(1, Math.max(0.25, ink.crest * 1.15) / (rms(ink.direction) / top));
  return [0, 1, 2].map((c) => {
    const share = (Math.max(0, ink.direction[c]) / top) * depth;
    const v = lightOnDark ? paper[c] + (255 - paper[c]) * share : paper[c] * (1 - share);
    return Math.round(Math.min(255, Math.max(0, v)));
  }) as [number, number, number];
}

function rms(d: readonly number[]): number {
  return Math.sqrt((d[0] ** 2 + d[1] ** 2 + d[2] ** 2) / 3);
}

function hex(c: readonly number[]): string {
  return `#${c.map((v) => v.toString(16).padStart(2, '0')).join('')}`;
}

/** The legend rule that this ink answers to best, if any. */
function ruleFor(
  ink: Ink,
  colour: readonly [number, number, number],
  all: readonly Ink[],
  legend: readonly LegendRule[],
): LegendRule | null {
  const rest = legend.filter((r) => r.kind !== 'edge');
  let best: LegendRule | null = null;
  let bestCost = 1;
  for (const r of rest) {
    let cost = 0;
    if (r.colour) cost += hueDistance(parseHex(r.colour), colour, ink, all);
    if (r.rhythm) cost += r.rhythm === ink.rhythm ? 0 : 1;
    if (r.width) {
      const middle = Math.sqrt(Math.max(...all.map((k) => k.strength)) * Math.min(...all.map((k) => k.strength)));
      cost += ink.strength > middle === (r.width === 'thick') ? 0 : 1;
    }
    if (cost < bestCost) {
      bestCost = cost;
      best = r;
    }
  }
  return best;
}

/** 0 the same colour, 1 too far: compared by hue where both are coloured, by lightness where both are grey. */
function hueDistance(
  want: readonly [number, number, number],
  got: readonly [number, number, number],
  ink: Ink,
  all: readonly Ink[],
): number {
  const wantChroma = Math.max(...want) - Math.min(...want);
  const gotChroma = Math.max(...got) - Math.min(...got);
  if (wantChroma < 40 && gotChroma < 60) {
    const greys = all.filter((k) => saturation(k) < 0.3).sort((u, v) => v.strength - u.strength);
    if (greys.length < 2) return 0.3;
    const dark = want[0] < 90;
    return (greys[0] === ink) === dark ? 0.1 : 1;
  }
  if (wantChroma < 40 || gotChroma < 30) return 1;
  const d = Math.abs(hueDegrees(want) - hueDegrees(got));
  return Math.min(d, 360 - d) / 60;
}

function parseHex(text: string): [number, number, number] {
  const v = Number.parseInt(text.slice(1), 16);
  return [(v >> 16) & 255, (v >> 8) & 255, v & 255];
}
