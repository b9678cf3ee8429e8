import type { Carrier } from '../graph/carriers.ts';
import type { PatternPoint } from '../types.ts';

/** Vertices, and the lines that join them. */
export interface LineGraph {
  readonly vertices: readonly PatternPoint[];
  readonly carriers: readonly Carrier[];
  readonly pieces: readonly {
    readonly from: number;
    readonly to: number;
    readonly carrier: number;
    readonly t0: number;
    readonly t1: number;
    readonly border: boolean;
  }[];
  /** Lines that cross within this of each other were joined in one vertex, pattern units. */
  readonly meet: number;
}
