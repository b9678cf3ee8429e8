import sharp, { type Sharp } from 'sharp';
import type { Raster } from '../../pipeline/types.ts';

export type FileFormat = 'png' | 'jpeg' | 'webp';

export interface FileOrder {
  readonly format: FileFormat;
  /** 1..100; no meaning for PNG. */
  readonly quality: number;
  /** Half the colour resolution both ways, as most JPEG files have. */
  readonly thinColour: boolean;
  /** Quarter turns clockwise that a viewer must make, stored in the file's EXIF part; the pixels are stored turned back. */
  readonly quarterTurns?: 0 | 1 | 2 | 3;
  /** One channel only. */
  readonly grey?: boolean;
}

/** EXIF orientation by quarter turns clockwise to upright (EXIF 2.3, tag 0x0112). */
const ORIENTATION = [1, 6, 3, 8];

export function asSharp(raster: Raster): Sharp {
  return sharp(raster.data, {
    raw: { width: raster.width, height: raster.height, channels: raster.channels as 1 | 3 },
    limitInputPixels: false,
  });
}

export async function writeFileBytes(raster: Raster, order: FileOrder): Promise<Buffer> {
  const turns = order.quarterTurns ?? 0;
  let image = asSharp(raster);
  if (turns > 0) image = image.rotate(360 - 90 * turns).withMetadata({ orientation: ORIENTATION[turns] });
  if (order.grey) image = image.toColourspace('b-w');
  switch (order.format) {
    case 'png':
      return image.png({ compressionLevel: 6 }).toBuffer();
    case 'webp':
      return image.webp({ quality: order.quality }).toBuffer();
    case 'jpeg':
      return image.jpeg({ quality: order.quality, chromaSubsampling: order.thinColour ? '4:2:0' : '4:4:4' }).toBuffer();
  }
}

/** PNG in which the white ground is see-through: every pixel as its strongest ink over white. */
export async function writeSeeThrough({ width, height, data }: Raster): Promise<Buffer> {
  const out = new Uint8Array(width * height * 4);
  for (let i = 0; i < width * height; i++) {
    const cover = 255 - Math.min(data[3 * i], data[3 * i + 1], data[3 * i + 2]);
    out[4 * i + 3] = cover;
    if (cover === 0) continue;
    for (let c = 0; c < 3; c++) out[4 * i + c] = Math.round(255 - ((255 - data[3 * i + c]) * 255) / cover);
  }
  return sharp(out, { raw: { width, height, channels: 4 }, limitInputPixels: false })
    .png({ compressionLevel: 6 })
    .toBuffer();
}

/** Decode to upright RGB bytes. */
export async function readBytes(image: Buffer): Promise<Raster> {
  const { data, info } = await sharp(image)
    .autoOrient()
    .removeAlpha()
    .toColourspace('srgb')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: info.channels, data: new Uint8Array(data) };
}

/** Resize to a new width and height with one of the kernels that programs use. */
export async function resized(
  raster: Raster,
  width: number,
  height: number,
  kernel: 'nearest' | 'linear' | 'cubic' | 'mitchell' | 'lanczos3',
): Promise<Raster> {
  const { data, info } = await asSharp(raster)
    .resize(width, height, { fit: 'fill', kernel })
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: info.channels, data: new Uint8Array(data) };
}
