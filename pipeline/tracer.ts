/** Pictures of every stage for a person: DIR/NUMBER-STAGE.png. */
import { mkdir } from 'node:fs/promises';
import { basename, join } from 'node:path';
import sharp from 'sharp';
import { PlicaError } from './errors.ts';
import { patternToPaper } from './geometry/frames.ts';
import { endsOf } from './geometry/segment-ends.ts';
import type { StrokeGraph } from './graph/graph.ts';
import type { InkField } from './ink/ink.ts';
import type { KindReading } from './kinds/kinds.ts';
import type { FittedLattice } from './lattice/fit.ts';
import type { LatticeFit } from './lattice/lattice.ts';
import { STYLES } from './report/style.ts';
import type { Resolved } from './resolve/resolve.ts';
import { STAGE_ORDER, type StageWatcher } from './stage-clock.ts';
import type { Strokes } from './strokes/strokes.ts';
import type { Kind, Pattern, PatternPoint, Picture, Raster, Sheet, StageName } from './types.ts';

/** Share of the sheet's darkness that stays under drawings. */
const FADED = 0.35;
const LINE_PX = 2;
const SEEN = '#d55e00';
const LEFT_OUT = '#999999';
const LOOSE = '#7a1fa2';

interface TracePicture {
  /** 1 or 3 channels. */
  readonly raster: Raster<Uint8Array>;
  /** Elements of SVG in px of the raster, drawn over it. */
  readonly over?: string;
}

/**
 * Draws what each stage found and writes it to a folder.
 *
 * @throws PlicaError `no-access` where the folder cannot be written
 */
export function tracer(dir: string): StageWatcher {
  let sheet: Sheet;
  let graph: StrokeGraph;
  const pictureOf = (stage: StageName, result: unknown): TracePicture | null => {
    switch (stage) {
      case 'intake':
        return { raster: (result as Picture).raster };
      case 'rectify':
        sheet = result as Sheet;
        return { raster: sheet.raster };
      case 'ink':
        return inkPicture(result as InkField);
      case 'strokes':
        return strokesPicture(sheet, result as Strokes);
      case 'lattice':
        return latticePicture(sheet, (result as FittedLattice).lattice);
      case 'graph':
        graph = result as StrokeGraph;
        return graphPicture(sheet, graph);
      case 'kinds':
        return kindsPicture(sheet, graph, (result as KindReading).kinds);
      case 'resolve':
        return patternPicture(sheet, (result as Resolved).pattern);
      default:
        return null;
    }
  };
  return async (stage, result) => {
    const picture = pictureOf(stage, result);
    if (picture) await write(dir, `${STAGE_ORDER.indexOf(stage) + 1}-${stage}.png`, picture);
  };
}

async function write(dir: string, name: string, { raster, over }: TracePicture): Promise<void> {
  const { width, height, data, channels } = raster;
  const image = sharp(data, { raw: { width, height, channels: channels as 1 | 3 } }).toColourspace('srgb');
  if (over !== undefined) {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${over}</svg>`;
    image.composite([{ input: Buffer.from(svg) }]);
  }
  try {
    await mkdir(dir, { recursive: true });
    await image.png({ compressionLevel: 3 }).toFile(join(dir, name));
  } catch {
    const what = `the pictures of the stages cannot be written to ${basename(dir)}`;
    throw new PlicaError('no-access', what, 'choose a folder that you may write to');
  }
}

/** Where lines run in the ink, dark on white. */
function inkPicture({ width, height, line }: InkField): TracePicture {
  const data = new Uint8Array(line.length);
  for (let i = 0; i < data.length; i++) data[i] = 255 - 255 * Math.min(1, Math.max(0, line[i]));
  return { raster: { width, height, channels: 1, data } };
}

/** Centre lines over the sheet. */
function strokesPicture(sheet: Sheet, { segments }: Strokes): TracePicture {
  const lines = segments.map((segment) => path(...endsOf(segment), SEEN));
  return { raster: faded(sheet.raster), over: lines.join('') };
}

/** Segments after the bend was taken out, on white: straight lines where it was found rightly. */
function latticePicture(sheet: Sheet, { straight }: LatticeFit): TracePicture {
  const { width, height } = sheet.raster;
  const lines = straight.map((segment) => between(sheet, ...endsOf(segment), SEEN));
  const data = new Uint8Array(width * height).fill(255);
  return { raster: { width, height, channels: 1, data }, over: lines.join('') };
}

/** Pieces that were seen, pieces left out, and ends that meet nothing. */
function graphPicture(sheet: Sheet, { vertices, pieces, rejected, dangling }: StrokeGraph): TracePicture {
  const drawn = [
    ...rejected.map(({ from, to }) => between(sheet, vertices[from], vertices[to], LEFT_OUT)),
    ...pieces.map(({ from, to }) => between(sheet, vertices[from], vertices[to], SEEN)),
    ...dangling.map((v) => ring(sheet, vertices[v])),
  ];
  return { raster: faded(sheet.raster), over: drawn.join('') };
}

/** Pieces in the colours of their kinds. */
function kindsPicture(sheet: Sheet, graph: StrokeGraph, kinds: readonly Kind[]): TracePicture {
  const lines = graph.pieces.map(({ from, to }, i) =>
    between(sheet, graph.vertices[from], graph.vertices[to], STYLES[kinds[i]].colour),
  );
  return { raster: faded(sheet.raster), over: lines.join('') };
}

/** The pattern in the colours of its kinds. */
function patternPicture(sheet: Sheet, { vertices, creases }: Pattern): TracePicture {
  const lines = creases.map(({ from, to, kind }) => between(sheet, vertices[from], vertices[to], STYLES[kind].colour));
  return { raster: faded(sheet.raster), over: lines.join('') };
}

function faded({ data, ...rest }: Raster<Uint8Array>): Raster<Uint8Array> {
  return { ...rest, data: data.map((value) => 255 - FADED * (255 - value)) };
}

function between(sheet: Sheet, a: PatternPoint, b: PatternPoint, colour: string): string {
  return path(patternToPaper(sheet, a), patternToPaper(sheet, b), colour);
}

function path(a: readonly [number, number], b: readonly [number, number], colour: string): string {
  const [x1, y1, x2, y2] = [...a, ...b].map((value) => value.toFixed(1));
  return `<path d="M${x1} ${y1}L${x2} ${y2}" stroke="${colour}" stroke-width="${LINE_PX}"/>`;
}

function ring(sheet: Sheet, at: PatternPoint): string {
  const [x, y] = patternToPaper(sheet, at).map((value) => value.toFixed(1));
  return `<circle cx="${x}" cy="${y}" r="${4 * LINE_PX}" fill="none" stroke="${LOOSE}" stroke-width="${LINE_PX}"/>`;
}
