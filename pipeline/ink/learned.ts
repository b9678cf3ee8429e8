/** Ink by the trained network: see models/ink/CARD.md for what it was trained on and how far it can be believed. */
import { createRequire } from 'node:module';
import { availableParallelism } from 'node:os';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';
import { PlicaError } from '../errors.ts';
import type { Raster } from '../types.ts';
import type { TileReading } from './network.ts';
import type { FromWorker, TilePixels } from './tile-worker.ts';
import { cutTile, type LearnedInk, planTiles, writeCore } from './tiling.ts';

export type { LearnedInk } from './tiling.ts';

/** More workers than this gain nothing on the two cores we build for, and each costs some 150 MB. */
const MOST_WORKERS = 2;

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
 * @param sheet RGB, sRGB 0..255, any size; strokes of 1 to 12 px are what it was trained on. Light may be uneven.
 * @returns maps of the sheet's own size, paper px; all zero where nothing is drawn
 * @throws PlicaError `cancelled`
 *
 * ```ts
 * const { line, ink } = await runInkNetwork(sheet.raster);
 * ```
 */
export function runInkNetwork(sheet: Raster<Uint8Array>, signal?: AbortSignal): Promise<LearnedInk> {
  const mine = current.then(() => readSheet(sheet, signal));
  current = mine.catch(() => undefined);
  return mine;
}

async function readSheet(sheet: Raster<Uint8Array>, signal: AbortSignal | undefined): Promise<LearnedInk> {
  const into = blankInk(sheet.width, sheet.height);
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
        await readTile(worker, { rgb: cutTile(sheet, tile), width: tile.width, height: tile.height }),
      );
    }
  };
  // Every worker finishes its tile before this returns, even when one was stopped: the pool stays usable.
  const ends = await Promise.allSettled(hands!.map(work));
  for (const end of ends) if (end.status === 'rejected') throw end.reason;
  return into;
}

function blankInk(width: number, height: number): LearnedInk {
  const map = (channels = 1): Float32Array => new Float32Array(width * height * channels);
  return {
    width,
    height,
    line: map(),
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
  worker.postMessage(pixels, [pixels.rgb.buffer]);
  const message = await answered;
  if (!('reading' in message)) throw new Error('ink network: a worker answered out of turn');
  return message.reading;
}

function startHand(): Hand {
  const worker = startWorker();
  worker.unref();
  return { worker, ready: answer(worker) };
}

function startWorker(): Worker {
  if (!import.meta.url.endsWith('.ts')) return new Worker(new URL('./tile-worker.js', import.meta.url));
  // From source: threads do not inherit the loader that reads TypeScript, so it is registered in them first.
  const tsx = createRequire(import.meta.url).resolve('tsx/package.json');
  const loader = new URL('dist/esm/api/index.mjs', pathToFileURL(tsx)).href;
  const file = new URL('./tile-worker.ts', import.meta.url).href;
  const start = `import('${loader}').then(({ register }) => { register(); return import('${file}'); })`;
  return new Worker(start, { eval: true });
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
