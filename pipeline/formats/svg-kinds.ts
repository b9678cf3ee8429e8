import type { Kind } from '../types.ts';
import { parseColour } from './colour.ts';
import type { ReadNoteCode } from './raw-lines.ts';

/** A straight stroke of a drawing. */
export interface DrawnStroke {
  readonly ends: readonly [readonly [number, number], readonly [number, number]];
  readonly width: number;
  /** On, off, on, ... in the units of the width; empty: solid. */
  readonly dashes: readonly number[];
  /** As the drawing names it. */
  readonly colour: string;
  /** Classes, ids and labels around it, innermost first. */
  readonly names: readonly string[];
}

/** The trade's words for kinds, as they begin a class, layer or group name. */
const WORDS: readonly (readonly [RegExp, Kind])[] = [
  [/^mountains?\b|^m$/i, 'M'],
  [/^valleys?\b|^v$/i, 'V'],
  [/^(edges?|borders?|boundary|outline|sheet|paper)\b|^b$/i, 'B'],
  [/^(guides?|grid|flat|auxiliary|helpers?)\b|^f$/i, 'F'],
  [/^cuts?\b|^c$/i, 'C'],
  [/^(undecided|unassigned|unknown)\b|^u$/i, 'U'],
];
/** A stroke this near to a side of the box, in units of the box, lies on it. */
const ON_SIDE = 1e-3;
/** Saturation and brightness, 0..1: greyer is black or grey, and grey from black. */
const COLOURED = 0.25;
const PALE = 0.35;
/** Hue windows around red and blue, degrees: vermilion to crimson, sky to indigo. */
const RED = [-30, 30] as const;
const BLUE = [185, 265] as const;

/**
 * What each stroke means: by the names of classes and groups where any is a kind's; else by dash rhythm, in the trade's
 * notation; else by colour, by the custom of red mountains and blue valleys (common practice, no source). Solid strokes
 * on the box around the drawing are edges.
 */
export function kindsOfStrokes(strokes: readonly DrawnStroke[]): { kinds: Kind[]; note: ReadNoteCode } {
  const named = strokes.map(({ names }) => kindByName(names));
  if (named.some((kind) => kind !== null)) {
    return { kinds: named.map((kind) => kind ?? 'U'), note: 'kinds-from-classes' };
  }
  const onSide = sidesOfBox(strokes);
  const rhythms = strokes.map(({ dashes }) => rhythmOf(dashes));
  if (rhythms.some((rhythm) => rhythm !== 'solid')) {
    // Where both folds have dashes a solid line is neither; where only valleys have, it is the mountain.
    const solid: Kind =
      rhythms.includes('dashdot') && rhythms.includes('dashed') ? 'U' : rhythms.includes('dashdot') ? 'V' : 'M';
    const meaning = { dashed: 'V', dashdot: 'M', solid } as const;
    return {
      kinds: rhythms.map((rhythm, i) => (onSide(i) && rhythm === 'solid' ? 'B' : meaning[rhythm])),
      note: 'kinds-from-dashes',
    };
  }
  const byColour = strokes.map(({ colour }) => kindByColour(colour));
  const note = byColour.some((kind) => kind === 'M' || kind === 'V') ? 'kinds-from-colours' : 'kinds-unknown';
  return { kinds: byColour.map((kind, i) => (onSide(i) ? 'B' : kind)), note };
}

function kindByName(names: readonly string[]): Kind | null {
  for (const name of names) {
    const word = WORDS.find(([pattern]) => pattern.test(name));
    if (word) return word[1];
  }
  return null;
}

/** Two lengths to a period are dashes, four or six are dash-dot or dash-dot-dot. */
function rhythmOf(dashes: readonly number[]): 'solid' | 'dashed' | 'dashdot' {
  if (dashes.length === 0 || dashes.every((dash) => dash === 0)) return 'solid';
  return dashes.length <= 2 ? 'dashed' : 'dashdot';
}

function kindByColour(text: string): Kind {
  const colour = parseColour(text);
  if (colour === null) return 'U';
  const [r, g, b] = colour.map((v) => v / 255);
  const [most, least] = [Math.max(r, g, b), Math.min(r, g, b)];
  const saturation = most === 0 ? 0 : (most - least) / most;
  if (saturation < COLOURED) return most > PALE ? 'F' : 'U';
  const sector =
    most === r ? (g - b) / (most - least) : most === g ? 2 + (b - r) / (most - least) : 4 + (r - g) / (most - least);
  const hue = sector * 60;
  if (hue >= RED[0] && hue <= RED[1]) return 'M';
  return hue >= BLUE[0] && hue <= BLUE[1] ? 'V' : 'U';
}

function sidesOfBox(strokes: readonly DrawnStroke[]): (index: number) => boolean {
  const low = [Infinity, Infinity];
  const high = [-Infinity, -Infinity];
  for (const { ends } of strokes) {
    for (const end of ends) {
      for (const axis of [0, 1]) {
        low[axis] = Math.min(low[axis], end[axis]);
        high[axis] = Math.max(high[axis], end[axis]);
      }
    }
  }
  const near = ON_SIDE * Math.max(high[0] - low[0], high[1] - low[1]);
  return (index) => {
    const { ends } = strokes[index];
    return [0, 1].some((axis) =>
      [low[axis], high[axis]].some((side) => ends.every((end) => Math.abs(end[axis] - side) <= near)),
    );
  };
}
