import { exactText } from '../geometry/exact.ts';
import { checkPlanarGraph } from '../graph/check.ts';
import { faceVertices, findFaces } from '../graph/faces.ts';
import type { Evidence, Kind, Pattern, Recovery } from '../types.ts';

/** The letters of FOLD 1.2, without J: a pattern here has no joins. */
export interface FoldFile {
  readonly file_spec: number;
  readonly file_creator: string;
  readonly file_title?: string;
  readonly file_classes: readonly string[];
  readonly frame_classes: readonly string[];
  readonly frame_attributes: readonly string[];
  readonly frame_unit: string;
  readonly vertices_coords: readonly (readonly number[])[];
  readonly edges_vertices: readonly (readonly number[])[];
  readonly edges_assignment: readonly Kind[];
  readonly [more: string]: unknown;
}

const FOLD_SPEC = 1.2;
/** Degrees, positive for valley (FOLD 1.2, edges_foldAngle); flat-folded. */
const FOLD_ANGLE: Readonly<Record<Kind, number>> = { V: 180, M: -180, B: 0, F: 0, C: 0, U: 0 };

/**
 * A pattern, or a recovery with its evidence, as a FOLD 1.2 file object: one crease-pattern frame, the sheet's longest
 * side 1, y up. Vertices and edges keep their order, so that index i of a report is edge i of the file.
 *
 * Fold angles are left out where any crease is undecided, rather than guessed. Names with a colon are Plica's own:
 * `vertices_plica:exact` (coordinates as text such as "3/8" or "(2-√2)/2"), `plica:lattice`, and of a recovery
 * `edges_plica:odds`, `edges_plica:coverage`, `edges_plica:origin`.
 */
export function toFold(source: Pattern | Recovery): FoldFile {
  const recovery = 'pattern' in source ? source : null;
  const pattern = 'pattern' in source ? source.pattern : source;
  const { vertices, creases, exact, lattice } = pattern;
  const decided = creases.every(({ kind }) => kind !== 'U');
  const faces = facesOf(pattern);
  return {
    file_spec: FOLD_SPEC,
    file_creator: 'Plica',
    ...(recovery && { file_title: recovery.picture.name }),
    file_classes: ['singleModel'],
    frame_classes: ['creasePattern'],
    frame_attributes: ['2D'],
    frame_unit: 'unit',
    vertices_coords: vertices.map(([x, y]) => [x, y]),
    edges_vertices: creases.map(({ from, to }) => [from, to]),
    edges_assignment: creases.map(({ kind }) => kind),
    ...(decided && { edges_foldAngle: creases.map(({ kind }) => FOLD_ANGLE[kind]) }),
    ...(faces && { faces_vertices: faces }),
    ...(exact.some((e) => e !== null) && {
      'vertices_plica:exact': exact.map((e) => e && [exactText(e[0]), exactText(e[1])]),
    }),
    ...(lattice && { 'plica:lattice': lattice }),
    ...(recovery && evidenceKeys(recovery.evidence)),
  };
}

/** Counterclockwise rings of vertices; null where the creases make no planar graph and so bound no faces. */
function facesOf(pattern: Pattern): number[][] | null {
  if (checkPlanarGraph(pattern).length > 0) return null;
  const faces = findFaces(pattern, { guides: true });
  return Array.from({ length: faces.count }, (_, face) => faceVertices(pattern, faces, face));
}

function evidenceKeys(evidence: readonly Evidence[]) {
  return {
    'edges_plica:odds': evidence.map(({ odds }) => odds),
    'edges_plica:coverage': evidence.map(({ coverage }) => coverage),
    'edges_plica:origin': evidence.map(({ origin }) => origin),
  };
}

/** JSON with one line a key: small enough, and two versions can be compared line by line. */
export function foldText(file: FoldFile): string {
  const lines = Object.entries(file).map(([key, value]) => `  ${JSON.stringify(key)}: ${JSON.stringify(value)}`);
  return `{\n${lines.join(',\n')}\n}\n`;
}
