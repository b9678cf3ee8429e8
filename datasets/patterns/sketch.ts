import type { Crease, Kind } from '../../pipeline/types.ts';

export type Spot = readonly [x: number, y: number];

/** Lines drawn between spots in free units; a spot met twice is one vertex. */
export interface Sketch {
  readonly points: Spot[];
  readonly edges: Crease[];
  line(a: Spot, b: Spot, kind: Kind): void;
}

/** Spots nearer than this are one, drawing units. */
const SAME_SPOT = 1e-6;

export function makeSketch(): Sketch {
  const points: Spot[] = [];
  const edges: Crease[] = [];
  const numbers = new Map<string, number>();
  const at = ([x, y]: Spot): number => {
    const key = `${Math.round(x / SAME_SPOT)},${Math.round(y / SAME_SPOT)}`;
    const known = numbers.get(key);
    if (known !== undefined) return known;
    numbers.set(key, points.length);
    return points.push([x, y]) - 1;
  };
  const line = (a: Spot, b: Spot, kind: Kind): void => {
    edges.push({ from: at(a), to: at(b), kind });
  };
  return { points, edges, line };
}
