import { PlicaError } from '../errors.ts';
import { readNoteText } from '../formats/read-notes.ts';
import type { ReadPattern } from '../formats/read-pattern.ts';
import type { Recovery } from '../types.ts';
import { drawnEvidence } from './work/draft.ts';
import type { Reading, ReadingChoices } from './work/work.ts';

/** A recovery without its pixels, as plain JSON. */
export function readingOf(recovery: Recovery, choices: ReadingChoices): Reading {
  const { pattern, evidence, doubts, legend, outline, guideGrid, timings, sheet, picture } = recovery;
  const { pxPerUnit, originPx, width, height, polygon, raster } = sheet;
  return {
    pattern,
    evidence,
    doubts,
    legend,
    outline,
    guideGrid,
    timings,
    sheet: { pxPerUnit, originPx, width, height, polygon, widthPx: raster.width, heightPx: raster.height },
    picture: {
      name: picture.name,
      format: picture.format,
      fullWidth: picture.fullWidth,
      fullHeight: picture.fullHeight,
    },
    choices,
    notes: [],
  };
}

/** Creases that the page still draws and checks in a tenth of a second. */
const MOST_CREASES = 20_000;

/** A pattern file, in which everything is as sure as its writer was. */
export function readingOfPattern({ name, pattern, notes }: ReadPattern): Reading {
  if (pattern.creases.length > MOST_CREASES) {
    throw new PlicaError('too-large', `${name} holds over ${MOST_CREASES} creases`, 'split it');
  }
  return {
    pattern,
    evidence: pattern.creases.map(({ kind }) => ({ ...drawnEvidence(kind), origin: 'seen' })),
    doubts: [],
    legend: [],
    outline: null,
    guideGrid: null,
    timings: {},
    sheet: null,
    picture: null,
    choices: {},
    notes: notes.map(readNoteText),
  };
}
