/** The folded sheet as pixels. Pieces may lie over one another in a ring, so no order of painting them whole is right. */
import { type BitRows, hasBit } from '../../validity/bits.ts';

/** Folded convex pieces, as flat tables over corners. */
export interface FoldedDrawing {
  /** Corners of piece p stand at places start[p] .. start[p + 1] - 1. */
  readonly start: Int32Array;
  /** Folded plane, pattern units, y up. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** 1 where a piece lies with its back up. */
  readonly flipped: Uint8Array;
  /** Face that each piece is part of. */
  readonly face: Int32Array;
  /** Bit b of row a: piece b lies above piece a; null where no order of layers is known. */
  readonly above: BitRows | null;
}

/** How the folded plane is placed on the pixels. */
export interface Placing {
  readonly width: number;
  readonly height: number;
  /** Pixels to a pattern unit. */
  readonly scale: number;
  readonly left: number;
  readonly top: number;
  /** Seen from behind, left and right change places. */
  readonly mirrored: boolean;
}

/** White around the folded sheet, share of the shorter side. */
const MARGIN = 0.06;

/** The whole folded sheet in the middle of a picture of the given size, px. */
export function placeFolded({ x, y }: FoldedDrawing, width: number, height: number, mirrored: boolean): Placing {
  let [left, right, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < x.length; i++) {
    left = Math.min(left, x[i]);
    right = Math.max(right, x[i]);
    low = Math.min(low, y[i]);
    high = Math.max(high, y[i]);
  }
  const margin = MARGIN * Math.min(width, height);
  const scale = Math.min((width - 2 * margin) / (right - left), (height - 2 * margin) / (high - low));
  const middle = ((left + right) / 2) * (mirrored ? -1 : 1);
  return {
    width,
    height,
    scale,
    left: width / 2 - middle * scale,
    top: height / 2 + ((low + high) / 2) * scale,
    mirrored,
  };
}

/** A folded place in pixels. */
export function toPixels({ scale, left, top, mirrored }: Placing, x: number, y: number): [number, number] {
  return [left + (mirrored ? -x : x) * scale, top - y * scale];
}

/** The piece seen at each pixel, -1 where there is none: the topmost, or the lowest where the sheet is seen from behind. */
export function seenPieces(drawing: FoldedDrawing, placing: Placing): Int32Array {
  const seen = new Int32Array(placing.width * placing.height).fill(-1);
  const { above } = drawing;
  if (!above) return seen;
  forEachPixel(drawing, placing, (pixel, piece) => {
    const other = seen[pixel];
    if (other < 0 || (placing.mirrored ? hasBit(above, piece, other) : hasBit(above, other, piece)))
      seen[pixel] = piece;
  });
  return seen;
}

/** How many layers lie at each pixel. */
export function countLayers(drawing: FoldedDrawing, placing: Placing): Uint16Array {
  const layers = new Uint16Array(placing.width * placing.height);
  forEachPixel(drawing, placing, (pixel) => {
    layers[pixel]++;
  });
  return layers;
}

/** Calls for every pixel whose centre lies in a piece, row by row. */
function forEachPixel(drawing: FoldedDrawing, placing: Placing, visit: (pixel: number, piece: number) => void): void {
  const { start, x, y } = drawing;
  const { width, height } = placing;
  for (let piece = 0; piece + 1 < start.length; piece++) {
    const corners: [number, number][] = [];
    for (let i = start[piece]; i < start[piece + 1]; i++) corners.push(toPixels(placing, x[i], y[i]));
    const rows = corners.map(([, cy]) => cy);
    const first = Math.max(0, Math.ceil(Math.min(...rows) - 0.5));
    const last = Math.min(height - 1, Math.floor(Math.max(...rows) - 0.5));
    for (let row = first; row <= last; row++) {
      const [from, to] = spanAt(corners, row + 0.5);
      // A centre on a side shared by two pieces belongs to one of them.
      const end = Math.min(width, Math.ceil(to - 0.5));
      for (let column = Math.max(0, Math.ceil(from - 0.5)); column < end; column++) visit(row * width + column, piece);
    }
  }
}

/** Where a horizontal line enters and leaves a convex polygon. */
function spanAt(corners: readonly (readonly [number, number])[], at: number): [number, number] {
  let [from, to] = [Infinity, -Infinity];
  for (let i = 0; i < corners.length; i++) {
    const [a, b] = [corners[i], corners[(i + 1) % corners.length]];
    if (a[1] > at === b[1] > at) continue;
    const cross = a[0] + ((at - a[1]) / (b[1] - a[1])) * (b[0] - a[0]);
    from = Math.min(from, cross);
    to = Math.max(to, cross);
  }
  return [from, to];
}
