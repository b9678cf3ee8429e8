import type { Picture, Raster, Sheet } from '../types.ts';
import { type Beside, type Box, besideSheet, flat } from './beside.ts';
import { darkness, findBlobs } from './blobs.ts';
import { type Ground, measureSample, type SampleInk } from './measure-sample.ts';
import { startTextReader, type TextLine } from './read-text.ts';
import { findLegends, type Label, type Labelled } from './samples.ts';
import { type LegendWord, maySay, type Reading, readLabel, readLetter } from './words.ts';

/** A stroke of a legend that is printed beside the pattern, and what the text beside it says. */
export interface PrintedSample {
  readonly kind: LegendWord;
  /** The word, or the letter; null where it was not read and only the other kind is left. */
  readonly word: string | null;
  readonly ink: SampleInk;
}

export interface PrintedLegend {
  /** One mountain, one valley, and edges and guides if any. */
  readonly samples: readonly PrintedSample[];
  /** Stroke width of the pattern in the px of the samples. */
  readonly strokePx: number;
  /** Probability that mountain and valley were read right. */
  readonly probability: number;
}

/** Ink is looked for at these levels of darkness: above ruled paper, then pale strokes too. */
const LEVELS = [0.4, 0.22, 0.12];
/** Letters' strokes are narrower than this, pattern units. */
const LETTER_STROKE = 0.014;
/** No more lines of text are read than that. */
const MOST_LINES = 16;

/** Level strokes with text beside each, that may be a legend. */
export interface PossibleLegend {
  readonly inks: readonly SampleInk[];
  /** Stroke width of the pattern in the px of the samples. */
  readonly strokePx: number;
  /** The text beside each, made ready to be read. */
  readonly lines: () => readonly TextLine[];
}

/**
 * What may be a legend beside the pattern, the likeliest first: nothing is read yet.
 *
 * @param sheet as the pattern was looked at, with the ink that was found on it
 */
export function possibleLegends(picture: Picture, sheet: Sheet, ground: Ground): PossibleLegend[] {
  return besideSheet(picture, sheet, ground.paperColour)
    .flatMap((strip) => legendsOf(strip, sheet, ground))
    .map((group) => ({
      inks: group.map(({ sample }) => measureSample(picture, sheet, sample, ground)),
      strokePx: ground.strokeWidthPx,
      lines: () => group.map(({ label }) => lineOf(picture, sheet, label, ground)),
    }));
}

/**
 * The first of these that says which of its samples is mountain and which valley; null where none does, or no text can be read.
 * Starts Tesseract: ask only for those whose samples are of the pattern's inks.
 */
export async function readPrintedLegend(possible: readonly PossibleLegend[]): Promise<PrintedLegend | null> {
  const candidates = withinLines(possible);
  if (candidates.length === 0) return null;
  const reader = startTextReader();
  try {
    for (const { inks, strokePx, lines } of candidates) {
      const texts = await reader.read(lines());
      const said = texts && kindsOf(texts);
      if (!said) continue;
      const samples = inks.flatMap((ink, i): PrintedSample[] => (said.labels[i] ? [{ ...said.labels[i], ink }] : []));
      return { samples, strokePx, probability: said.probability };
    }
    return null;
  } finally {
    await reader.end();
  }
}

/** What may be a legend in one strip, the same strokes once only; paper px. */
function legendsOf(strip: Beside, sheet: Sheet, ground: Ground): Labelled[][] {
  const { raster, zoom } = strip;
  const side = zoom * sheet.pxPerUnit;
  const map = darkness(raster, ground.lightOnDark, LETTER_STROKE * side);
  const seen = new Set<string>();
  return LEVELS.flatMap((level) => findLegends(findBlobs(map, raster.width, level), side, zoom * ground.strokeWidthPx))
    .map((group) => group.map((labelled) => onPaper(labelled, strip)))
    .filter((group) => {
      const key = group.map(({ sample, label }) => [sample, label].map(placeOf).join()).join();
      return !seen.has(key) && seen.add(key);
    });
}

/** From px of a strip to paper px. */
function onPaper({ sample, label }: Labelled, { left, top, zoom }: Beside): Labelled {
  const place = <B extends Box>(box: B): B => ({
    ...box,
    left: left + box.left / zoom,
    right: left + box.right / zoom,
    top: top + box.top / zoom,
    bottom: top + box.bottom / zoom,
  });
  return {
    sample: place(sample),
    label: { ...place(label), letterPx: label.letterPx / zoom, gap: label.gap / zoom },
  };
}

/** Boxes at other levels of darkness are the same within so many px. */
const SAME_PX = 12;

function placeOf({ left, top }: { readonly left: number; readonly top: number }): string {
  return `${Math.round(left / SAME_PX)} ${Math.round(top / SAME_PX)}`;
}

/** The likeliest groups, as many as their lines of text are within the limit. */
function withinLines(possible: readonly PossibleLegend[]): PossibleLegend[] {
  let count = 0;
  return possible.filter(({ inks }) => {
    if (count + inks.length > MOST_LINES) return false;
    count += inks.length;
    return true;
  });
}

/** Letters this high are read best, and enlarged at most so many times. */
const LETTER_PX = 32;
const MOST_ZOOM = 6;
/** One letter is no wider than so many times its height. */
const WIDEST_LETTER = 1.4;
/** Dots and accents stand above a line's letters, a share of its height. */
const ABOVE = 0.35;
/** Of the light's range so much at the dark end is left to noise. */
const DARKEST = 0.02;

/** A label as a line of dark text on white. */
function lineOf(picture: Picture, sheet: Sheet, label: Label, { paperColour, lightOnDark }: Ground): TextLine {
  const zoom = Math.min(MOST_ZOOM, Math.max(1, LETTER_PX / label.letterPx));
  const height = label.bottom - label.top;
  const beside = Math.max(0, Math.min(0.4 * height, 0.6 * label.gap));
  const box = {
    left: label.left - beside,
    right: label.right + beside,
    top: label.top - ABOVE * height,
    bottom: label.bottom + ABOVE * height,
  };
  const line = evenly(flat({ raster: picture.raster, scale: 1 }, sheet, box, zoom, paperColour), lightOnDark);
  return { ...line, isLetter: label.right - label.left < WIDEST_LETTER * height };
}

/** White around the line, px: letters that touch the rim are read badly. */
const FRAME_PX = 12;

function evenly(raster: Raster<Uint8Array>, lightOnDark: boolean): Omit<TextLine, 'isLetter'> {
  const { data } = raster;
  const light = new Uint8Array(raster.width * raster.height);
  for (let i = 0, p = 0; i < light.length; i++, p += 3) {
    light[i] = lightOnDark
      ? 255 - Math.max(data[p], data[p + 1], data[p + 2])
      : Math.min(data[p], data[p + 1], data[p + 2]);
  }
  const sorted = Uint8Array.from(light).sort();
  const [dark, paper] = [sorted[Math.floor(DARKEST * sorted.length)], sorted[sorted.length >> 1]];
  const [width, height] = [raster.width + 2 * FRAME_PX, raster.height + 2 * FRAME_PX];
  const grey = new Uint8Array(width * height).fill(255);
  for (let y = 0, i = 0; y < raster.height; y++) {
    for (let x = 0, o = (y + FRAME_PX) * width + FRAME_PX; x < raster.width; x++, i++, o++) {
      grey[o] = Math.min(255, Math.max(0, (255 * (light[i] - dark)) / Math.max(1, paper - dark)));
    }
  }
  return { width, height, grey };
}

/** Words read without a fault, with some letters wrong, and of two words one. */
const SURE = { exact: 0.98, misread: 0.96, letters: 0.93, one: 0.92 };

type Said = Pick<PrintedSample, 'kind' | 'word'>;

/** What the texts of a group say; null unless exactly one says mountain and one valley. */
function kindsOf(texts: readonly string[]): { labels: readonly (Said | null)[]; probability: number } | null {
  const read = texts.map(readLabel);
  const of = (labels: readonly (Said | null)[], kind: LegendWord) => labels.filter((label) => label?.kind === kind);
  const isBoth = (labels: readonly (Said | null)[]) =>
    of(labels, 'mountain').length === 1 && of(labels, 'valley').length === 1;
  if (isBoth(read)) {
    const isExact = read.every((label) => !label || label.wrong === 0);
    return { labels: read, probability: isExact ? SURE.exact : SURE.misread };
  }
  const letters = texts.map((text, i): Reading | null => read[i] ?? readLetter(text));
  if (isBoth(letters)) return { labels: letters, probability: SURE.letters };
  return withTheOther(texts, read);
}

/** One word that was read, and one label that may be the other. */
function withTheOther(texts: readonly string[], read: readonly (Reading | null)[]) {
  const folds = read.filter((label) => label?.kind === 'mountain' || label?.kind === 'valley');
  if (folds.length !== 1) return null;
  const kind = folds[0]!.kind === 'mountain' ? 'valley' : 'mountain';
  const open = texts.flatMap((text, i) => (read[i] === null && maySay(text, kind) ? [i] : []));
  if (open.length !== 1) return null;
  const labels = read.map((label, i): Said | null => (i === open[0] ? { kind, word: null } : label));
  return { labels, probability: SURE.one };
}
