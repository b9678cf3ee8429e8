import { PlicaError } from '../errors.ts';
import type { Crease, ExactPoint, Kind, Lattice, PatternPoint } from '../types.ts';
import { parseExact } from './exact-text.ts';
import type { RawLines, ReadNote } from './raw-lines.ts';

/** Files with six decimals are common; nothing on paper is this small. Units of the longest side. */
const FOLD_TOLERANCE = 1e-6;
/** Height over the sheet that rounding explains, in units of the largest coordinate. */
const FLAT = 1e-6;
/** Frames that inherit from one another deeper than this go in a circle. */
const MAX_INHERITANCE = 100;
const LETTERS = new Set(['B', 'M', 'V', 'F', 'U', 'C', 'J']);

type Frame = Readonly<Record<string, unknown>>;

/**
 * Reads the crease pattern of a FOLD file: the key frame, or the first frame of class creasePattern where the key frame
 * is of another class. Kinds come from edges_assignment, else from the sign of edges_foldAngle (or edges_foldAngles of
 * FOLD 1.0), else they are undecided. Joins (J) are not creases and are dropped.
 *
 * @throws PlicaError `bad-input` naming the field and the index that is wrong
 */
export function readFold(text: string, name: string): RawLines {
  const fail = (problem: string, hint = 'mend the file, or export it again'): never => {
    throw new PlicaError('bad-input', `${name}: ${problem}`, hint);
  };
  const root = parseJson(text, fail);
  const notes: ReadNote[] = [];
  const frame = patternFrame(root, notes, fail);
  const vertices = coordinates(frame, fail);
  const pairs = edges(frame, vertices.length, fail);
  const kinds = kindsOf(frame, pairs.length, notes, fail);
  const creases: Crease[] = [];
  let joins = 0;
  pairs.forEach(([from, to], i) => {
    const kind = kinds[i];
    if (kind === 'J') joins++;
    else creases.push({ from, to, kind });
  });
  if (joins > 0) notes.push({ what: 'joins-dropped', count: joins });
  return {
    vertices,
    exact: exactOf(frame, vertices.length),
    creases,
    lattice: latticeOf(frame),
    notes,
    tolerance: FOLD_TOLERANCE,
  };
}

type Fail = (problem: string, hint?: string) => never;

function parseJson(text: string, fail: Fail): Frame {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return fail('this is not valid JSON', 'the file may be cut off; copy or export it again');
  }
  return isRecord(value) ? value : fail('a FOLD file is one JSON object');
}

function patternFrame(root: Frame, notes: ReadNote[], fail: Fail): Frame {
  const frames = root.file_frames ?? [];
  if (!Array.isArray(frames) || !frames.every(isRecord)) fail('file_frames must be a list of frames');
  const all = [root, ...(frames as Frame[])];
  const isPattern = (frame: Frame) =>
    Array.isArray(frame.frame_classes) && frame.frame_classes.includes('creasePattern');
  const hasLines = (frame: Frame) => frame.edges_vertices !== undefined;
  const unclassed = (frame: Frame) => frame.frame_classes === undefined && hasLines(frame);
  const resolved = all.map((_, i) => inherited(all, i, fail));
  let chosen = isPattern(root) && hasLines(root) ? 0 : resolved.findIndex((f) => isPattern(f) && hasLines(f));
  if (chosen < 0) chosen = resolved.findIndex(unclassed);
  if (chosen < 0) chosen = hasLines(root) ? 0 : -1;
  if (chosen < 0) fail('there are no edges_vertices, so no creases');
  if (chosen > 0) notes.push({ what: 'frame-chosen', count: chosen });
  return resolved[chosen];
}

/** A frame with what it takes from its parents (frame_inherit, frame_parent). */
function inherited(all: readonly Frame[], index: number, fail: Fail): Frame {
  let frame = all[index];
  let merged = frame;
  for (let depth = 0; frame !== all[0] && frame.frame_inherit === true; depth++) {
    const parent = all[frame.frame_parent as number];
    if (!parent || depth > MAX_INHERITANCE) fail(`frame ${index} inherits from a frame that is not there`);
    const { frame_classes, ...rest } = parent;
    merged = { ...rest, ...merged };
    frame = parent;
  }
  return merged;
}

function coordinates(frame: Frame, fail: Fail): PatternPoint[] {
  const list = frame.vertices_coords;
  if (!Array.isArray(list)) return fail('vertices_coords is missing', 'only patterns with coordinates can be read');
  let largest = 0;
  let highest = 0;
  const points = list.map((point: unknown, i): PatternPoint => {
    if (!Array.isArray(point) || point.length < 2 || point.length > 3 || !point.every(Number.isFinite)) {
      return fail(`vertices_coords[${i}] must be two numbers`);
    }
    const [x, y, z = 0] = point as number[];
    largest = Math.max(largest, Math.abs(x), Math.abs(y));
    highest = Math.max(highest, Math.abs(z));
    return [x, y];
  });
  if (highest > FLAT * largest) fail('this is a folded form in space, not a flat pattern', 'give the crease pattern');
  return points;
}

function edges(frame: Frame, vertexCount: number, fail: Fail): [number, number][] {
  const list = frame.edges_vertices;
  if (!Array.isArray(list)) return fail('edges_vertices must be a list');
  return list.map((pair: unknown, i) => {
    if (!Array.isArray(pair) || pair.length !== 2) return fail(`edges_vertices[${i}] must be two vertex numbers`);
    for (const v of pair) {
      if (!Number.isInteger(v) || v < 0 || v >= vertexCount) {
        fail(`edges_vertices[${i}] names vertex ${JSON.stringify(v)}, but there are vertices 0 to ${vertexCount - 1}`);
      }
    }
    return [pair[0], pair[1]];
  });
}

function kindsOf(frame: Frame, count: number, notes: ReadNote[], fail: Fail): (Kind | 'J')[] {
  const letters = frame.edges_assignment;
  if (letters !== undefined) {
    if (!Array.isArray(letters)) return fail('edges_assignment must be a list');
    if (letters.length !== count) {
      fail(`edges_assignment has ${letters.length} entries for ${count} edges`);
    }
    return letters.map((letter: unknown, i) => {
      const upper = typeof letter === 'string' ? letter.toUpperCase() : '';
      return LETTERS.has(upper)
        ? (upper as Kind | 'J')
        : fail(`edges_assignment[${i}] is ${JSON.stringify(letter) ?? 'missing'}, not one of B M V F U C J`);
    });
  }
  const angles = frame.edges_foldAngle ?? frame.edges_foldAngles;
  if (angles === undefined) {
    notes.push({ what: 'kinds-unknown' });
    return new Array<Kind>(count).fill('U');
  }
  if (!Array.isArray(angles) || angles.length !== count)
    return fail('edges_foldAngle must have one entry for each edge');
  notes.push({ what: 'kinds-from-angles' });
  return angles.map((angle: unknown, i) => {
    if (angle === null) return 'U';
    if (typeof angle !== 'number' || !(Math.abs(angle) <= 180)) fail(`edges_foldAngle[${i}] must lie from -180 to 180`);
    return angle === 0 ? 'F' : (angle as number) > 0 ? 'V' : 'M';
  });
}

/** Plica's own exact coordinates; anything unreadable counts as none. */
function exactOf(frame: Frame, count: number): (ExactPoint | null)[] {
  const none = new Array<null>(count).fill(null);
  const list = frame['vertices_plica:exact'];
  if (!Array.isArray(list) || list.length !== count) return none;
  return list.map((pair: unknown) => {
    if (!Array.isArray(pair) || pair.length !== 2 || !pair.every((text) => typeof text === 'string')) return null;
    const [x, y] = pair.map(parseExact);
    return x && y ? [x, y] : null;
  });
}

function latticeOf(frame: Frame): Lattice | null {
  const lattice = frame['plica:lattice'];
  if (!isRecord(lattice) || !['square', 'angle22', 'hex', 'none'].includes(lattice.kind as string)) return null;
  const numbers = ['divisionsX', 'divisionsY', 'residual', 'fit'];
  const sound = numbers.every((key) => Number.isFinite(lattice[key]) && (lattice[key] as number) >= 0);
  return sound && typeof lattice.halfUnits === 'boolean' ? (lattice as unknown as Lattice) : null;
}

function isRecord(value: unknown): value is Frame {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
