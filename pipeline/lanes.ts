/**
 * Three channels of a pixel side by side in one whole number of 32 bits: greyscale morphology with square windows treats all three in one pass. Running extrema after
 * van Herk (1992) and Gil & Werman (1993): three comparisons a pixel and pass, whatever the window.
 */

/** Bits of a channel: 8 for 0..255, 10 for sums of four of them. */
export type LaneBits = 8 | 10;

/** Closing by a square window of odd side: the plane with everything dark and narrower than the window filled in. */
export function closing(plane: Int32Array, width: number, height: number, side: number, bits: LaneBits): Int32Array {
  const wide = alongColumns(alongRows(plane, width, height, side, bits), width, height, side, bits);
  // A minimum is the maximum of what is turned over: outside the picture counts as neutral in both.
  turnOver(wide);
  const out = alongColumns(alongRows(wide, width, height, side, bits), width, height, side, bits);
  turnOver(out);
  return out;
}

/** Greatest values within a square window of odd side. */
export function dilate(plane: Int32Array, width: number, height: number, side: number, bits: LaneBits): Int32Array {
  return alongColumns(alongRows(plane, width, height, side, bits), width, height, side, bits);
}

function turnOver(plane: Int32Array): void {
  for (let i = 0; i < plane.length; i++) plane[i] = ~plane[i];
}

/** Running maximum along rows: of each block from its end (backward) and from its start (forward), joined where a window straddles two blocks. */
function alongRows(plane: Int32Array, width: number, height: number, side: number, bits: LaneBits): Int32Array {
  const out = new Int32Array(plane.length);
  const half = side >> 1;
  const padded = Math.ceil((width + 2 * half) / side) * side;
  const values = new Int32Array(padded);
  const backward = new Int32Array(padded);
  const top = topBits(bits);
  for (let y = 0; y < height; y++) {
    const base = y * width;
    values.set(plane.subarray(base, base + width), half);
    for (let block = padded - side; block >= 0; block -= side) {
      let run = 0;
      for (let i = block + side - 1; i >= block; i--) {
        run = larger(run, values[i], top, bits);
        backward[i] = run;
      }
    }
    // The window whose last place is j begins at j - side + 1.
    for (let block = 0; block < padded; block += side) {
      let run = 0;
      for (let j = block, i = block - side + 1; j < block + side; j++, i++) {
        run = larger(run, values[j], top, bits);
        if (i >= 0 && i < width) out[base + i] = larger(backward[i], run, top, bits);
      }
    }
  }
  return out;
}

/**
 * The same along columns, whole rows at a time so that memory is read in order. Of a block only its running maxima from the end are kept: those from the start of
 * the next one are needed row by row.
 */
function alongColumns(plane: Int32Array, width: number, height: number, side: number, bits: LaneBits): Int32Array {
  const out = new Int32Array(plane.length);
  const half = side >> 1;
  const backward = new Int32Array(side * width);
  const forward = new Int32Array(width);
  const top = topBits(bits);
  // Row i of a block that begins at `first` is row first + i of the plane; rows beyond its ends are 0.
  for (let first = -half; first + half < height; first += side) {
    for (let i = side - 1; i >= 0; i--) {
      const at = i * width;
      const below = at + width;
      const isLast = i + 1 === side;
      if (first + i >= 0 && first + i < height) {
        const from = (first + i) * width;
        if (isLast) backward.set(plane.subarray(from, from + width), at);
        else for (let k = 0; k < width; k++) backward[at + k] = larger(backward[below + k], plane[from + k], top, bits);
      } else if (isLast) backward.fill(0, at, below);
      else backward.copyWithin(at, below, below + width);
    }
    forward.fill(0);
    for (let i = 0; i < side && first + half + i < height; i++) {
      const last = first + side - 1 + i;
      const from = last * width;
      const o = (first + half + i) * width;
      const at = i * width;
      if (i > 0 && last < height) {
        for (let k = 0; k < width; k++) {
          const run = larger(forward[k], plane[from + k], top, bits);
          forward[k] = run;
          out[o + k] = larger(backward[at + k], run, top, bits);
        }
      } else for (let k = 0; k < width; k++) out[o + k] = larger(backward[at + k], forward[k], top, bits);
    }
  }
  return out;
}

/** The uppermost bit of each channel. */
function topBits(bits: LaneBits): number {
  const lowest = 1 << (bits - 1);
  return lowest | (lowest << bits) | (lowest << (2 * bits));
}

/** The larger of two numbers channel by channel, without a branch: in grain none could be foreseen. */
function larger(a: number, b: number, top: number, bits: number): number {
  const differ = a ^ b;
  // The uppermost bit of a channel of `over` is set where a is as large or larger there: it tells, or where both have the same the difference of the rest.
  const over = ((a & ~b) | (~differ & ((a | top) - (b & ~top)))) & top;
  return b ^ (differ & ((over << 1) - (over >>> (bits - 1))));
}
