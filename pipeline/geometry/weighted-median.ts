/** The value up to which, from the least on, half of the weight lies; 0 for none. */
export function weightedMedian(rows: readonly { readonly value: number; readonly weight: number }[]): number {
  const sorted = [...rows].sort((u, v) => u.value - v.value);
  const half = sorted.reduce((sum, r) => sum + r.weight, 0) / 2;
  let seen = 0;
  for (const { value, weight } of sorted) {
    seen += weight;
    if (seen >= half) return value;
  }
  return 0;
}
