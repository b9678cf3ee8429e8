import { basename } from 'node:path';
import { PlicaError } from '../errors.ts';
import { readBytes } from '../intake/file.ts';
import type { ExactPoint, Pattern, PatternPoint } from '../types.ts';
import { type Lines, planarise } from './planarise.ts';
import type { RawLines, ReadNote } from './raw-lines.ts';
import { readFold } from './read-fold.ts';
import { readSvgLines } from './read-svg.ts';

export interface ReadPattern {
  /** Base name of the file. */
  readonly name: string;
  readonly pattern: Pattern;
  /** Everything that was changed or assumed; empty for a file that Plica wrote. */
  readonly notes: readonly ReadNote[];
}

/** A FOLD file of this size has a million creases. */
const MAX_PATTERN_BYTES = 50 * 2 ** 20;
const MAX_CREASES = 200_000;
/** Rounding of doubles when a sheet of side 1 was already given. */
const SAME_SCALE = 1e-12;
/** An exact coordinate that is further from the floating one belongs to another file. */
const EXACT_DIFFERENCE = 1e-9;

/**
 * Reads a pattern from a FOLD file or an SVG drawing, told apart by content. Any unit and place is scaled to longest side
 * 1 with the origin bottom left; lines that cross without a vertex are split. All this is said in `notes`.
 *
 * @throws PlicaError `bad-input`, `too-large`, `no-access`
 */
export async function readPattern(path: string): Promise<ReadPattern> {
  const name = basename(path);
  return parsePattern(new TextDecoder().decode(await readBytes(path, name, MAX_PATTERN_BYTES)), name);
}

/** `readPattern` for text in memory; `name` is for messages. */
export function parsePattern(text: string, name: string): ReadPattern {
  const start = text.replace(/^\uFEFF/, '').trimStart();
  if (start.startsWith('<')) return finish(readSvgLines(start, name), name);
  if (start.startsWith('{')) return finish(readFold(start, name), name);
  throw new PlicaError('bad-input', `${name} is neither FOLD nor SVG`, 'give a .fold file or an .svg drawing of lines');
}

function finish(raw: RawLines, name: string): ReadPattern {
  if (raw.creases.length === 0) throw new PlicaError('bad-input', `${name} holds no creases`, 'check the file');
  if (raw.creases.length > MAX_CREASES) {
    throw new PlicaError('too-large', `${name} holds over ${MAX_CREASES} creases`, 'split it');
  }
  const { lines, scaled, exactIgnored } = toUnitSheet(raw, name);
  const { vertices, exact, creases, ...counts } = planarise(lines, raw.tolerance);
  if (creases.length === 0) throw new PlicaError('bad-input', `${name} holds no crease with length`, 'check the file');
  const notes: ReadNote[] = [...raw.notes];
  if (scaled) notes.push({ what: 'scaled' });
  if (exactIgnored) notes.push({ what: 'exact-ignored' });
  for (const [what, count] of [
    ['crossings-split', counts.crossings],
    ['creases-cut', counts.cutAtVertices],
    ['vertices-joined', counts.joined],
    ['creases-dropped', counts.dropped],
    ['kinds-conflict', counts.conflicts],
  ] as const) {
    if (count > 0) notes.push({ what, count });
  }
  return { name, pattern: { vertices, exact, creases, lattice: raw.lattice }, notes };
}

/** Moves the box around all creases to the origin and its longest side to 1. */
function toUnitSheet(raw: RawLines, name: string): { lines: Lines; scaled: boolean; exactIgnored: boolean } {
  let [left, low, right, high] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { from, to } of raw.creases) {
    for (const v of [from, to]) {
      const [x, y] = raw.vertices[v];
      left = Math.min(left, x);
      right = Math.max(right, x);
      low = Math.min(low, y);
      high = Math.max(high, y);
    }
  }
  const side = Math.max(right - left, high - low);
  if (!(side > 0 && Number.isFinite(side))) {
    throw new PlicaError('bad-input', `all vertices of ${name} lie on one spot`, 'check the coordinates');
  }
  const scaled = Math.abs(left) > SAME_SCALE || Math.abs(low) > SAME_SCALE || Math.abs(side - 1) > SAME_SCALE;
  const vertices = scaled
    ? raw.vertices.map(([x, y]): PatternPoint => [(x - left) / side, (y - low) / side])
    : raw.vertices;
  const fits = (e: ExactPoint | null, i: number) => e === null || agrees(e, vertices[i]);
  const exactIgnored = raw.exact.some((e) => e !== null) && (scaled || !raw.exact.every(fits));
  const exact = exactIgnored ? raw.exact.map(() => null) : raw.exact;
  return { lines: { vertices, exact, creases: raw.creases }, scaled, exactIgnored };
}

function agrees(exact: ExactPoint, point: PatternPoint): boolean {
  return [0, 1].every((axis) => {
    const { p, r, q, root } = exact[axis];
    return Math.abs((p + r * Math.sqrt(root)) / q - point[axis]) <= EXACT_DIFFERENCE;
  });
}
