import decodeHeic from 'heic-decode';
import sharp from 'sharp';
import { checkLargest, damaged } from './limits.ts';
import { pixelError, shrinkToRgb } from './pixels.ts';
import type { ReadPixels, ReadRequest } from './reader.ts';

/**
 * Reads HEIC through a WebAssembly decoder, since libvips' shipped build has none for HEVC. The decoder obeys the
 * container's own rotation, which EXIF repeats: EXIF is therefore not read, or the picture would turn twice.
 */
export async function readHeic(bytes: Uint8Array, request: ReadRequest): Promise<ReadPixels> {
  const { name, maxSidePx } = request;
  const images = await openQuietly(bytes).catch(() => {
    throw damaged(name);
  });
  try {
    const { width, height, decode } = images[0];
    checkLargest(width, height, name);
    const { data } = await decode();
    const raw = sharp(new Uint8Array(data.buffer), { raw: { width, height, channels: 4 } });
    return { raster: await shrinkToRgb(raw, width, height, maxSidePx, true), fullWidth: width, fullHeight: height };
  } catch (error) {
    throw pixelError(error, name);
  } finally {
    images.dispose();
  }
}

/** The decoder complains on standard output, where a report may have to stand alone. */
async function openQuietly(bytes: Uint8Array) {
  const { log } = console;
  console.log = () => {};
  try {
    return await decodeHeic.all({ buffer: withKnownBrand(bytes) });
  } finally {
    console.log = log;
  }
}

/** The decoder knows few major brands and only looks at those; the general one lets it try the rest. */
function withKnownBrand(bytes: Uint8Array): Uint8Array {
  const copy = bytes.slice();
  copy.set(new TextEncoder().encode('mif1'), 8);
  return copy;
}
