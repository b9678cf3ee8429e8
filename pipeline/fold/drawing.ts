/** Pictures of a folded sheet as SVG, in millimetres. */
import { escapeXml, shortNumber } from '../report/drawing.ts';
import { BASE_WIDTH_MM, dashesFor, STYLES } from '../report/style.ts';
import type { Kind, Pattern } from '../types.ts';
import type { FoldedSheet } from '../validity/verdict.ts';
import { layeredEdges, visibleEdges } from './visible-edges.ts';
import { areaOf, footprintOf, type Polygon, visibleParts } from './visible-parts.ts';

export type FoldedView = 'front' | 'back' | 'through';

/** The paper's two sides differ in lightness, so that they are told apart in grey as well. */
const TONES = { front: '#8fb8d4', back: '#f6f1e4' } as const;
/** Longest side of the drawn shape, and white around it, mm. */
const SHAPE_MM = 120;
const MARGIN_MM = 8;
/** A stack of all layers lets so much light through in the see-through view. */
const STACK_LIGHT = 0.15;
/** And one layer at most so much, or it would not show. */
const LAYER_LIGHT = 0.88;
/** Folds of several kinds on one another: dark grey. */
const SEVERAL = '#444444';
/** Height of a face's number and width of a digit with its gap, mm. */
const LABEL_MM = 3;
const DIGIT_MM = 2.1;
/** A part must have this many times the number's own area: triangles leave half of their box empty. */
const LABEL_ROOM = 1.6;

/**
 * One view of a folded sheet. Front: from the side to which the largest face shows the side that the pattern is drawn on. Back: turned
 * over left to right. Through: all layers at once, as if the paper were thin; every fold with the line of its kind.
 * Numbers are those of faces, as in the FOLD file; the numbered pattern shows where each lies on the sheet.
 */
export function drawFolded(pattern: Pattern, sheet: FoldedSheet, view: FoldedView, title: string): string {
  const frame = frameOf(sheet, view === 'back');
  const body = view === 'through' ? throughBody(pattern, sheet, frame) : sideBody(sheet, view, frame);
  return svg(frame, title, WORDS[view], body);
}

const WORDS: Readonly<Record<FoldedView, string>> = {
  front: 'Folded form from the front. Blue: the side the pattern is drawn on; cream: the other side.',
  back: 'Folded form turned over, left to right. Blue: the side the pattern is drawn on; cream: the other side.',
  through:
    'Folded form seen through. Mountain dash-dot, valley dashed, edge of the sheet solid black, several on one another solid grey; darker where more layers lie.',
};

/** The crease pattern with the number of each face. */
export function drawNumberedPattern(pattern: Pattern, sheet: FoldedSheet, title: string): string {
  const corners = pattern.vertices;
  const frame = makeFrame(corners, false);
  const lines = pattern.creases.map(({ from, to, kind }) => line(frame, corners[from], corners[to], kind));
  const { faces } = sheet;
  const labels: string[] = [];
  for (let f = 0; f < faces.count; f++) {
    const ring: [number, number][] = [];
    for (let place = faces.start[f]; place < faces.start[f + 1]; place++) {
      const half = faces.halfEdge[place];
      const { from, to } = pattern.creases[half >> 1];
      const [x, y] = corners[half & 1 ? to : from];
      ring.push([x, y]);
    }
    labels.push(label(frame, ring, f));
  }
  return svg(frame, title, 'Crease pattern with the numbers of its faces.', [...lines, ...labels]);
}

type Point = readonly [number, number];

interface Frame {
  readonly width: number;
  readonly height: number;
  readonly place: (p: Point) => [number, number];
  readonly mmPerUnit: number;
}

function frameOf(sheet: FoldedSheet, turned: boolean): Frame {
  const { x, y } = sheet.problem.pieces;
  return makeFrame(
    Array.from(x, (value, i): [number, number] => [value, y[i]]),
    turned,
  );
}

function makeFrame(points: readonly (readonly [number, number])[], turned: boolean): Frame {
  let [left, low, right, high] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    low = Math.min(low, y);
    high = Math.max(high, y);
  }
  const mmPerUnit = SHAPE_MM / Math.max(right - left, high - low);
  return {
    width: (right - left) * mmPerUnit + 2 * MARGIN_MM,
    height: (high - low) * mmPerUnit + 2 * MARGIN_MM,
    mmPerUnit,
    // SVG has y down.
    place: ([x, y]) => [MARGIN_MM + (turned ? right - x : x - left) * mmPerUnit, MARGIN_MM + (high - y) * mmPerUnit],
  };
}

function sideBody(sheet: FoldedSheet, view: 'front' | 'back', frame: Frame): string[] {
  const above = view === 'front';
  const { pieces } = sheet.problem;
  const parts = visibleParts(sheet, above);
  const fills = parts.map(({ piece, polygon }) => {
    const showsFront = (pieces.flipped[piece] === 0) === above;
    return shape(frame, polygon, TONES[showsFront ? 'front' : 'back']);
  });
  const edges = visibleEdges(sheet, above).map(({ from, to }) => line(frame, from, to, 'B'));
  const largest = new Map<number, Polygon>();
  for (const { piece, polygon } of parts) {
    const face = pieces.face[piece];
    const known = largest.get(face);
    if (!known || areaOf(polygon) > areaOf(known)) largest.set(face, polygon);
  }
  return [...fills, ...edges, ...[...largest].map(([face, polygon]) => label(frame, polygon, face))];
}

function throughBody(pattern: Pattern, sheet: FoldedSheet, frame: Frame): string[] {
  const { prints } = sheet.problem;
  const layers = new Array<number>(prints.count).fill(0);
  for (const k of prints.footprint) layers[k]++;
  const most = Math.max(1, mostLayers(sheet, layers));
  const light = Math.min(STACK_LIGHT ** (1 / most), LAYER_LIGHT);
  const fills = layers.map((count, k) => shape(frame, footprintOf(sheet, k), '#6f8fa8', 1 - light ** count));
  const lines = layeredEdges(pattern, sheet).map(({ from, to, kinds }) => {
    const [kind] = kinds;
    return kinds.size === 1 ? line(frame, from, to, kind) : plainLine(frame, from, to, SEVERAL);
  });
  return [...fills, ...lines];
}

/** Layers at the middle of each footprint, the most of them: enough to set the tones by. */
function mostLayers(sheet: FoldedSheet, layers: readonly number[]): number {
  const { overlaps } = sheet.problem;
  let most = 0;
  for (let k = 0; k < layers.length; k++) {
    const [x, y] = middleOf(footprintOf(sheet, k));
    let here = 0;
    for (let i = overlaps.at[k]; i < overlaps.at[k + 1]; i++) {
      const polygon = footprintOf(sheet, overlaps.other[i]);
      const inside = polygon.every(([px, py], j) => {
        const [qx, qy] = polygon[(j + 1) % polygon.length];
        return (qx - px) * (y - py) - (qy - py) * (x - px) >= 0;
      });
      if (inside) here += layers[overlaps.other[i]];
    }
    most = Math.max(most, here);
  }
  return most;
}

function middleOf(polygon: Polygon): [number, number] {
  let [x, y] = [0, 0];
  for (const p of polygon) {
    x += p[0] / polygon.length;
    y += p[1] / polygon.length;
  }
  return [x, y];
}

function shape(frame: Frame, polygon: Polygon, fill: string, opacity = 1): string {
  const points = polygon.map((p) => frame.place(p).map(shortNumber).join(' ')).join('L');
  // A hairline in the same tone closes the seams between neighbouring parts.
  const edge = opacity === 1 ? ` stroke="${fill}" stroke-width="0.1"` : ` fill-opacity="${shortNumber(opacity)}"`;
  return `<path d="M${points}Z" fill="${fill}"${edge}/>`;
}

function line(frame: Frame, from: Point, to: Point, kind: Kind): string {
  const [a, b] = [frame.place(from), frame.place(to)];
  const width = BASE_WIDTH_MM * (kind === 'B' ? 1 : STYLES[kind].weight);
  const dashes = dashesFor(kind, Math.hypot(b[0] - a[0], b[1] - a[1]), width);
  if (dashes.length === 0) return plainLine(frame, from, to, STYLES[kind].colour);
  return `<path class="${STYLES[kind].name}" d="${pathOf(a, b)}" fill="none" stroke="${STYLES[kind].colour}" stroke-width="${shortNumber(width)}" stroke-dasharray="${dashes.map(shortNumber).join(' ')}"/>`;
}

function plainLine(frame: Frame, from: Point, to: Point, colour: string): string {
  const path = pathOf(frame.place(from), frame.place(to));
  return `<path d="${path}" fill="none" stroke="${colour}" stroke-width="${BASE_WIDTH_MM}" stroke-linecap="round"/>`;
}

function pathOf(a: Point, b: Point): string {
  return `M${a.map(shortNumber).join(' ')}L${b.map(shortNumber).join(' ')}`;
}

/** The face's number in the middle of a part, where the part has room for it. */
function label(frame: Frame, polygon: Polygon, face: number): string {
  const [xs, ys] = [polygon.map((p) => p[0]), polygon.map((p) => p[1])];
  const width = (Math.max(...xs) - Math.min(...xs)) * frame.mmPerUnit;
  const height = (Math.max(...ys) - Math.min(...ys)) * frame.mmPerUnit;
  const room = areaOf(polygon) * frame.mmPerUnit ** 2;
  const needed = String(face).length * DIGIT_MM;
  if (width < needed || height < LABEL_MM || room < LABEL_ROOM * needed * LABEL_MM) return '';
  const [x, y] = frame.place(middleOf(polygon)).map(shortNumber);
  return `<text x="${x}" y="${y}" font-family="sans-serif" font-size="${LABEL_MM}" text-anchor="middle" dominant-baseline="central" fill="#333333">${face}</text>`;
}

function svg({ width, height }: Frame, title: string, description: string, body: readonly string[]): string {
  const [w, h] = [width, height].map(shortNumber);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${w}mm" height="${h}mm" viewBox="0 0 ${w} ${h}" role="img">`,
    `<title>${escapeXml(title)}</title>`,
    `<desc>${escapeXml(description)}</desc>`,
    '<rect width="100%" height="100%" fill="#ffffff"/>',
    ...body.filter((element) => element !== ''),
    '</svg>',
    '',
  ].join('\n');
}
