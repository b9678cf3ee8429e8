/** One thread that runs the network on tiles; pixels and readings are handed over, not copied. */
import { parentPort } from 'node:worker_threads';
import { loadInkNetwork } from './network.ts';
import type { Asked, TileReading } from './tile-reading.ts';

export interface TilePixels {
  readonly rgb: Uint8Array<ArrayBuffer>;
  readonly width: number;
  readonly height: number;
  readonly asked: Asked;
}
export type FromWorker = { readonly ready: true } | { readonly reading: TileReading } | { readonly failed: string };

/** Side of the tile that is read before anybody asks, px: the engine then compiles for speed while earlier stages run. */
const FIRST_PX = 128;

const port = parentPort!;
const network = loadInkNetwork();

const fail = (error: unknown): void => {
  port.postMessage({ failed: error instanceof Error ? error.message : String(error) } satisfies FromWorker);
};

network.then((read) => {
  read(new Uint8Array(FIRST_PX * FIRST_PX * 3), FIRST_PX, FIRST_PX);
  port.postMessage({ ready: true } satisfies FromWorker);
}, fail);

port.on('message', async ({ rgb, width, height, asked }: TilePixels) => {
  try {
    const reading = (await network)(rgb, width, height, asked);
    port.postMessage({ reading } satisfies FromWorker, [
      reading.chances.buffer as ArrayBuffer,
      reading.measures.buffer as ArrayBuffer,
    ]);
  } catch (error) {
    fail(error);
  }
});
