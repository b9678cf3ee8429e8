/** Plane polygons on the working copy. Index frame: the centre of pixel (i, j) is (i, j); y points down. */
export type WorkPoint = readonly [x: number, y: number];

/** Convex hull, clockwise on the screen (Andrew's monotone chain, 1979). */
export function convexHull(points: readonly WorkPoint[]): WorkPoint[] {
  const sorted = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  if (sorted.length < 3) return sorted;
  const half = (list: readonly WorkPoint[]): WorkPoint[] => {
    const chain: WorkPoint[] = [];
    for (const p of list) {
      while (chain.length >= 2 && turn(chain[chain.length - 2], chain[chain.length - 1], p) <= 0) chain.pop();
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

/** Twice the signed area of the triangle: above 0 for a right turn on the screen (y down). */
export function turn(a: WorkPoint, b: WorkPoint, c: WorkPoint): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

export function polygonArea(polygon: readonly WorkPoint[]): number {
  let sum = 0;
  for (let i = 0; i < polygon.length; i++) {
    const [ax, ay] = polygon[i];
    const [bx, by] = polygon[(i + 1) % polygon.length];
    sum += ax * by - ay * bx;
  }
  return sum / 2;
}

/** Where the lines a-b and c-d cross; null when (nearly) parallel. */
export function crossing(a: WorkPoint, b: WorkPoint, c: WorkPoint, d: WorkPoint): WorkPoint | null {
  const ux = b[0] - a[0];
  const uy = b[1] - a[1];
  const vx = d[0] - c[0];
  const vy = d[1] - c[1];
  const det = ux * vy - uy * vx;
  if (Math.abs(det) < 1e-9 * Math.hypot(ux, uy) * Math.hypot(vx, vy) + 1e-12) return null;
  const t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / det;
  return [a[0] + t * ux, a[1] + t * uy];
}

/**
 * The smallest-growth polygon with `sides` sides around a convex hull: again and again the hull edge goes whose neighbours, prolonged until
 * they meet, add the least area (Dori & Ben-Bassat 1983). Null where it cannot be done.
 */
export function hugPolygon(hull: readonly WorkPoint[], sides: number): WorkPoint[] | null {
  const polygon = [...hull];
  while (polygon.length > sides) {
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    let tip: WorkPoint | null = null;
    const n = polygon.length;
    for (let i = 0; i < n; i++) {
      const before = polygon[(i + n - 1) % n];
      const a = polygon[i];
      const b = polygon[(i + 1) % n];
      const after = polygon[(i + 2) % n];
      const p = crossing(before, a, b, after);
      if (!p || turn(a, p, b) < 0) continue;
      // The neighbours meet beyond the edge, not behind it.
      if ((p[0] - a[0]) * (a[0] - before[0]) + (p[1] - a[1]) * (a[1] - before[1]) < 0) continue;
      const added = Math.abs(turn(a, p, b));
      if (added < least) {
        least = added;
        best = i;
        tip = p;
      }
    }
    if (best < 0 || !tip) return null;
    polygon[best] = tip;
    polygon.splice((best + 1) % n, 1);
  }
  return polygon.length === sides ? polygon : null;
}

/** True for a strictly convex polygon that runs clockwise on the screen. */
export function isConvex(polygon: readonly WorkPoint[]): boolean {
  const n = polygon.length;
  return polygon.every((p, i) => turn(p, polygon[(i + 1) % n], polygon[(i + 2) % n]) > 0);
}
