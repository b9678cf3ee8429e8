/** Greatest value within `reach` along rows, then columns (van Herk 1992; Gil & Werman 1993). Values are 0 or more. */
export function slideMax(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  return slideDown(slideAlong(src, w, h, reach), w, h, reach);
}

/** Beyond the ends of a row or column, under every value. */
const NOTHING = -1;

function slideAlong(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  const size = 2 * reach + 1;
  const length = Math.ceil((w + 2 * reach) / size) * size;
  const line = new Float32Array(length).fill(NOTHING);
  const forth = new Float32Array(length);
  const back = new Float32Array(length);
  const out = new Float32Array(src.length);
  for (let y = 0; y < h; y++) {
    line.set(src.subarray(y * w, y * w + w), reach);
    for (let block = 0; block < length; block += size) {
      let most = NOTHING;
      for (let i = block; i < block + size; i++) forth[i] = most = Math.max(most, line[i]);
      most = NOTHING;
      for (let i = block + size - 1; i >= block; i--) back[i] = most = Math.max(most, line[i]);
    }
    for (let i = 0, o = y * w; i < w; i++, o++) out[o] = Math.max(back[i], forth[i + size - 1]);
  }
  return out;
}

/** The same along columns, whole rows at a time so that memory is read in order; of a block only the maxima from its end are kept. */
function slideDown(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  const size = 2 * reach + 1;
  const back = new Float32Array(size * w);
  const forth = new Float32Array(w);
  const out = new Float32Array(src.length);
  // Row i of a block that begins at `top` is row top + i of the map; there is nothing beyond its ends.
  for (let top = -reach; top + reach < h; top += size) {
    back.fill(NOTHING);
    for (let i = size - 1; i >= 0; i--) {
      if (i + 1 < size) back.copyWithin(i * w, (i + 1) * w, (i + 2) * w);
      if (top + i >= 0 && top + i < h) raise(back, i * w, src, (top + i) * w, w);
    }
    forth.fill(NOTHING);
    for (let i = 0; i < size && top + reach + i < h; i++) {
      const last = top + size - 1 + i;
      if (i > 0 && last < h) raise(forth, 0, src, last * w, w);
      const o = (top + reach + i) * w;
      out.set(forth, o);
      raise(out, o, back, i * w, w);
    }
  }
  return out;
}

/** Raises `count` values to those of another map where these are greater. */
function raise(values: Float32Array, at: number, others: Float32Array, from: number, count: number): void {
  for (let k = 0; k < count; k++) {
    const other = others[from + k];
    if (other > values[at + k]) values[at + k] = other;
  }
}
