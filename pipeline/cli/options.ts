import { PlicaError } from '../errors.ts';
import type { PicturePoint, RecoverOptions } from '../types.ts';

/** Longer strips than this are a slip of the keyboard. */
const LARGEST_RATIO = 20;
/** A grid finer than a picture of 2600 px can show. */
const MOST_DIVISIONS = 512;
const MM_PER_UNIT: Readonly<Record<string, number>> = { '': 1, mm: 1, cm: 10, m: 1000, in: 25.4 };
/** From a stamp to a wall, mm. */
const SMALLEST_MM = 5;
const LARGEST_MM = 10_000;

const bad = (what: string, hint: string) => new PlicaError('bad-option', what, hint);

/** square, auto, or W:H. */
export function parsePaper(text: string): NonNullable<RecoverOptions['paper']> {
  if (text === 'square' || text === 'auto') return text;
  const [width, height] = (/^([\d.]+):([\d.]+)$/.exec(text)?.slice(1) ?? []).map(Number);
  const ratio = width / height;
  if (!(ratio >= 1 / LARGEST_RATIO && ratio <= LARGEST_RATIO)) {
    throw bad(`"${text}" is no shape of paper`, 'give square, auto, or the sides as W:H, such as 2:1');
  }
  return { width, height };
}

export function parsePage(text: string): number {
  const page = Number(text);
  if (!Number.isInteger(page) || page < 1) throw bad(`"${text}" is no page number`, 'count pages from 1');
  return page;
}

export function parseDivisions(text: string): number {
  const divisions = Number(text);
  if (!Number.isInteger(divisions) || divisions < 1 || divisions > MOST_DIVISIONS) {
    throw bad(`"${text}" is no number of divisions`, `give a whole number from 1 to ${MOST_DIVISIONS}`);
  }
  return divisions;
}

export function parseInk(text: string): NonNullable<RecoverOptions['ink']> {
  if (text === 'learned' || text === 'classical') return text;
  throw bad(`"${text}" is no way to find ink`, 'give learned or classical');
}

/** Four or more corners, "x,y x,y x,y x,y". */
export function parseCorners(text: string): PicturePoint[] {
  const corners = text
    .trim()
    .split(/\s+/)
    .map((pair): PicturePoint => {
      const [x, y, ...rest] = pair.split(',').map((part) => (part === '' ? Number.NaN : Number(part)));
      return rest.length === 0 ? [x, y] : [Number.NaN, Number.NaN];
    });
  if (corners.length < 4 || !corners.flat().every(Number.isFinite)) {
    throw bad(
      `"${text}" is no list of corners`,
      'give the pixels of four corners, such as "10,20 900,25 890,900 15,880"',
    );
  }
  return corners;
}

/** A length such as 150mm, 15cm, 6in; without a unit mm. Result in mm. */
export function parseLength(text: string): number {
  const parts = /^([\d.]+)\s*(mm|cm|m|in|)$/i.exec(text.trim());
  const mm = parts ? Number(parts[1]) * MM_PER_UNIT[parts[2].toLowerCase()] : Number.NaN;
  if (!(mm >= SMALLEST_MM && mm <= LARGEST_MM)) {
    throw bad(`"${text}" is no size of paper`, 'give a length such as 150mm, 15cm or 6in, from 5 mm to 10 m');
  }
  return mm;
}

/** One of a few words. */
export function oneOf<T extends string>(choices: readonly T[], name: string): (text: string) => T {
  return (text) => {
    const choice = choices.find((word) => word === text.toLowerCase());
    if (choice === undefined) throw bad(`"${text}" is no ${name}`, `give one of: ${choices.join(', ')}`);
    return choice;
  };
}
