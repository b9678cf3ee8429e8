/** Large patterns with known layers for timing: a sheet pleated one way, then all layers pleated the other way. */
import { exact } from '../../pipeline/geometry/exact.ts';
import type { Crease, ExactPoint, Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

/** Pleats along one side: widths of the strips in units, and for each fold between them whether it is a valley on the front. */
export interface Pleats {
  readonly widths: readonly number[];
  readonly valleys: readonly boolean[];
}

/** Equal strips, valley and mountain by turns: all layers in one stack. */
export function accordion(strips: number): Pleats {
  return { widths: new Array<number>(strips).fill(1), valleys: fromIndex(strips - 1, (i) => i % 2 === 0) };
}

/** Wide strips with a narrow pleat of two folds between them: three layers where they lie. */
export function knifePleats(strips: number): Pleats {
  return {
    widths: fromIndex(strips, (i) => (i % 2 === 0 ? 3 : 1)),
    valleys: fromIndex(strips - 1, (i) => i % 2 === 0),
  };
}

/** Folded in half again and again, always the same way; strips must be a power of two (the paper-folding sequence). */
export function halves(strips: number): Pleats {
  return { widths: new Array<number>(strips).fill(1), valleys: fromIndex(strips - 1, (i) => isTurnedLeft(i + 1)) };
}

function fromIndex<T>(count: number, make: (i: number) => T): T[] {
  return Array.from({ length: Math.max(0, count) }, (_, i) => make(i));
}

/** The i-th fold of a strip folded in half: whether i without its factors of two leaves 1 when divided by 4. */
function isTurnedLeft(i: number): boolean {
  let odd = i;
  while (odd % 2 === 0) odd /= 2;
  return odd % 4 === 1;
}

/** Sheet pleated along x first and then, all layers together, along y: the second folds change kind from strip to strip. */
export function pleatedTwice(first: Pleats, second: Pleats): Pattern {
  const xs = sums(first.widths);
  const ys = sums(second.widths);
  const side = Math.max(xs[xs.length - 1], ys[ys.length - 1]);
  const vertices: PatternPoint[] = [];
  const exactly: ExactPoint[] = [];
  for (const y of ys)
    for (const x of xs) {
      vertices.push([x / side, y / side]);
      exactly.push([exact(x, side), exact(y, side)]);
    }
  const at = (i: number, j: number): number => j * xs.length + i;
  const creases: Crease[] = [];
  const kind = (valley: boolean): Kind => (valley ? 'V' : 'M');
  for (let j = 0; j < ys.length; j++)
    for (let i = 0; i + 1 < xs.length; i++) {
      const edge = j === 0 || j === ys.length - 1;
      const turned = i % 2 === 1;
      creases.push({ from: at(i, j), to: at(i + 1, j), kind: edge ? 'B' : kind(second.valleys[j - 1] !== turned) });
    }
  for (let i = 0; i < xs.length; i++)
    for (let j = 0; j + 1 < ys.length; j++) {
      const edge = i === 0 || i === xs.length - 1;
      creases.push({ from: at(i, j), to: at(i, j + 1), kind: edge ? 'B' : kind(first.valleys[i - 1]) });
    }
  return { vertices, exact: exactly, creases, lattice: null };
}

function sums(widths: readonly number[]): number[] {
  const at = [0];
  for (const width of widths) at.push(at[at.length - 1] + width);
  return at;
}

/** Miura-ori of parallelograms, `columns` by `rows`; slant of 1 in 2. Kinds as it is usually folded. */
export function miura(columns: number, rows: number): Pattern {
  const width = 2 * columns + 1;
  const side = Math.max(width, 2 * rows);
  const vertices: PatternPoint[] = [];
  const exactly: ExactPoint[] = [];
  // Lines between columns zigzag; the sheet's left and right edges zigzag with them.
  for (let j = 0; j <= rows; j++)
    for (let i = 0; i <= columns; i++) {
      const [x, y] = [2 * i + (j % 2), 2 * j];
      vertices.push([x / side, y / side]);
      exactly.push([exact(x, side), exact(y, side)]);
    }
  const at = (i: number, j: number): number => j * (columns + 1) + i;
  const creases: Crease[] = [];
  for (let j = 0; j <= rows; j++)
    for (let i = 0; i < columns; i++) {
      const edge = j === 0 || j === rows;
      creases.push({ from: at(i, j), to: at(i + 1, j), kind: edge ? 'B' : (i + j) % 2 === 0 ? 'V' : 'M' });
    }
  for (let i = 0; i <= columns; i++)
    for (let j = 0; j < rows; j++) {
      const edge = i === 0 || i === columns;
      creases.push({ from: at(i, j), to: at(i, j + 1), kind: edge ? 'B' : i % 2 === 0 ? 'M' : 'V' });
    }
  return { vertices, exact: exactly, creases, lattice: null };
}
