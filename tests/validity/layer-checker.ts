/**
 * A second opinion on a folded form, taken from the FOLD file alone and sharing nothing with the solver: looks at points of the folded
 * plane and asks there what the paper allows. Conditions after Justin 1997 and Akitaya, Demaine & Ku 2017.
 */

interface FoldedFrame {
  readonly vertices_coords: readonly (readonly [number, number])[];
  readonly edges_vertices: readonly (readonly [number, number])[];
  readonly edges_assignment: readonly string[];
  readonly faces_vertices: readonly (readonly number[])[];
  readonly faceOrders: readonly (readonly [number, number, number])[];
}

/** Points nearer to an edge than this are on it. */
const NEAR = 1e-7;

/** What is wrong with the layers, in words for the one who reads a failing test; empty for a sound folded form. */
export function checkLayers(frame: FoldedFrame, samples: number): string[] {
  const problems: string[] = [];
  const rings = frame.faces_vertices.map((ring) => ring.map((v) => frame.vertices_coords[v]));
  const up = rings.map((ring) => signedArea(ring) > 0);
  const onTop = new Map<string, boolean>();
  for (const [f, g, s] of frame.faceOrders) {
    // s = 1: f is on the side that g's normal points to; that normal points up where g is counterclockwise.
    const above = (s === 1) === up[g];
    onTop.set(`${f} ${g}`, above);
    onTop.set(`${g} ${f}`, !above);
  }
  const isAbove = (f: number, g: number): boolean | undefined => onTop.get(`${f} ${g}`);

  for (const point of spread(frame.vertices_coords, samples)) {
    const here = rings.flatMap((ring, f) => (contains(ring, point) ? [f] : []));
    const levels = here.map((f) => here.filter((g) => g !== f && isAbove(f, g)).length);
    if (here.some((f) => here.some((g) => g !== f && isAbove(f, g) === undefined)))
      problems.push(`faces without an order at ${point}`);
    else if (new Set(levels).size !== here.length) problems.push(`faces in a ring at ${point}`);
  }

  const folds = foldsOf(frame);
  for (const { edge, f, g } of folds) {
    const [a, b] = frame.edges_vertices[edge].map((v) => frame.vertices_coords[v]);
    // A valley brings the fronts together: the other face lies on top of one that shows its front.
    const valley = isAbove(g, f) === up[f];
    if (valley !== (frame.edges_assignment[edge] === 'V')) problems.push(`edge ${edge} is folded the other way`);
    for (const share of [0.13, 0.5, 0.83]) {
      const point: [number, number] = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
      const between = (h: number): boolean => isAbove(h, f) !== isAbove(h, g);
      for (let h = 0; h < rings.length; h++)
        if (h !== f && h !== g && contains(rings[h], point) && between(h))
          problems.push(`face ${h} passes through the fold at edge ${edge}`);
      for (const other of folds) {
        if (other.edge <= edge) continue;
        const [c, d] = frame.edges_vertices[other.edge].map((v) => frame.vertices_coords[v]);
        if (distance(point, c, d) > NEAR || new Set([f, g, other.f, other.g]).size < 4) continue;
        if (!isParallel(a, b, c, d) || bank(rings[f], a, b) !== bank(rings[other.f], a, b)) continue;
        if (between(other.f) !== between(other.g)) problems.push(`folds at edges ${edge} and ${other.edge} interleave`);
      }
    }
  }
  return problems;
}

function foldsOf(frame: FoldedFrame): { edge: number; f: number; g: number }[] {
  const faces = new Map<string, number[]>();
  frame.faces_vertices.forEach((ring, f) => {
    ring.forEach((v, i) => {
      const w = ring[(i + 1) % ring.length];
      const key = `${Math.min(v, w)} ${Math.max(v, w)}`;
      faces.set(key, [...(faces.get(key) ?? []), f]);
    });
  });
  return frame.edges_vertices.flatMap(([v, w], edge) => {
    const pair = faces.get(`${Math.min(v, w)} ${Math.max(v, w)}`) ?? [];
    return pair.length === 2 ? [{ edge, f: pair[0], g: pair[1] }] : [];
  });
}

type Point = readonly [number, number];

function signedArea(ring: readonly Point[]): number {
  return ring.reduce((sum, [x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length];
    return sum + (x * v - u * y) / 2;
  }, 0);
}

/** Strictly inside, by counting crossings of a ray. */
function contains(ring: readonly Point[], p: Point): boolean {
  let inside = false;
  for (let i = 0; i < ring.length; i++) {
    const [a, b] = [ring[i], ring[(i + 1) % ring.length]];
    if (distance(p, a, b) <= NEAR) return false;
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < a[0] + ((p[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) inside = !inside;
  }
  return inside;
}

function distance(p: Point, a: Point, b: Point): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const t = Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

function isParallel(a: Point, b: Point, c: Point, d: Point): boolean {
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  return Math.abs(ux * vy - uy * vx) < 1e-6 * Math.hypot(ux, uy) * Math.hypot(vx, vy);
}

/** Whether a face with a side on the line a–b lies left of it. */
function bank(ring: readonly Point[], a: Point, b: Point): boolean {
  const depths = ring.map(([x, y]) => (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]));
  return Math.max(...depths) > -Math.min(...depths);
}

/** Points over the box around the folded form, by a low-discrepancy sequence (Roberts 2018). */
function* spread(points: readonly Point[], count: number): Generator<Point> {
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  const [left, low] = [Math.min(...xs), Math.min(...ys)];
  const [width, height] = [Math.max(...xs) - left, Math.max(...ys) - low];
  for (let i = 1; i <= count; i++) {
    yield [left + width * ((i * 0.7548776662466927) % 1), low + height * ((i * 0.5698402909980532) % 1)];
  }
}
