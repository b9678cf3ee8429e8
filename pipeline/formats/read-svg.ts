import { PlicaError } from '../errors.ts';
import type { Crease, PatternPoint } from '../types.ts';
import type { RawLines } from './raw-lines.ts';
import { elementsOf, type SvgElement } from './svg-elements.ts';
import { type DrawnStroke, kindsOfStrokes } from './svg-kinds.ts';
import { numbersOf, segmentsOf } from './svg-path.ts';
import { type Affine, compose, IDENTITY, parseTransform, scaleOf } from './svg-transform.ts';

/** Ends that differ by less than this share of the stroke's width look joined. */
const JOIN_STROKE_WIDTHS = 0.1;
/** Bounds of the tolerance, in units of the longest side: rounding of coordinates, and a tenth of a fine grid's step. */
const LEAST_TOLERANCE = 1e-6;
const MOST_TOLERANCE = 1e-3;

/**
 * Reads the straight strokes of an SVG drawing: line, polyline, polygon, rect and the straight parts of path, under any
 * transforms. Curves and fills are left out. Kinds come from class or group names, else dashes, else colours.
 *
 * @returns lines in the drawing's units with y UP
 * @throws PlicaError `bad-input`
 */
export function readSvgLines(text: string, name: string): RawLines {
  const strokes: DrawnStroke[] = [];
  let curves = 0;
  const elements = elementsOf(text);
  if (elements === null) {
    throw new PlicaError('bad-input', `${name} is not a complete SVG drawing`, 'export it again');
  }
  const transforms = new Map<SvgElement, Affine>();
  for (const element of elements) {
    const outer = element.parent ? transforms.get(element.parent)! : IDENTITY;
    const transform = compose(outer, parseTransform(element.attributes.transform ?? ''));
    transforms.set(element, transform);
    if (element.hidden) continue;
    const { segments, skipped } = segmentsOf(element);
    if (segments.length === 0 && skipped === 0) continue;
    if ((element.style.stroke ?? 'none') === 'none') continue;
    curves += skipped;
    const width = (numbersOf(element.style['stroke-width'] ?? '1')[0] ?? 1) * scaleOf(transform);
    const dashes = numbersOf(element.style['stroke-dasharray'] ?? '').map((dash) => dash * scaleOf(transform));
    for (const [a, b] of segments) {
      const ends = [at(transform, a), at(transform, b)] as const;
      strokes.push({ ends, width, dashes, colour: element.style.stroke, names: element.names });
    }
  }
  if (strokes.length === 0) {
    throw new PlicaError('bad-input', `${name} holds no straight strokes`, 'give a drawing made of lines');
  }
  const { kinds, note } = kindsOfStrokes(strokes);
  const { vertices, indexOf } = sharedEnds(strokes);
  const creases: Crease[] = strokes.map(({ ends }, i) => ({
    from: indexOf(ends[0]),
    to: indexOf(ends[1]),
    kind: kinds[i],
  }));
  return {
    vertices,
    exact: vertices.map(() => null),
    creases,
    lattice: null,
    notes: [{ what: note }, ...(curves > 0 ? [{ what: 'curves-skipped' as const, count: curves }] : [])],
    tolerance: toleranceOf(strokes),
  };
}

/** SVG's y points down, a pattern's up. */
function at([a, b, c, d, e, f]: Affine, [x, y]: readonly [number, number]): [number, number] {
  return [a * x + c * y + e, -(b * x + d * y + f)];
}

/** Ends at the very same coordinates are one vertex from the start; ends that merely lie near are joined later and counted. */
function sharedEnds(strokes: readonly DrawnStroke[]) {
  const vertices: PatternPoint[] = [];
  const known = new Map<string, number>();
  for (const end of strokes.flatMap(({ ends }) => ends)) {
    if (!known.has(end.join())) known.set(end.join(), vertices.push([end[0], end[1]]) - 1);
  }
  return { vertices, indexOf: (end: readonly [number, number]) => known.get(end.join())! };
}

function toleranceOf(strokes: readonly DrawnStroke[]): number {
  const widths = strokes.map(({ width }) => width).sort((a, b) => a - b);
  const xs = strokes.flatMap(({ ends }) => ends.map(([x]) => x));
  const ys = strokes.flatMap(({ ends }) => ends.map(([, y]) => y));
  const extent = (values: readonly number[]) =>
    values.reduce((most, v) => Math.max(most, v), -Infinity) -
    values.reduce((least, v) => Math.min(least, v), Infinity);
  const side = Math.max(extent(xs), extent(ys));
  const tolerance = (JOIN_STROKE_WIDTHS * widths[Math.floor(widths.length / 2)]) / side;
  return Math.min(MOST_TOLERANCE, Math.max(LEAST_TOLERANCE, tolerance));
}
