import { exactText } from '../../pipeline/geometry/exact.ts';
import type { NamedPattern } from './family.ts';

/**
 * FOLD 1.2 text of a pattern, with its source and, under a custom name as the format allows, the exact coordinates as
 * text. Unit sheet, y up.
 */
export function foldText(named: NamedPattern): string {
  const { pattern } = named;
  const file = {
    file_spec: 1.2,
    file_creator: 'Plica data sets',
    file_title: named.name,
    file_description: named.source,
    file_classes: ['singleModel'],
    frame_classes: ['creasePattern'],
    frame_attributes: ['2D'],
    frame_unit: 'unit',
    vertices_coords: pattern.vertices.map(([x, y]) => [x, y]),
    'vertices_plica:exact': pattern.exact.map((e) => e && [exactText(e[0]), exactText(e[1])]),
    edges_vertices: pattern.creases.map(({ from, to }) => [from, to]),
    edges_assignment: pattern.creases.map(({ kind }) => kind),
  };
  const fields = Object.entries(file).map(([key, value]) => `  ${JSON.stringify(key)}: ${JSON.stringify(value)}`);
  return `{\n${fields.join(',\n')}\n}\n`;
}
