/** What the network is given and says, apart from it: whoever hands out tiles need not load TensorFlow. */

/** Sides of a tile are multiples of this, for the net halves its input four times. */
export const TILE_MULTIPLE = 16;
/** Channels of `chances`: four of the centre line and four of the ink (the pixels of a 2x2 cell, row by row), vertex, other. */
export const CHANCES = 10;
/** Channels of `measures`: cosine and sine of the doubled direction, colour difference in red, green, blue. */
export const MEASURES = 5;

/** The first channels of `chances`, the centre line alone. */
export const LINE_CHANCES = 4;

/** What is asked of the net: everything, or the centre line alone. */
export type Asked = 'all' | 'line';

/** What the net says at half size, cells row-major, channels interleaved. */
export interface TileReading {
  /** Probabilities, CHANCES a cell, or LINE_CHANCES where the line alone was asked for. */
  readonly chances: Float32Array;
  /** Plain numbers, MEASURES a cell; none where the line alone was asked for. */
  readonly measures: Float32Array;
}
