/** Ink by the trained network: see models/ink/CARD.md for what it was trained on and how far it can be believed. */
import { availableParallelism } from 'node:os';
import type { Worker } from 'node:worker_threads';
import { PlicaError } from '../errors.ts';
import { startWorker } from '../start-worker.ts';
import type { Raster } from '../types.ts';
import { enlarge, shrink } from './scale.ts';
import type { Asked, TileReading } from './tile-reading.ts';
import type { FromWorker, TilePixels } from './tile-worker.ts';
import { cutTile, type LearnedInk, planTiles, writeCore } from './tiling.ts';

export type { LearnedInk } from './tiling.ts';

/** More workers than this gain nothing on the two cores we build for, and each costs some 150 MB. */
const MOST_WORKERS = 2;

/** Strokes broader than this are read at a smaller size, px: beyond it the ridge of dashes frays (precision 0.85 at 13 px, 0.91 at half size). */
export const BROAD_STROKE = 8;

interface Hand {
  readonly worker: Worker;
  readonly ready: Promise<unknown>;
}

let hands: Hand[] | null = null;
/** The sheet being read: workers hold one at a time. */
let current: Promise<unknown> = Promise.resolve();

/**
 * Starts the workers ahead of time, so that loading hides behind earlier stages. Workers do not keep the process alive.
 * `count` defaults to the cores at hand, at most MOST_WORKERS; it counts at the first call only.
 */
export async function prepareInkNetwork(count = Math.min(MOST_WORKERS, availableParallelism())): Promise<void> {
  hands ??= Array.from({ length: count }, startHand);
  await Promise.all(hands.map((hand) => hand.ready));
}

/** Ends the workers and frees their memory; the next call starts them again. */
export async function releaseInkNetwork(): Promise<void> {
  const ending = hands;
  hands = null;
  await Promise.all(ending?.map((hand) => hand.worker.terminate()) ?? []);
}

/**
 * What the network sees on a straightened sheet.
 *
 * @param sheet RGB, sRGB 0..255, any size. Light may be uneven.
 * @param strokeWidthPx typical stroke width, if known; above 8 px the sheet is read at half or quarter size
 * @param maps 'line' leaves the other maps empty: they take nine times its memory
 * @returns maps of the sheet's own size, paper px; all zero where nothing is drawn
 * @throws PlicaError `cancelled`
 *
 * ```ts
 * const { line, ink } = await runInkNetwork(sheet.raster);
 * ```
 */
export function runInkNetwork(
  sheet: Raster<Uint8Array>,
  signal?: AbortSignal,
  strokeWidthPx = 1,
  maps: Asked = 'all',
): Promise<LearnedInk> {
  const mine = current.then(() => readAtSize(sheet, signal, strokeWidthPx, maps));
  current = mine.catch(() => undefined);
  return mine;
}

async function readAtSize(
  sheet: Raster<Uint8Array>,
  signal: AbortSignal | undefined,
  strokeWidthPx: number,
  maps: Asked,
): Promise<LearnedInk> {
  const factor = 2 ** Math.max(0, Math.ceil(Math.log2(strokeWidthPx / BROAD_STROKE)));
  if (factor === 1) return readSheet(sheet, signal, maps);
  const small = await readSheet(shrink(sheet, factor), signal, maps);
  const { width, height } = sheet;
  const larger = (data: Float32Array, channels = 1): Float32Array =>
    data.length > 0
      ? enlarge({ width: small.width, height: small.height, channels, data }, factor, width, height)
      : data;
  return {
    width,
    height,
    ridgePx: factor,
    line: larger(small.line),
    ink: larger(small.ink),
    dirCos2: larger(small.dirCos2),
    dirSin2: larger(small.dirSin2),
    vertex: larger(small.vertex),
    other: larger(small.other),
    diff: larger(small.diff, 3),
  };
}

async function readSheet(sheet: Raster<Uint8Array>, signal: AbortSignal | undefined, maps: Asked): Promise<LearnedInk> {
  const into = blankInk(sheet.width, sheet.height, maps);
  const tiles = planTiles(sheet);
  if (tiles.length === 0) return into;
  await prepareInkNetwork();
  let next = 0;
  const work = async ({ worker }: Hand): Promise<void> => {
    while (next < tiles.length) {
      if (signal?.aborted) throw new PlicaError('cancelled', 'stopped as asked', 'start again when you like');
      const tile = tiles[next++];
      writeCore(
        into,
        tile,
        await readTile(worker, { rgb: cutTile(sheet, tile), width: tile.width, height: tile.height, asked: maps }),
      );
    }
  };
  // Every worker finishes its tile before this returns, even when one was stopped: the pool stays usable.
  const ends = await Promise.allSettled(hands!.map(work));
  for (const end of ends) if (end.status === 'rejected') throw end.reason;
  return into;
}

function blankInk(width: number, height: number, maps: Asked): LearnedInk {
  const map = (channels = 1): Float32Array => new Float32Array(maps === 'all' ? width * height * channels : 0);
  return {
    width,
    height,
    ridgePx: 1,
    line: new Float32Array(width * height),
    ink: map(),
    dirCos2: map(),
    dirSin2: map(),
    vertex: map(),
    other: map(),
    diff: map(3),
  };
}

async function readTile(worker: Worker, pixels: TilePixels): Promise<TileReading> {
  const answered = answer(worker);
  // Copied, not handed over: once a thread has given an array away, every access to any other asks first whether that is still there.
  worker.postMessage(pixels);
  const message = await answered;
  if (!('reading' in message)) throw new Error('ink network: a worker answered out of turn');
  return message.reading;
}

function startHand(): Hand {
  const worker = startWorker(new URL('./tile-worker.ts', import.meta.url));
  worker.unref();
  return { worker, ready: answer(worker) };
}

/** The worker's next message. The worker keeps the process alive while somebody waits for it. */
function answer(worker: Worker): Promise<FromWorker> {
  worker.ref();
  return new Promise((resolve, reject) => {
    const settle = (end: () => void): void => {
      worker.off('message', onMessage);
      worker.off('error', onError);
      worker.unref();
      end();
    };
    const onError = (error: Error): void => settle(() => reject(error));
    const onMessage = (message: FromWorker): void => {
      if ('failed' in message) onError(new Error(`ink network: ${message.failed}`));
      else settle(() => resolve(message));
    };
    worker.on('message', onMessage);
    worker.on('error', onError);
  });
}
