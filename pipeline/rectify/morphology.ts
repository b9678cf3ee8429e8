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
    for (let i = 0, j = side - 1; i < width; i++, j++) {
      const a = backward[i];
      const b = forward[j];
      out[base + i] = Math.max(a, b);
    }
  }
  return out;
}

/** The same along columns, a whole row at a time so that memory is read in order. */
function alongColumns(plane: Uint8Array, width: number, height: number, side: number): Uint8Array {
  const out = new Uint8Array(plane.length);
  const half = side >> 1;
  const padded = Math.ceil((height + 2 * half) / side) * side;
  const forward = new Uint8Array(padded * width);
  const backward = new Uint8Array(padded * width);
  for (let i = 0; i < padded; i++) {
    const y = i - half;
    const o = i * width;
    const inside = y >= 0 && y < height;
    const from = y * width;
    if (i % side === 0) {
      if (inside) forward.set(plane.subarray(from, from + width), o);
    } else {
      for (let x = 0; x < width; x++) {
        const a = forward[o - width + x];
        const b = inside ? plane[from + x] : 0;
        forward[o + x] = Math.max(a, b);
      }
    }
  }
  for (let i = padded - 1; i >= 0; i--) {
    const y = i - half;
    const o = i * width;
    const inside = y >= 0 && y < height;
    const from = y * width;
    if (i % side === side - 1) {
      if (inside) backward.set(plane.subarray(from, from + width), o);
    } else {
      for (let x = 0; x < width; x++) {
        const a = backward[o + width + x];
        const b = inside ? plane[from + x] : 0;
        backward[o + x] = Math.max(a, b);
      }
    }
  }
  for (let y = 0; y < height; y++) {
    const o = y * width;
    const f = (y + side - 1) * width;
    for (let x = 0; x < width; x++) {
      const a = backward[o + x];
      const b = forward[f + x];
      out[o + x] = Math.max(a, b);
    }
  }
  return out;
}
