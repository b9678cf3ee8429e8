import { KINDS, STYLES, sidesOf } from '../report/style.ts';
import type { Pattern } from '../types.ts';
import { CAUTIONS } from './cautions.ts';

export interface ToDxfOptions {
  /** Longest side of the sheet, mm; default 150. */
  readonly sizeMm?: number;
}

/** Dashes and gaps in mm; a dot is a dash of length 0 in this format. */
const LINE_TYPES = {
  CONTINUOUS: { text: 'Solid', parts: [] },
  DASHED: { text: 'Dashed __ __ __', parts: [3, -0.75] },
  DASHDOT: { text: 'Dash dot __ . __ .', parts: [3, -0.75, 0, -0.75] },
} as const;

/**
 * The pattern as an ASCII DXF drawing of release 12 (AC1009), the one every cutter reads. Unit: millimetre, y up, one
 * layer for each kind: EDGE, MOUNTAIN, VALLEY, GUIDE, UNDECIDED, CUT. R12 cannot store a unit, so a comment states it.
 */
export function toDxf(pattern: Pattern, options: ToDxfOptions = {}): string {
  const { sizeMm = 150 } = options;
  const { width, height } = sidesOf(pattern);
  const tags: (string | number)[] = [];
  const add = (...codesAndValues: (string | number)[]) => tags.push(...codesAndValues);

  add(999, 'Unit: millimetre. Layers: EDGE, MOUNTAIN, VALLEY, GUIDE, UNDECIDED, CUT.');
  for (const caution of CAUTIONS) add(999, caution);
  add(0, 'SECTION', 2, 'HEADER', 9, '$ACADVER', 1, 'AC1009');
  add(9, '$EXTMIN', 10, real(0), 20, real(0), 30, real(0));
  add(9, '$EXTMAX', 10, real(width * sizeMm), 20, real(height * sizeMm), 30, real(0));
  add(9, '$LTSCALE', 40, real(1), 0, 'ENDSEC');

  add(0, 'SECTION', 2, 'TABLES');
  const lineTypes = Object.entries(LINE_TYPES);
  add(0, 'TABLE', 2, 'LTYPE', 70, lineTypes.length);
  for (const [name, { text, parts }] of lineTypes) {
    const period = parts.reduce<number>((sum, part) => sum + Math.abs(part), 0);
    add(0, 'LTYPE', 2, name, 70, 0, 3, text, 72, 65, 73, parts.length, 40, real(period));
    for (const part of parts) add(49, real(part));
  }
  add(0, 'ENDTAB', 0, 'TABLE', 2, 'LAYER', 70, KINDS.length);
  for (const kind of KINDS) {
    const { colourIndex, lineType } = STYLES[kind];
    add(0, 'LAYER', 2, layerOf(kind), 70, 0, 62, colourIndex, 6, lineType);
  }
  add(0, 'ENDTAB', 0, 'ENDSEC');

  add(0, 'SECTION', 2, 'ENTITIES');
  for (const kind of KINDS) {
    for (const { from, to } of pattern.creases.filter((crease) => crease.kind === kind)) {
      const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
      add(0, 'LINE', 8, layerOf(kind));
      add(10, real(a[0] * sizeMm), 20, real(a[1] * sizeMm), 30, real(0));
      add(11, real(b[0] * sizeMm), 21, real(b[1] * sizeMm), 31, real(0));
    }
  }
  add(0, 'ENDSEC', 0, 'EOF');
  return textOf(tags);
}

function layerOf(kind: (typeof KINDS)[number]): string {
  return STYLES[kind].name.toUpperCase();
}

/** Group code and value alternate, one a line, codes right-aligned in three columns. */
function textOf(tags: readonly (string | number)[]): string {
  return tags
    .map((tag, i) => (i % 2 === 0 ? String(tag).padStart(3) : String(tag)))
    .join('\r\n')
    .concat('\r\n');
}

function real(value: number): string {
  return (value + 0).toFixed(6);
}
