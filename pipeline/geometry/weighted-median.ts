interface Weighted {
  readonly value: number;
  readonly weight: number;
}

/** The value up to which, from the least on, this share of the weight lies; 0 for none. */
export function weightedQuantile(rows: readonly Weighted[], share: number): number {
  const sorted = [...rows].sort((u, v) => u.value - v.value);
  const enough = sorted.reduce((sum, r) => sum + r.weight, 0) * share;
  let seen = 0;
  for (const { value, weight } of sorted) {
    seen += weight;
    if (seen >= enough) return value;
  }
  return 0;
}

/** The value up to which, from the least on, half of the weight lies; 0 for none. */
export const weightedMedian = (rows: readonly Weighted[]): number => weightedQuantile(rows, 0.5);
