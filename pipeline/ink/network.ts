/**
 * The ink network on one tile: the same graph as scripts/train/network.py, run by TensorFlow.js on its wasm backend.
 *
 * ```
 *  rgb ─ stem ─────────────────────────────────── + ─ half1 ─ chances, measures    1/2
 *           └ down1 ─ quarter1-2 ────────── + ─ quarter3 ─┘ up1                    1/4
 *                       └ down2 ─ eighth1-2 ─ + ─ eighth3 ─┘ up2                   1/8
 *                                 └ down3 ─ sixteenth1-2 ─┘ up3                    1/16
 * ```
 */
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type * as Wasm from '@tensorflow/tfjs-backend-wasm';
import type * as Tf from '@tensorflow/tfjs-core';
import { type Asked, LINE_CHANCES, TILE_MULTIPLE, type TileReading } from './tile-reading.ts';

// Required, for an import would first search megabytes of their sources for the names that they export.
const require = createRequire(import.meta.url);
const tf = require('@tensorflow/tfjs-core') as typeof Tf;
const { getThreadsCount, setWasmPaths } = require('@tensorflow/tfjs-backend-wasm') as typeof Wasm;

/** `rgb`: height x width x 3, sRGB 0..255, sides multiples of TILE_MULTIPLE. */
export type InkNetwork = (rgb: Uint8Array, width: number, height: number, asked?: Asked) => TileReading;

interface LayerSpec {
  readonly name: string;
  readonly kernel: number;
  readonly channelsIn: number;
  readonly channelsOut: number;
  readonly stride: 1 | 2;
  readonly rectified: boolean;
}

interface ModelFile {
  readonly format: string;
  readonly version: number;
  readonly layers: readonly LayerSpec[];
  readonly weightsManifest: readonly {
    readonly paths: readonly string[];
    readonly weights: Tf.io.WeightsManifestEntry[];
  }[];
}

interface Layer {
  readonly spec: LayerSpec;
  readonly filter: Tf.Tensor4D;
  readonly bias: Tf.Tensor1D;
}

export const INK_MODEL_FOLDER = fileURLToPath(new URL('../../models/ink/', import.meta.url));

/** Starts the wasm backend (once a thread) and reads the weights. @throws Error if the model files are not those this code was written for */
export async function loadInkNetwork(folder = INK_MODEL_FOLDER): Promise<InkNetwork> {
  await startBackend();
  const model: ModelFile = JSON.parse(await readFile(join(folder, 'model.json'), 'utf8'));
  if (model.format !== 'ink-network' || model.version !== 1) throw new Error(`unknown model format in ${folder}`);
  const manifest = model.weightsManifest[0];
  const bytes = await readFile(join(folder, manifest.paths[0]));
  const buffer = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer;
  const weights = tf.io.decodeWeights(buffer, manifest.weights);
  const layers = new Map<string, Layer>();
  for (const spec of model.layers) {
    const filter = weights[`${spec.name}/kernel`] as Tf.Tensor4D;
    const bias = weights[`${spec.name}/bias`] as Tf.Tensor1D;
    layers.set(spec.name, { spec, filter, bias });
  }
  const { spec, filter, bias } = layers.get('chances')!;
  const lineFilter = tf.slice4d(filter, [0, 0, 0, 0], [spec.kernel, spec.kernel, spec.channelsIn, LINE_CHANCES]);
  layers.set('line', { spec, filter: lineFilter, bias: tf.slice1d(bias, 0, LINE_CHANCES) });
  return (rgb, width, height, asked = 'all') => read(layers, rgb, width, height, asked);
}

let started: Promise<void> | null = null;

function startBackend(): Promise<void> {
  started ??= start();
  return started;
}

async function start(): Promise<void> {
  const folder = join(dirname(require.resolve('@tensorflow/tfjs-backend-wasm/package.json')), 'dist');
  const file = (name: string): string => join(folder, name);
  setWasmPaths({
    'tfjs-backend-wasm.wasm': file('tfjs-backend-wasm.wasm'),
    'tfjs-backend-wasm-simd.wasm': file('tfjs-backend-wasm-simd.wasm'),
    'tfjs-backend-wasm-threaded-simd.wasm': file('tfjs-backend-wasm-threaded-simd.wasm'),
  });
  await tf.setBackend('wasm');
  await tf.ready();
  if (process.env.PLICA_DEBUG) {
    const simd = await tf.env().getAsync('WASM_HAS_SIMD_SUPPORT');
    process.stderr.write(`ink network: wasm backend, simd ${simd}, ${getThreadsCount()} thread in this worker\n`);
  }
}

/** Values of a channel as the net takes them. */
const CENTRED = Float32Array.from({ length: 256 }, (_, v) => v / 255 - 0.5);

function read(
  layers: ReadonlyMap<string, Layer>,
  rgb: Uint8Array,
  width: number,
  height: number,
  asked: Asked,
): TileReading {
  if (width % TILE_MULTIPLE || height % TILE_MULTIPLE)
    throw new Error(`tile of ${width} x ${height} px does not divide by ${TILE_MULTIPLE}`);
  const centred = new Float32Array(rgb.length);
  for (let i = 0; i < rgb.length; i++) centred[i] = CENTRED[rgb[i]];
  // Tensors are freed as soon as their last reader is done: a tile's maps at half size are 25 MB each.
  const layer = (name: string, x: Tf.Tensor4D): Tf.Tensor4D => convolve(layers.get(name)!, x);
  const last = (name: string, x: Tf.Tensor4D): Tf.Tensor4D => freeing(layer(name, x), x);
  const deeper = (x: Tf.Tensor4D, one: string, two: string): Tf.Tensor4D => {
    const bend = last(two, layer(one, x));
    return freeing(tf.add(x, bend), x, bend);
  };
  const joined = (skip: Tf.Tensor4D, deep: Tf.Tensor4D): Tf.Tensor4D => {
    const wide = freeing(tf.image.resizeNearestNeighbor(deep, [skip.shape[1], skip.shape[2]]), deep);
    return freeing(tf.add(skip, wide), skip, wide);
  };
  const half = last('stem', tf.tensor4d(centred, [1, height, width, 3]));
  const quarter = deeper(layer('down1', half), 'quarter1', 'quarter2');
  const eighth = deeper(layer('down2', quarter), 'eighth1', 'eighth2');
  const deep = deeper(layer('down3', eighth), 'sixteenth1', 'sixteenth2');
  const eighthAgain = last('eighth3', joined(eighth, last('up3', deep)));
  const quarterAgain = last('quarter3', joined(quarter, last('up2', eighthAgain)));
  const halfAgain = last('half1', joined(half, last('up1', quarterAgain)));
  const measures = asked === 'all' ? taken(layer('measures', halfAgain)) : new Float32Array(0);
  const logits = last(asked === 'all' ? 'chances' : 'line', halfAgain);
  return { chances: taken(freeing(tf.sigmoid(logits), logits)), measures };
}

/** A tensor's numbers; the tensor is freed. */
function taken(tensor: Tf.Tensor4D): Float32Array {
  const numbers = tensor.dataSync() as Float32Array;
  tensor.dispose();
  return numbers;
}

function freeing(result: Tf.Tensor4D, ...spent: Tf.Tensor4D[]): Tf.Tensor4D {
  for (const tensor of spent) tensor.dispose();
  return result;
}

/** Padding is spelled out: 'same' would put the odd pixel of a stride-2 step on the other side than the training did. */
function convolve({ spec, filter, bias }: Layer, x: Tf.Tensor4D): Tf.Tensor4D {
  const pad = spec.kernel >> 1;
  return tf.fused.conv2d({
    x,
    filter,
    bias,
    strides: spec.stride,
    pad: [
      [0, 0],
      [pad, pad],
      [pad, pad],
      [0, 0],
    ],
    dimRoundingMode: 'floor',
    activation: spec.rectified ? 'relu' : 'linear',
  });
}
