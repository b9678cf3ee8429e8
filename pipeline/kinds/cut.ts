/** Keeps a handful of equal values from looking infinitely apart. */
const SPREAD_FLOOR = 0.0004;

/** The cut of weighted numbers into two groups with the greatest gap between their means in pooled spreads (Fisher 1936). */
export function cutInTwo(
  rows: { v: number; w: number }[],
  leastShare: number,
  leastStep: number,
  floor = SPREAD_FLOOR,
): { at: number; gain: number } | null {
  rows.sort((a, b) => a.v - b.v);
  const n = rows.length;
  const w = new Float64Array(n + 1);
  const s = new Float64Array(n + 1);
  const q = new Float64Array(n + 1);
  rows.forEach((r, i) => {
    w[i + 1] = w[i] + r.w;
    s[i + 1] = s[i] + r.w * r.v;
    q[i + 1] = q[i] + r.w * r.v * r.v;
  });
  let best: { at: number; gain: number } | null = null;
  for (let cut = 1; cut < n; cut++) {
    const wl = w[cut];
    const wh = w[n] - wl;
    if (Math.min(wl, wh) < leastShare * w[n]) continue;
    const low = s[cut] / wl;
    const high = (s[n] - s[cut]) / wh;
    if (high - low < leastStep) continue;
    const spread = Math.max(0, q[n] - wl * low * low - wh * high * high) / w[n];
    const gain = (high - low) / Math.sqrt(spread + floor);
    if (!best || gain > best.gain) best = { at: (rows[cut - 1].v + rows[cut].v) / 2, gain };
  }
  return best;
}
