/** Smoothing of three channels side by side (see lanes.ts). */

/** Every other channel of three side by side: sums of 16 of their values have room there. */
const OUTER = 0xff00ff;

/** Passes of 3 x 3 binomial smoothing of three channels side by side, in place. */
export function smooth(plane: Int32Array, width: number, height: number, passes: number): void {
  if (passes === 0) return;
  // Sums along the rows: of the outer channels, and of the middle one.
  const outer = new Int32Array(plane.length);
  const middle = new Int32Array(plane.length);
  for (let k = 0; k < passes; k++) {
    for (let at = 0; at < plane.length; at += width) sumAlong(plane, at, width, outer, middle);
    for (let y = 0; y < height; y++) {
      const up = Math.max(0, y - 1) * width;
      const down = Math.min(height - 1, y + 1) * width;
      joinRows(outer, middle, y * width, width, up, down, plane);
    }
  }
}

/** A row smoothed from the sums along it and along the rows above and below. */
function joinRows(
  outer: Int32Array,
  middle: Int32Array,
  at: number,
  width: number,
  up: number,
  down: number,
  into: Int32Array,
): void {
  for (let x = 0; x < width; x++) {
    const sides = (outer[up + x] + 2 * outer[at + x] + outer[down + x] + 0x80008) >> 4;
    const between = (middle[up + x] + 2 * middle[at + x] + middle[down + x] + 8) >> 4;
    into[at + x] = (sides & OUTER) | (between << 8);
  }
}

/** Each pixel of the row that begins at `at`, twice, with its neighbours; the ends are their own. */
function sumAlong(plane: Int32Array, at: number, width: number, outer: Int32Array, middle: Int32Array): void {
  const last = at + width - 1;
  let [before, here] = [plane[at], plane[at]];
  for (let i = at; i <= last; i++) {
    const after = i < last ? plane[i + 1] : here;
    outer[i] = (before & OUTER) + 2 * (here & OUTER) + (after & OUTER);
    middle[i] = ((before >> 8) & 255) + 2 * ((here >> 8) & 255) + ((after >> 8) & 255);
    before = here;
    here = after;
  }
}
