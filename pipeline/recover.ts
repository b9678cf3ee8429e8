/**
 * The main job, top to bottom: a picture of a crease pattern in, the exact pattern and what to doubt about it out.
 */

import type { Bend } from './geometry/bend.ts';
import { buildGraph } from './graph/graph.ts';
import { withOverlooked } from './graph/overlooked.ts';
import { withShortStrokes } from './graph/short-strokes.ts';
import type { InkField } from './ink/ink.ts';
import { prepareInk, readInk } from './ink/read-ink.ts';
import { readCloser, readPicture } from './intake/intake.ts';
import { type LegendBeside, legendBeside, readKindsBeside } from './kinds/beside.ts';
import { fitLattice } from './lattice/fit.ts';
import { flattenSheet } from './lattice/flatten.ts';
import { squaresSeen } from './lattice/paper-squares.ts';
import { shownProportions } from './lattice/proportions.ts';
import { finerSheet, hasFiner, rectify, reproportioned } from './rectify/rectify.ts';
import { hasOddVertices, isDoubtful, likelier } from './resolve/likelier.ts';
import { type Resolved, resolve } from './resolve/resolve.ts';
import { stageClock } from './stage-clock.ts';
import { findStrokes, type Strokes } from './strokes/strokes.ts';
import { tracer } from './tracer.ts';
import type { Picture, RecoverOptions, Recovery, Sheet, StageName } from './types.ts';
import { briefVerdict, prepareVerdict } from './validity/brief.ts';

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
  const seen = { source: picture, picture: read, options, beside: legendBeside(read, options) };
  const reading = await lookClosely(seen, sheet, clock.run);
  // The verdict is reached in a thread of its own, the sheet flattened meanwhile.
  const [verdict, flat] = await Promise.all([
    clock.run('validity', () => briefVerdict(reading.pattern, reading.laws)),
    clock.run('report', () => flattenSheet(reading.sheet, reading.bend)),
  ]);
  const { bend: _bend, strokeCount: _count, sheet: _sheet, ...resolved } = reading;
  return { ...resolved, ...verdict, picture: read, sheet: flat, timings: clock.timings };
}

/** What was read, on which sheet, the bend of it that it rests on, and how many straight strokes were seen. */
type Reading = Resolved & { readonly sheet: Sheet; readonly bend: Bend; readonly strokeCount: number };
type Run = <T>(stage: StageName, work: () => T | Promise<T>) => Promise<T>;

/** What all looks at one picture share. */
interface Seen {
  /** The file, for what was lost when it was made smaller. */
  readonly source: string | Uint8Array;
  readonly picture: Picture;
  readonly options: RecoverOptions;
  readonly beside: LegendBeside;
}
/** With so many times the strokes of the first reading a second one reads noise, and takes minutes. */
const MOST_MORE = 3;

/**
 * The likeliest of up to three readings. Each errs where the others may not: where anything is doubtful the sheet is looked at again with all that the picture
 * shows of it, and where vertices are odd even so, without the network.
 */
async function lookClosely(seen: Seen, sheet: Sheet, run: Run): Promise<Reading> {
  const { source, picture, options } = seen;
  let reading = await look(seen, sheet, run);
  if (!isDoubtful(reading)) return reading;
  let closest = { ...seen, sheet: reading.sheet };
  if (hasFiner(reading.sheet)) {
    const closer = await run('intake', () => readCloser(source, picture, options));
    const finer = await run('rectify', () => finerSheet(closer, reading.sheet, picture.scale));
    closest = { ...seen, picture: closer, sheet: finer };
    reading = likelier(await look(closest, finer, run), reading);
  }
  if (options.ink === 'classical' || !hasOddVertices(reading)) return reading;
  return run('resolve', () => lookWithout(reading, closest, closest.sheet));
}

/** What is drawn on the sheet. A function of its own, so that the ink's maps are given back with it. */
async function look(seen: Seen, sheet: Sheet, run: Run): Promise<Reading> {
  const ink = await run('ink', () => readInk(sheet, seen.options));
  prepareVerdict();
  const strokes = await run('strokes', () => findStrokes(ink));
  const shown = shownProportions(strokes, sheet, () => squaresSeen(strokes, ink, sheet));
  const proper = shown ? await run('rectify', () => reproportioned(seen.picture, sheet, shown)) : sheet;
  return proper.raster === sheet.raster ? readCreases(seen, proper, ink, strokes, run) : look(seen, proper, run);
}

/** The likelier of a reading and one without the network. */
async function lookWithout(first: Reading, seen: Seen, sheet: Sheet): Promise<Reading> {
  const ink = await readInk(sheet, { ...seen.options, ink: 'classical' });
  // Statistics of colour see strokes in moire everywhere.
  if (ink.coloured) return first;
  const strokes = findStrokes(ink);
  if (strokes.segments.length > MOST_MORE * first.strokeCount) return first;
  return likelier(first, await readCreases(seen, sheet, ink, strokes, async (_, work) => work()));
}

/** From strokes to the most probable pattern. */
async function readCreases(seen: Seen, sheet: Sheet, ink: InkField, drawn: Strokes, run: Run): Promise<Reading> {
  const { picture, options } = seen;
  const { strokes, lattice, leftOut, guideGrid } = await run('lattice', () => fitLattice(drawn, ink, sheet, options));
  const { bend } = lattice;
  const graph = await run('graph', () =>
    withOverlooked(withShortStrokes(buildGraph(strokes, lattice, sheet), ink, bend, sheet), ink, lattice, sheet),
  );
  const kinds = await run('kinds', () => readKindsBeside(graph, ink, sheet, bend, options.legend ?? [], seen.beside));
  const isExact = ink.plain || options.divisions !== undefined;
  const resolved = await run('resolve', () =>
    resolve({ picture, sheet, lattice, guideGrid, leftOut, graph, kinds, isExact }),
  );
  return { ...resolved, sheet, bend, strokeCount: drawn.segments.length };
}
