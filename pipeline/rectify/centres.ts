/** Centre pixels of strokes with their direction. */

/** Centres as parallel arrays; index frame of the plane (centre of pixel (i, j) is (i, j)). */
export interface Centres {
  readonly count: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Direction of the stroke, cosine and sine of twice the angle (so that opposite directions agree). */
  readonly cos2: Float32Array;
  readonly sin2: Float32Array;
  /** Ink at the centre, 0..255. */
  readonly height: Float32Array;
  /** Index of the centre in each pixel, -1 where none. */
  readonly at: Int32Array;
}

interface Growing {
  readonly x: number[];
  readonly y: number[];
  readonly cos2: number[];
  readonly sin2: number[];
  readonly height: number[];
  readonly at: Int32Array;
}

/** Share of the stroke's height by which a centre must stand out at the fine scale; plateaus of thick strokes go to the coarse one. */
const FINE_RIDGE = 0.07;
const COARSE_RIDGE = 0.012;
/** Second curvature over first, above which a centre pixel is a blob or a crossing rather than a line. */
const LINE_RATIO = 0.55;
/** The maximum across the stroke may lie this far from the pixel's centre, px: a little over half, so that no step of the line is missed. */
const MOST_STEP = 0.75;
/** Radius of the three box filters of the coarse scale, px: strokes up to about 12 px turn into one ridge. */
const COARSE_RADIUS = 2;
/** Share of ink on plateaus from which the coarse scale is needed: the flanks of thin strokes have some, too. */
const FLAT_SHARE = 0.15;
/** The same for rows of short dashes and dots: wider than their gaps. */
const DASH_RADIUS = 3;
/** A row of dashes keeps at least this share of its ink's contrast after smoothing. */
const DASH_SHARE = 0.12;

/**
 * Centres where the ink is above `threshold`: maxima across the direction of strongest curvature of the smoothed ink (Hessian, after Steger
 * 1998), at a fine scale or, on plateaus, at a coarse one.
 */
export function strokeCentres(ink: Uint8Array, width: number, height: number, threshold: number): Centres {
  const fine = binomial(ink, width, height);
  const flat: number[] = [];
  const out = start(ink.length);
  let inked = 0;
  for (let y = 2; y < height - 2; y++) {
    for (let x = 2; x < width - 2; x++) {
      const i = y * width + x;
      if (ink[i] <= threshold) continue;
      inked++;
      if (!ridgeAt(fine, width, i, x, y, FINE_RIDGE, ink[i], out)) flat.push(i);
    }
  }
  if (flat.length > FLAT_SHARE * inked) {
    const coarse = boxes(fine, width, height, COARSE_RADIUS);
    for (const i of flat) ridgeAt(coarse, width, i, i % width, Math.floor(i / width), COARSE_RIDGE, ink[i], out);
  }
  return finish(out);
}

/** Centres of rows of dashes and dots too short to have a direction of their own: ridges of the strongly smoothed ink. */
export function dashCentres(ink: Uint8Array, width: number, height: number, threshold: number): Centres {
  const plane = boxes(ink, width, height, DASH_RADIUS);
  const out = start(ink.length);
  for (let y = 2; y < height - 2; y++) {
    for (let x = 2; x < width - 2; x++) {
      const i = y * width + x;
      if (plane[i] < DASH_SHARE * threshold) continue;
      // The smoothed height says how much ink the row has; its contrast is that of the dashes, about twice as much.
      ridgeAt(plane, width, i, x, y, COARSE_RIDGE, ink[i], out);
    }
  }
  return finish(out);
}

/** Adds the ridge at pixel i, if its centre line passes through it; false where the plane is too flat to tell. */
function ridgeAt(
  plane: Float32Array,
  width: number,
  i: number,
  x: number,
  y: number,
  least: number,
  height: number,
  out: Growing,
): boolean {
  const v = plane[i];
  const xx = plane[i + 1] - 2 * v + plane[i - 1];
  const yy = plane[i + width] - 2 * v + plane[i - width];
  const xy = (plane[i + width + 1] - plane[i + width - 1] - plane[i - width + 1] + plane[i - width - 1]) / 4;
  const half = (xx + yy) / 2;
  const dx = (xx - yy) / 2;
  const root = Math.sqrt(dx * dx + xy * xy);
  const across = half - root;
  if (-across < least * v) return false;
  if (Math.abs(half + root) > LINE_RATIO * -across) return true;
  // Normal: the eigenvector of `across`; its double angle follows from the matrix itself.
  const c2 = -dx / (root || 1);
  const s2 = -xy / (root || 1);
  const nx = Math.sqrt(Math.max(0, (1 + c2) / 2));
  const ny = (s2 < 0 ? -1 : 1) * Math.sqrt(Math.max(0, (1 - c2) / 2));
  const gx = (plane[i + 1] - plane[i - 1]) / 2;
  const gy = (plane[i + width] - plane[i - width]) / 2;
  const step = -(gx * nx + gy * ny) / across;
  if (Math.abs(step) > MOST_STEP) return true;
  out.at[i] = out.x.length;
  out.x.push(x + step * nx);
  out.y.push(y + step * ny);
  out.cos2.push(-c2);
  out.sin2.push(-s2);
  out.height.push(height);
  return true;
}

function start(pixels: number): Growing {
  return { x: [], y: [], cos2: [], sin2: [], height: [], at: new Int32Array(pixels).fill(-1) };
}

function finish(g: Growing): Centres {
  return {
    count: g.x.length,
    x: Float32Array.from(g.x),
    y: Float32Array.from(g.y),
    cos2: Float32Array.from(g.cos2),
    sin2: Float32Array.from(g.sin2),
    height: Float32Array.from(g.height),
    at: g.at,
  };
}

/** 5-tap binomial along rows and columns: variance 1 px^2. The rim of two pixels is left as it is. */
function binomial(plane: Uint8Array, width: number, height: number): Float32Array {
  const rows = Float32Array.from(plane);
  for (let y = 0; y < height; y++) {
    for (let p = y * width + 2, end = (y + 1) * width - 2; p < end; p++) {
      rows[p] = (plane[p - 2] + plane[p + 2] + 4 * (plane[p - 1] + plane[p + 1]) + 6 * plane[p]) * 0.0625;
    }
  }
  const out = Float32Array.from(rows);
  const w2 = 2 * width;
  for (let p = w2, end = plane.length - w2; p < end; p++) {
    out[p] = (rows[p - w2] + rows[p + w2] + 4 * (rows[p - width] + rows[p + width]) + 6 * rows[p]) * 0.0625;
  }
  return out;
}

/** Three box filters of the radius along rows and columns (near-Gaussian, Wells 1986); outside counts as 0. */
function boxes(plane: ArrayLike<number>, width: number, height: number, radius: number): Float32Array {
  const now = Float32Array.from(plane);
  const next = new Float32Array(now.length);
  // A row with what is outside of it, and one that is outside: nothing is asked pixel by pixel.
  const line = new Float32Array(width + 2 * radius + 1);
  const none = new Float32Array(width);
  const rowOf = (y: number): Float32Array => (y >= 0 && y < height ? next.subarray(y * width, (y + 1) * width) : none);
  for (let round = 0; round < 3; round++) {
    for (let y = 0; y < height; y++) {
      line.set(now.subarray(y * width, (y + 1) * width), radius + 1);
      averageAlong(line, radius, next, y * width, width);
    }
    const sums = new Float32Array(width);
    for (let y = 0; y < radius; y++) {
      const row = rowOf(y);
      for (let x = 0; x < width; x++) sums[x] += row[x];
    }
    for (let y = 0; y < height; y++) {
      averageDown(sums, rowOf(y + radius), rowOf(y - radius - 1), radius, now, y * width);
    }
  }
  return now;
}

/** Running means of a line, of which `radius` + 1 values come before the first place. */
function averageAlong(line: Float32Array, radius: number, into: Float32Array, at: number, count: number): void {
  const k = 1 / (2 * radius + 1);
  const last = 2 * radius + 1;
  let sum = 0;
  for (let i = radius + 1; i < last; i++) sum += line[i];
  for (let x = 0; x < count; x++) {
    sum += line[x + last];
    sum -= line[x];
    into[at + x] = sum * k;
  }
}

/** Running means of columns for one row: `enters` comes into the sums, `leaves` goes out of them. */
function averageDown(
  sums: Float32Array,
  enters: Float32Array,
  leaves: Float32Array,
  radius: number,
  into: Float32Array,
  at: number,
): void {
  const k = 1 / (2 * radius + 1);
  for (let x = 0; x < sums.length; x++) {
    const sum = sums[x] + enters[x] - leaves[x];
    sums[x] = sum;
    into[at + x] = sum * k;
  }
}
