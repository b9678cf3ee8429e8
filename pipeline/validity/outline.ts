import { type Faces, startOf } from '../graph/faces.ts';
import type { BrokenLaw, Pattern } from '../types.ts';

/**
 * The sheet must have one closed edge around everything: border creases (B, or cuts) all around the outside, none inside, and
 * no piece of the drawing that hangs on nothing.
 *
 * @returns one entry for each place where the edge is missing, for each border crease inside, for each loose piece
 */
export function checkClosedOutline(pattern: Pattern, faces: Faces): BrokenLaw[] {
  const broken: BrokenLaw[] = [];
  const note = (creases: readonly number[], problem: string): void => {
    const [x, y] = middleOf(pattern, creases[0]);
    broken.push({ law: 'closed-outline', creases, at: [x, y], amount: creases.length, facts: { problem } });
  };
  if (faces.count === 0) {
    broken.push({ law: 'closed-outline', at: [0, 0], amount: 0, facts: { problem: 'no-face' } });
    return broken;
  }
  const sheet = widestWalk(pattern, faces);
  for (const walk of faces.outside) {
    const creases = [...new Set([...walk].map((h) => h >> 1))];
    if (walk !== sheet) {
      // A slit inside the sheet takes nothing away from it.
      if (creases.some((c) => pattern.creases[c].kind !== 'C')) note(creases, 'loose-piece');
      continue;
    }
    const open = creases.filter((c) => !isEdge(pattern, c));
    if (open.length > 0) note(open, 'edge-missing');
  }
  const around = new Set(sheet.map((h) => h >> 1));
  pattern.creases.forEach(({ kind }, c) => {
    if (kind === 'B' && !around.has(c)) note([c], 'edge-inside');
  });
  return broken;
}

function isEdge(pattern: Pattern, crease: number): boolean {
  const { kind } = pattern.creases[crease];
  return kind === 'B' || kind === 'C';
}

/** The walk around the whole sheet: the one that encloses most. */
function widestWalk(pattern: Pattern, faces: Faces): Int32Array {
  let widest = faces.outside[0];
  let most = Number.NEGATIVE_INFINITY;
  for (const walk of faces.outside) {
    let twice = 0;
    for (const h of walk) {
      const [a, b] = [pattern.vertices[startOf(pattern, h)], pattern.vertices[startOf(pattern, h ^ 1)]];
      twice -= a[0] * b[1] - a[1] * b[0];
    }
    if (twice > most) {
      most = twice;
      widest = walk;
    }
  }
  return widest;
}

export function middleOf({ vertices, creases }: Pattern, crease: number): [number, number] {
  const [a, b] = [vertices[creases[crease].from], vertices[creases[crease].to]];
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}
