/** Greyscale morphology with square windows, by running extrema (van Herk 1992, Gil & Werman 1993): three comparisons a pixel and pass. */

/** Closing by a square window of odd side: the plane with everything dark and narrower than the window filled in. */
export function closing(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  return erode(dilate(plane, width, height, side), width, height, side);
}

/** Opening by a square window of odd side: everything light and narrower than the window taken off. */
export function opening(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  return dilate(erode(plane, width, height, side), width, height, side);
}

export function dilate(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  return alongColumns(alongRows(plane, width, height, side), width, height, side);
}

/** Minimum as the maximum of the negative: outside the picture counts as neutral in both. */
export function erode(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  const out = dilate(negative(plane), width, height, side);
  for (let i = 0; i < out.length; i++) out[i] = 255 - out[i];
  return out;
}

function negative(plane: Uint8Array): Uint8Array {
  const out = new Uint8Array(plane.length);
  for (let i = 0; i < plane.length; i++) out[i] = 255 - plane[i];
  return out;
}

/** Running maximum along rows: of each block from its start (forward) and from its end (backward), joined where a window straddles two blocks. */
function alongRows(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  const out = new Uint8Array(plane.length);
  const half = side >> 1;
  const padded = Math.ceil((width + 2 * half) / side) * side;
  const values = new Uint8Array(padded);
  const forward = new Uint8Array(padded);
  const backward = new Uint8Array(padded);
  for (let y = 0; y < height; y++) {
    const base = y * width;
    values.set(plane.subarray(base, base + width), half);
    for (let block = 0; block < padded; block += side) {
      let run = 0;
      for (let i = block; i < block + side; i++) {
        const v = values[i];
        if (v > run) run = v;
        forward[i] = run;
      }
      run = 0;
      for (let i = block + side - 1; i >= block; i--) {
        const v = values[i];
        if (v > run) run = v;
        backward[i] = run;
      }
    }
    for (let i = 0, j = side - 1; i < width; i++, j++) out[base + i] = larger(backward[i], forward[j]);
  }
  return out;
}

/**
 * The same along columns, whole rows at a time so that memory is read in order. Of a block only its running maxima from the end are kept: those from the start of
 * the next one are needed row by row.
 */
function alongColumns(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  const out = new Uint8Array(plane.length);
  const half = side >> 1;
  const backward = new Uint8Array(side * width);
  const forward = new Uint8Array(width);
  // Row i of a block that begins at `top` is row top + i of the plane; rows beyond its ends are 0.
  for (let top = -half; top + half < height; top += side) {
    backward.fill(0);
    for (let i = side - 1; i >= 0; i--) {
      if (i + 1 < side) backward.copyWithin(i * width, (i + 1) * width, (i + 2) * width);
      if (top + i >= 0 && top + i < height) raise(backward, i * width, plane, (top + i) * width, width);
    }
    forward.fill(0);
    for (let i = 0; i < side && top + half + i < height; i++) {
      const last = top + side - 1 + i;
      if (i > 0 && last < height) raise(forward, 0, plane, last * width, width);
      const o = (top + half + i) * width;
      out.set(forward, o);
      raise(out, o, backward, i * width, width);
    }
  }
  return out;
}

/** Raises `count` values to those of another plane where these are greater. */
function raise(values: Uint8Array, at: number, others: Uint8Array, from: number, count: number): void {
  for (let k = 0; k < count; k++) values[at + k] = larger(values[at + k], others[from + k]);
}

/** The larger of two small whole numbers without a branch: in grain none could be foreseen, and half of the time would go into wrong guesses. */
function larger(a: number, b: number): number {
  const over = a - b;
  return a - (over & (over >> 31));
}
