/** Greatest value within `reach` along rows, then columns (van Herk 1992; Gil & Werman 1993). */
export function slideMax(src: Float32Array, w: number, h: number, reach: number): Float32Array {
  const out = new Float32Array(src.length);
  const line = new Float32Array(Math.max(w, h));
  const scratch = new Float32Array(2 * (Math.max(w, h) + 2 * (2 * reach + 1)));
  for (let y = 0; y < h; y++) {
    line.set(src.subarray(y * w, y * w + w));
    slideLine(line, w, reach, scratch);
    out.set(line.subarray(0, w), y * w);
  }
  for (let x = 0; x < w; x++) {
    for (let y = 0; y < h; y++) line[y] = out[y * w + x];
    slideLine(line, h, reach, scratch);
    for (let y = 0; y < h; y++) out[y * w + x] = line[y];
  }
  return out;
}

function slideLine(line: Float32Array, n: number, reach: number, scratch: Float32Array): void {
  const size = 2 * reach + 1;
  const m = Math.ceil((n + 2 * reach) / size) * size;
  const at = (i: number) => (i < reach || i >= n + reach ? -1 : line[i - reach]);
  const forth = scratch.subarray(0, m);
  const back = scratch.subarray(m, 2 * m);
  for (let i = 0; i < m; i++) forth[i] = i % size === 0 ? at(i) : Math.max(forth[i - 1], at(i));
  for (let i = m - 1; i >= 0; i--) back[i] = i % size === size - 1 ? at(i) : Math.max(back[i + 1], at(i));
  for (let i = 0; i < n; i++) line[i] = Math.max(back[i], forth[i + size - 1]);
}
