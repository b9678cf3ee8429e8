import type { Raster } from '../types.ts';

/** What a reader of one format needs besides the bytes. */
export interface ReadRequest {
  /** Name for messages: a file's base name. */
  readonly name: string;
  /** From 1. */
  readonly page: number;
  /** Longest side of the pixels handed back. */
  readonly maxSidePx: number;
}

/** What it hands back: upright sRGB pixels at the working size, and the size they came from. */
export interface ReadPixels {
  readonly raster: Raster<Uint8Array>;
  readonly fullWidth: number;
  readonly fullHeight: number;
}
