import type { SvgElement } from './svg-elements.ts';

type Point = readonly [number, number];
export type Segment = readonly [Point, Point];

const NUMBER = /[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?/gi;

/** All numbers in an attribute, whatever stands between them. */
export function numbersOf(text: string): number[] {
  return (text.match(NUMBER) ?? []).map(Number);
}

/** The straight segments of an element, in its own coordinates, and how many curved ones were left out. */
export function segmentsOf({ tag, attributes }: SvgElement): { segments: Segment[]; skipped: number } {
  const value = (key: string) => numbersOf(attributes[key] ?? '')[0] ?? 0;
  switch (tag) {
    case 'line':
      return straight([
        [value('x1'), value('y1')],
        [value('x2'), value('y2')],
      ]);
    case 'polyline':
      return straight(pairs(attributes.points));
    case 'polygon': {
      const corners = pairs(attributes.points);
      return straight([...corners, ...corners.slice(0, 1)]);
    }
    case 'rect': {
      const [x, y, right, bottom] = [value('x'), value('y'), value('x') + value('width'), value('y') + value('height')];
      return straight([
        [x, y],
        [right, y],
        [right, bottom],
        [x, bottom],
        [x, y],
      ]);
    }
    case 'path':
      return pathSegments(attributes.d ?? '');
    case 'circle':
    case 'ellipse':
      return { segments: [], skipped: 1 };
    default:
      return { segments: [], skipped: 0 };
  }
}

function pairs(text = ''): Point[] {
  const values = numbersOf(text);
  return Array.from({ length: values.length >> 1 }, (_, i): Point => [values[2 * i], values[2 * i + 1]]);
}

function straight(points: readonly Point[]): { segments: Segment[]; skipped: number } {
  return { segments: points.slice(1).map((p, i): Segment => [points[i], p]), skipped: 0 };
}

/** Numbers that each command takes (SVG 1.1, 8.3); an arc's flags may stand without a space. */
const ARGUMENTS: Readonly<Record<string, number>> = { M: 2, L: 2, H: 1, V: 1, Z: 0, C: 6, S: 4, Q: 4, T: 2, A: 7 };
const ARC =
  /([-+.\de]+)[\s,]+([-+.\de]+)[\s,]+([-+.\de]+)[\s,]+([01])[\s,]*([01])[\s,]*([-+]?[.\de]+)[\s,]*([-+]?[.\de]+)/gi;

function pathSegments(data: string): { segments: Segment[]; skipped: number } {
  const segments: Segment[] = [];
  let skipped = 0;
  let [x, y, startX, startY] = [0, 0, 0, 0];
  for (const [, letter, text] of data.matchAll(/([mlhvzcsqta])([^mlhvzcsqta]*)/gi)) {
    const command = letter.toUpperCase();
    const relative = letter !== command;
    const values = command === 'A' ? arcNumbers(text) : numbersOf(text);
    const step = ARGUMENTS[command];
    for (let i = 0; i === 0 || (step > 0 && i + step <= values.length); i += step || 1) {
      const from: Point = [x, y];
      if (command === 'Z') [x, y] = [startX, startY];
      else if (i + step > values.length) break;
      else if (command === 'H') x = values[i] + (relative ? x : 0);
      else if (command === 'V') y = values[i] + (relative ? y : 0);
      else {
        x = values[i + step - 2] + (relative ? x : 0);
        y = values[i + step - 1] + (relative ? y : 0);
      }
      if (command === 'M' && i === 0) [startX, startY] = [x, y];
      else if ('CSQTA'.includes(command)) skipped++;
      else segments.push([from, [x, y]]);
      if (command === 'Z') break;
    }
  }
  return { segments, skipped };
}

function arcNumbers(text: string): number[] {
  return [...text.matchAll(ARC)].flatMap((match) => match.slice(1).map(Number));
}
