import sharp, { type Sharp } from 'sharp';
import type { Raster } from '../../pipeline/types.ts';

export type FileFormat = 'png' | 'jpeg' | 'webp';

export interface FileOrder {
  readonly format: FileFormat;
  /** 1..100; no meaning for PNG. */
  readonly quality: number;
  /** Half the colour resolution both ways, as most JPEG files have. */
  readonly thinColour: boolean;
}

export function asSharp(raster: Raster): Sharp {
  return sharp(raster.data, {
    raw: { width: raster.width, height: raster.height, channels: raster.channels as 1 | 3 },
    limitInputPixels: false,
  });
}

export async function writeFileBytes(raster: Raster, order: FileOrder): Promise<Buffer> {
  const image = asSharp(raster);
  switch (order.format) {
    case 'png':
      return image.png({ compressionLevel: 6 }).toBuffer();
    case 'webp':
      return image.webp({ quality: order.quality }).toBuffer();
    case 'jpeg':
      return image.jpeg({ quality: order.quality, chromaSubsampling: order.thinColour ? '4:2:0' : '4:4:4' }).toBuffer();
  }
}

/** Decode to RGB bytes. */
export async function readBytes(image: Buffer): Promise<Raster> {
  const { data, info } = await sharp(image)
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
