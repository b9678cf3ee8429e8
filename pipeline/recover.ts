/**
 * The main job, top to bottom: a picture of a crease pattern in, the exact pattern and what to doubt about it out.
 */

import { buildGraph } from './graph/graph.ts';
import { withOverlooked } from './graph/overlooked.ts';
import { withShortStrokes } from './graph/short-strokes.ts';
import { prepareInk, readInk } from './ink/read-ink.ts';
import { readPicture } from './intake/intake.ts';
import { readKinds } from './kinds/kinds.ts';
import { fitLattice } from './lattice/fit.ts';
import { flattenSheet } from './lattice/flatten.ts';
import { rectify } from './rectify/rectify.ts';
import { resolve } from './resolve/resolve.ts';
import { stageClock } from './stage-clock.ts';
import { findStrokes } from './strokes/strokes.ts';
import { tracer } from './tracer.ts';
import type { RecoverOptions, Recovery } from './types.ts';
import { briefVerdict } from './validity/brief.ts';

export { PlicaError } from './errors.ts';
export type * from './types.ts';

/**
 * Recovers the crease pattern from a picture.
 *
 * `picture` is a file path or the file's bytes. Throws PlicaError for people: not a picture, too large, no pattern in it.
 *
 *     const recovery = await recover('photo.jpg', { legend: [{ kind: 'mountain', colour: '#dd2222' }] });
 *     console.log(recovery.pattern.creases.length, recovery.doubts.length);
 */
export async function recover(picture: string | Uint8Array, options: RecoverOptions = {}): Promise<Recovery> {
  const clock = stageClock(options, options.trace === undefined ? undefined : tracer(options.trace));
  const read = await clock.run('intake', () => readPicture(picture, options));
  prepareInk(options);
  const sheet = await clock.run('rectify', () => rectify(read, options));
  const ink = await clock.run('ink', () => readInk(sheet, options));
  const drawn = await clock.run('strokes', () => findStrokes(ink));
  const { strokes, lattice, leftOut, guideGrid } = await clock.run('lattice', () =>
    fitLattice(drawn, ink, sheet, options),
  );
  const graph = await clock.run('graph', () =>
    withOverlooked(
      withShortStrokes(buildGraph(strokes, lattice, sheet), ink, lattice.bend, sheet),
      ink,
      lattice,
      sheet,
    ),
  );
  const kinds = await clock.run('kinds', () => readKinds(graph, ink, sheet, lattice.bend, options.legend ?? []));
  const resolved = await clock.run('resolve', () =>
    resolve({ picture: read, sheet, lattice, guideGrid, leftOut, graph, kinds }),
  );
  // The verdict is reached in a thread of its own, the sheet flattened meanwhile.
  const [verdict, flat] = await Promise.all([
    clock.run('validity', () => briefVerdict(resolved.pattern, resolved.laws)),
    clock.run('report', () => flattenSheet(sheet, lattice.bend)),
  ]);
  return { ...resolved, ...verdict, picture: read, sheet: flat, timings: clock.timings };
}
