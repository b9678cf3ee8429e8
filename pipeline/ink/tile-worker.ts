/** One thread that reads tiles. Pixels and maps lie in shared memory; only a tile's place travels. */
import { parentPort } from 'node:worker_threads';
import { loadInkNetwork } from './network.ts';
import { cutTile, type LearnedInk, type Tile, writeCore } from './tiling.ts';

export type ToWorker =
  | {
      readonly do: 'sheet';
      readonly sheet: { width: number; height: number; channels: number; data: Uint8Array };
      readonly into: LearnedInk;
    }
  | { readonly do: 'tile'; readonly tile: Tile }
  | { readonly do: 'forget' };
export type FromWorker = { readonly did: 'load' } | { readonly did: 'tile' } | { readonly failed: string };

const port = parentPort!;
const network = loadInkNetwork();
let job: Extract<ToWorker, { do: 'sheet' }> | null = null;

const say = (message: FromWorker): void => port.postMessage(message);
const fail = (error: unknown): void => say({ failed: error instanceof Error ? error.message : String(error) });

network.then(() => say({ did: 'load' }), fail);

port.on('message', async (message: ToWorker) => {
  try {
    if (message.do === 'sheet') job = message;
    else if (message.do === 'forget') job = null;
    else if (job) {
      const run = await network;
      writeCore(job.into, message.tile, run(cutTile(job.sheet, message.tile), message.tile.width, message.tile.height));
      say({ did: 'tile' });
    }
  } catch (error) {
    fail(error);
  }
});
