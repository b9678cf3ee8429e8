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

/** The same along columns, whole rows at a time so that memory is read in order. */
function slideDown(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  const size = 2 * reach + 1;
  const rows = Math.ceil((h + 2 * reach) / size) * size;
  const forth = new Float32Array(rows * w);
  const back = new Float32Array(rows * w);
  const follow = (sums: Float32Array, row: number, before: number | null): void => {
    const y = row - reach;
    const inside = y >= 0 && y < h;
    for (let x = 0, o = row * w; x < w; x++, o++) {
      const here = inside ? src[y * w + x] : NOTHING;
      sums[o] = before === null ? here : Math.max(sums[before * w + x], here);
    }
  };
  for (let i = 0; i < rows; i++) follow(forth, i, i % size === 0 ? null : i - 1);
  for (let i = rows - 1; i >= 0; i--) follow(back, i, i % size === size - 1 ? null : i + 1);
  const out = new Float32Array(src.length);
  const ahead = (size - 1) * w;
  for (let i = 0; i < out.length; i++) out[i] = Math.max(back[i], forth[i + ahead]);
  return out;
}
