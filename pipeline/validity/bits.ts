/** Rows of bits in one flat array: bit j of row i is bit (j & 31) of data[i·words + (j >> 5)]. */
export interface BitRows {
  readonly words: number;
  readonly data: Int32Array;
}

export function makeBitRows(rows: number, columns: number): BitRows {
  const words = (columns + 31) >>> 5;
  return { words, data: new Int32Array(rows * words) };
}

export function hasBit(rows: BitRows, i: number, j: number): boolean {
  return ((rows.data[i * rows.words + (j >>> 5)] >>> (j & 31)) & 1) === 1;
}

export function setBit(rows: BitRows, i: number, j: number): void {
  rows.data[i * rows.words + (j >>> 5)] |= 1 << (j & 31);
}

export function clearBit(rows: BitRows, i: number, j: number): void {
  rows.data[i * rows.words + (j >>> 5)] &= ~(1 << (j & 31));
}

/** Number of ones in a 32-bit word, by adding neighbouring fields. */
export function countOnes(word: number): number {
  let w = word - ((word >>> 1) & 0x55555555);
  w = (w & 0x33333333) + ((w >>> 2) & 0x33333333);
  return Math.imul((w + (w >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}

/** Place of the lowest one in a word that is not zero. */
export function lowestOne(word: number): number {
  return 31 - Math.clz32(word & -word);
}
