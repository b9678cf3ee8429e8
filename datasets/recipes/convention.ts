import type { Kind, LegendRule } from '../../pipeline/types.ts';
import type { Cap, Rgb } from './drawing.ts';
import { hexOf } from './drawing.ts';
import type { Random } from './random.ts';

export type ConventionName =
  | 'two-colours'
  | 'dashes'
  | 'dashes-two-inks'
  | 'solid-dashed'
  | 'black-grey'
  | 'thick-thin'
  | 'one-ink';

/** How creases of one kind are drawn; lengths in px of the finished picture. */
export interface Ink {
  readonly colour: Rgb;
  readonly width: number;
  readonly rhythm: 'solid' | 'dashed' | 'dashdot' | 'dashdotdot' | 'dotted';
  readonly dash: readonly number[];
  readonly cap: Cap;
}

export interface Convention {
  readonly name: ConventionName;
  readonly mountain: Ink;
  readonly valley: Ink;
  readonly guide: Ink;
  /** null where the edge of the sheet itself is the only border. */
  readonly edge: Ink | null;
  readonly ground: Rgb;
  /** True where a folder could tell mountain from valley by custom: the trade's dash notation, or mountain red and valley blue. */
  readonly customary: boolean;
  /** What a person would say to explain the drawing. */
  readonly legend: readonly LegendRule[];
}

/** What limits the choice: lengths in px of the finished picture. */
export interface Room {
  /** A short crease of the pattern (5th percentile). */
  readonly shortCrease: number;
  /** Thinnest and widest stroke to use; the widest gives way to the short crease. */
  readonly thinnest: number;
  readonly widest: number;
  readonly dark: boolean;
  /** Leaving the border out makes sense only where the sheet's edge shows. */
  readonly edgeMayBeBare: boolean;
  readonly names?: readonly ConventionName[];
}

/** Inks on a light ground. Base colours are shifted at random, so each is a family. */
const LIGHT_FAMILIES: Readonly<Record<string, Rgb>> = {
  red: [214, 32, 36],
  blue: [34, 68, 200],
  green: [24, 140, 60],
  magenta: [205, 30, 150],
  black: [20, 20, 22],
  orange: [235, 120, 15],
  cyan: [0, 150, 180],
  purple: [110, 40, 160],
  grey: [130, 130, 132],
  brown: [125, 75, 35],
};
/** Inks on a dark ground. */
const DARK_FAMILIES: Readonly<Record<string, Rgb>> = {
  red: [255, 92, 84],
  blue: [96, 150, 255],
  green: [90, 220, 120],
  magenta: [255, 110, 210],
  white: [240, 240, 240],
  orange: [255, 170, 60],
  cyan: [70, 215, 235],
  yellow: [245, 225, 90],
};
/** Two families nearer than this (sum of channel differences weighted by eye) look alike once a JPEG has thinned the colour. */
const NEAREST_PAIR = 150;
/** A dash or gap shorter than this cannot be seen, px. */
const SHORTEST_PART = 1.6;
/** Strokes wider than this share of a short crease would close up the drawing. */
const WIDEST_SHARE = 0.22;

function tinted(random: Random, base: Rgb, amount: number): Rgb {
  return base.map((part) =>
    Math.min(255, Math.max(0, Math.round(part + random.range(-amount, amount)))),
  ) as unknown as Rgb;
}

export function colourGap(a: Rgb, b: Rgb): number {
  return Math.abs(a[0] - b[0]) + Math.abs(a[1] - b[1]) + Math.abs(a[2] - b[2]);
}

/** Drawn and blank lengths for a rhythm whose period fits the room; null where it cannot be seen. ISO 128 proportions are the middle of the range. */
export function rhythmParts(
  random: Random,
  rhythm: Ink['rhythm'],
  width: number,
  room: number,
  cap: Cap,
): number[] | null {
  // Caps grow every drawn part by one width, so gaps must be longer by as much.
  const grow = cap === 'butt' ? 0 : width;
  const gap = Math.max(SHORTEST_PART, width * random.range(0.9, 2.8)) + grow;
  const dot = cap === 'butt' ? Math.max(SHORTEST_PART * 0.8, width * random.range(0.8, 1.3)) : 0.01;
  const dotsIn = rhythm === 'dashdot' ? 1 : rhythm === 'dashdotdot' ? 2 : 0;
  if (rhythm === 'dotted') return [dot, gap];
  const blank = gap * (1 + dotsIn) + dot * dotsIn;
  const shortestDash = Math.max(2 * (dot + grow), SHORTEST_PART * 2, 1.1 * gap);
  const longest = Math.min(14 * width, room - blank);
  if (longest < shortestDash) return null;
  const dash = Math.max(shortestDash, longest * random.range(0.45, 1));
  const parts = [dash, gap];
  for (let i = 0; i < dotsIn; i++) parts.push(dot, gap);
  return parts;
}

const WEIGHTS: readonly (readonly [ConventionName, number])[] = [
  ['two-colours', 50],
  ['dashes', 9],
  ['dashes-two-inks', 8],
  ['solid-dashed', 10],
  ['black-grey', 7],
  ['thick-thin', 6],
  ['one-ink', 10],
];

export function drawConvention(random: Random, room: Room): Convention {
  const allowed = WEIGHTS.filter(([name]) => room.names === undefined || room.names.includes(name));
  for (let attempt = 0; attempt < 20; attempt++) {
    const made = tryConvention(random, room, random.weigh(allowed));
    if (made) return made;
  }
  const colours = tryConvention(random, room, 'two-colours');
  if (!colours) throw new Error('two colours always fit');
  return colours;
}

function tryConvention(random: Random, room: Room, name: ConventionName): Convention | null {
  const families = room.dark ? DARK_FAMILIES : LIGHT_FAMILIES;
  const names = Object.keys(families);
  const strongest: Rgb = room.dark ? [236, 236, 238] : tinted(random, [18, 18, 20], 16);
  const { thinnest } = room;
  const widest = Math.max(1.05 * thinnest, Math.min(room.widest, WIDEST_SHARE * room.shortCrease));
  const width = random.ratio(thinnest, widest);
  const cap = random.weigh<Cap>([
    ['butt', 6],
    ['round', 3],
    ['square', 1],
  ]);
  const solid = (colour: Rgb, of = width): Ink => ({ colour, width: of, rhythm: 'solid', dash: [], cap });
  const broken = (colour: Rgb, rhythm: Ink['rhythm']): Ink | null => {
    const dash = rhythmParts(random, rhythm, width, room.shortCrease * random.range(0.55, 1), cap);
    return dash && { colour, width, rhythm, dash, cap };
  };
  const oneColour = random.chance(0.7) ? strongest : tinted(random, families[random.pick(names)], 12);
  let mountain: Ink | null = null;
  let valley: Ink | null = null;
  let customary = false;
  switch (name) {
    case 'two-colours': {
      let [m, v] = ['red', 'blue'];
      if (random.chance(0.25)) [m, v] = [v, m];
      else if (random.chance(0.5)) {
        do [m, v] = [random.pick(names), random.pick(names)];
        while (colourGap(families[m], families[v]) < NEAREST_PAIR);
      }
      mountain = solid(tinted(random, families[m], 22));
      valley = solid(tinted(random, families[v], 22));
      customary = m === 'red' && v === 'blue';
      break;
    }
    case 'dashes':
    case 'dashes-two-inks': {
      const second = name === 'dashes' ? oneColour : tinted(random, families[random.pick(names)], 18);
      mountain = broken(oneColour, random.chance(0.65) ? 'dashdot' : 'dashdotdot');
      valley = broken(second, 'dashed');
      customary = true;
      break;
    }
    case 'solid-dashed': {
      const dashed = broken(oneColour, 'dashed');
      customary = random.chance(0.75);
      [mountain, valley] = customary ? [solid(oneColour), dashed] : [dashed, solid(oneColour)];
      break;
    }
    case 'black-grey': {
      const level = room.dark ? random.range(105, 135) : random.range(135, 175);
      const pale = solid(tinted(random, [level, level, level], 4));
      [mountain, valley] = random.chance(0.6) ? [solid(strongest), pale] : [pale, solid(strongest)];
      break;
    }
    case 'thick-thin': {
      const thin = Math.max(thinnest, widest * random.range(0.3, 0.45));
      const thick = thin * random.range(2.1, 3);
      if (thick > 1.5 * widest) return null;
      const inks = [solid(oneColour, thick), solid(oneColour, thin)];
      [mountain, valley] = random.chance(0.6) ? inks : [inks[1], inks[0]];
      break;
    }
    case 'one-ink':
      mountain = solid(oneColour);
      valley = mountain;
      break;
  }
  if (!mountain || !valley) return null;
  const bare = room.edgeMayBeBare && random.chance(0.35);
  const edgeColour = random.chance(0.75)
    ? strongest
    : random.chance(0.5)
      ? mountain.colour
      : tinted(random, families[random.pick(names)], 10);
  const edgeWidth = Math.min(
    12,
    width *
      random.weigh([
        [1, 4],
        [random.range(1.2, 1.8), 3],
        [random.range(1.8, 2.6), 2],
      ]),
  );
  const level = room.dark ? 80 : 190;
  return {
    name,
    mountain,
    valley,
    guide: { ...solid(tinted(random, [level, level, level], 8), Math.max(0.8, 0.6 * width)) },
    edge: bare ? null : solid(edgeColour, edgeWidth),
    ground: room.dark
      ? tinted(random, [34, 36, 42], 14)
      : random.chance(0.75)
        ? [255, 255, 255]
        : tinted(random, [247, 244, 236], 8),
    customary,
    legend: legendOf(name, mountain, valley),
  };
}

function legendOf(name: ConventionName, mountain: Ink, valley: Ink): LegendRule[] {
  const rule = (kind: 'mountain' | 'valley', ink: Ink, other: Ink): LegendRule => {
    const rhythm = ink.rhythm === 'dashdotdot' ? 'dashdot' : ink.rhythm;
    switch (name) {
      case 'two-colours':
      case 'black-grey':
        return { kind, colour: hexOf(ink.colour) };
      case 'thick-thin':
        return { kind, width: ink.width > other.width ? 'thick' : 'thin' };
      default:
        return { kind, rhythm };
    }
  };
  return name === 'one-ink' ? [] : [rule('mountain', mountain, valley), rule('valley', valley, mountain)];
}

/** What a perfect reader could know of a crease of this kind. */
export function kindInPicture(convention: Convention, kind: Kind): Kind {
  return convention.name === 'one-ink' && (kind === 'M' || kind === 'V') ? 'U' : kind;
}
