/** Pictures of every stage for a person: DIR/STAGE-NAME.png. */
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import type { Raster, StageName } from './types.ts';

/** Writes `raster` (1, 3 or 4 channels) as a PNG; rejects where the folder cannot be written. */
export async function tracePicture(
  dir: string,
  stage: StageName,
  name: string,
  raster: Raster<Uint8Array>,
): Promise<void> {
  await mkdir(dir, { recursive: true });
  const { width, height, data } = raster;
  const channels = raster.channels as 1 | 3 | 4;
  await sharp(data, { raw: { width, height, channels } })
    .png({ compressionLevel: 3 })
    .toFile(join(dir, `${stage}-${name}.png`));
}
