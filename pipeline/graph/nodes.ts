import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';

/** A place where carriers meet, pattern frame. */
export interface Node {
  readonly x: number;
  readonly y: number;
  /** Indices of the carriers that pass, each once. */
  readonly carriers: readonly number[];
  /** Corners of the sheet stay, whatever meets there. */
  readonly fixed: boolean;
}

export interface Stretch {
  readonly from: number;
  readonly to: number;
}

interface Crossing {
  readonly x: number;
  readonly y: number;
  readonly i: number;
  readonly j: number;
  /** 0 corner of the sheet, 1 grid on grid, 2 grid or side with something, 3 free. Lower places first. */
  readonly rank: number;
}

/** Lines closer in direction than this do not cross in a place that can be told, radians. */
export const LEAST_TURN = (5 * Math.PI) / 180;

/** A line through a corner must not miss both sides by rounding, pattern units. */
const ROUNDING = 1e-6;

/** Crossings of carriers where both have ink at most `reach` away; sides of the sheet end at its corners. */
export function crossCarriers(
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  reach: number,
  polygon: readonly PatternPoint[],
): Crossing[] {
  const out: Crossing[] = [];
  const sides = polygon.length;
  const firstSide = carriers.length - sides;
  for (let i = 0; i < carriers.length; i++) {
    const a = carriers[i];
    for (let j = i + 1; j < carriers.length; j++) {
      const b = carriers[j];
      const met = crossingOf(a, b);
      if (!met) continue;
      const { x, y, sine } = met;
      // Two strokes that cross at a slant blot each other out over a longer stretch.
      const slack = Math.min(reach / Math.abs(sine), 2.5 * reach);
      const slackOf = (k: number) => (k >= firstSide ? ROUNDING : slack);
      if (!isNear(runs[i], a.dx * x + a.dy * y, slackOf(i)) || !isNear(runs[j], b.dx * x + b.dy * y, slackOf(j)))
        continue;
      const corner = i >= firstSide && j >= firstSide;
      const rank = corner ? 0 : a.grid && b.grid ? 1 : a.grid || b.grid || j >= firstSide ? 2 : 3;
      out.push({ x, y, i, j, rank });
    }
  }
  return out;
}

/** Where two carriers cross, and the sine of their turn; null where they run too nearly alike. */
export function crossingOf(a: Carrier, b: Carrier): { x: number; y: number; sine: number } | null {
  const sine = a.nx * b.ny - a.ny * b.nx;
  if (Math.abs(sine) < Math.sin(LEAST_TURN)) return null;
  return { x: (a.off * b.ny - b.off * a.ny) / sine, y: (a.nx * b.off - b.nx * a.off) / sine, sine };
}

/** Whether a position lies at most `slack` off one of the stretches. */
export function isNear(stretches: readonly Stretch[], t: number, slack: number): boolean {
  for (const s of stretches) if (t >= s.from - slack && t <= s.to + slack) return true;
  return false;
}

/**
 * Joins crossings closer than `radius` into nodes. Exact places (corners, grid) attract the others; a node of free
 * lines sits at the least-squares meeting point of its lines.
 */
export function clusterNodes(
  crossings: readonly Crossing[],
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  options: ClusterOptions,
): Node[] {
  const { radius, reach, slant, width, px, firstSide } = options;
  const cells = new Map<number, number[]>();
  const nodes: { x: number; y: number; carriers: Set<number>; rank: number }[] = [];
  const side = slant * radius;
  const stepOf = (v: number) => Math.floor(v / side) + 64;
  const keyOf = (column: number, row: number) => column * 65536 + row;
  const nearest = ({ x, y, i, j }: Crossing) => {
    let best = -1;
    let bestDistance = side;
    for (let oy = -1; oy <= 1; oy++) {
      for (let ox = -1; ox <= 1; ox++) {
        for (const n of cells.get(keyOf(stepOf(x) + ox, stepOf(y) + oy)) ?? []) {
          const d = Math.hypot(nodes[n].x - x, nodes[n].y - y);
          if (d < bestDistance && (d < radius || [i, j].every((c) => missOf(carriers[c], nodes[n]) < radius))) {
            bestDistance = d;
            best = n;
          }
        }
      }
    }
    return best;
  };
  for (const c of [...crossings].sort((a, b) => a.rank - b.rank)) {
    let n = nearest(c);
    if (n < 0) {
      n = nodes.length;
      nodes.push({ x: c.x, y: c.y, carriers: new Set(), rank: c.rank });
      const key = keyOf(stepOf(c.x), stepOf(c.y));
      const cell = cells.get(key);
      if (cell) cell.push(n);
      else cells.set(key, [n]);
    }
    nodes[n].carriers.add(c.i);
    nodes[n].carriers.add(c.j);
  }
  for (const n of nodes) if (n.rank >= 2 && n.carriers.size > 2) settle(n, carriers, options.firstSide);
  joinNear(nodes, carriers, options);
  agree(nodes, carriers, options);
  // A carrier that ends at a node without crossing any one of its lines cleanly still belongs to it.
  const met = carriers.map(() => new Set<number>());
  for (const n of nodes) for (const i of n.carriers) for (const j of n.carriers) met[i].add(j);
  carriers.forEach((c, i) => {
    for (const n of nodes) {
      const near = i < firstSide ? radius : Math.min(radius, SIDE_WIDTHS * width + SIDE_PX * px);
      if (n.carriers.size === 0 || n.carriers.has(i) || missOf(c, n) > near) continue;
      // A line that meets a side beside the corner does not meet it in the corner.
      if (n.rank === 0 && [...n.carriers].some((own) => met[i].has(own))) continue;
      if (!isNear(runs[i], c.dx * n.x + c.dy * n.y, reach)) continue;
      n.carriers.add(i);
    }
  });
  return nodes
    .filter((n) => n.carriers.size > 0)
    .map((n) => ({ x: n.x, y: n.y, carriers: [...n.carriers], fixed: n.rank === 0 }));
}

function missOf({ nx, ny, off }: Carrier, { x, y }: { x: number; y: number }): number {
  return Math.abs(nx * x + ny * y - off);
}

/** A node this near a side of the sheet lies on it, stroke widths and px. */
const SIDE_WIDTHS = 1.5;
const SIDE_PX = 2;

/** All in pattern units: `px` is one paper px, `width` the stroke width. */
export interface ClusterOptions {
  readonly radius: number;
  readonly reach: number;
  readonly px: number;
  readonly width: number;
  /**
   * Two lines that cross at a slant cross far from where both were meant to pass: up to so many radii off a node they still
   * meet in it if both pass it within the radius; 1 where lines are drawn steadily.
   */
  readonly slant: number;
  /** Carriers from this one on are sides of the sheet that hold their vertices, as a hand's drawing needs it; none in print. */
  readonly firstSide: number;
}

interface OpenNode {
  x: number;
  y: number;
  carriers: Set<number>;
  rank: number;
}

/** Nodes this many radii apart are tried as one; all their lines must then pass within their own spread. */
const AGREE_RADII = 2.4;
const AGREE_SPREADS = 1.6;
const AGREE_PX = 0.8;
const AGREE_WIDTHS = 0.2;

/** Joins neighbouring nodes of free lines where one meeting point serves all the lines of both. */
function agree(
  nodes: OpenNode[],
  carriers: readonly Carrier[],
  { radius, px, width, firstSide }: ClusterOptions,
): void {
  const reach = AGREE_RADII * radius;
  const byX = [...nodes.keys()].sort((a, b) => nodes[a].x - nodes[b].x);
  for (let i = 0; i < byX.length; i++) {
    for (let j = i + 1; j < byX.length; j++) {
      const a = nodes[byX[i]];
      const b = nodes[byX[j]];
      if (a.carriers.size === 0) break;
      if (b.x - a.x > reach) break;
      if (b.carriers.size === 0 || Math.abs(b.y - a.y) > reach) continue;
      if (Math.max(a.rank, b.rank) < 2 || Math.hypot(b.x - a.x, b.y - a.y) > reach) continue;
      const [home, guest] = a.rank <= b.rank ? [a, b] : [b, a];
      const joint = { x: home.x, y: home.y, carriers: new Set([...a.carriers, ...b.carriers]) };
      if (home.rank >= 2) settle(joint, carriers, firstSide);
      const passes = [...joint.carriers].every((c) => {
        const k = carriers[c];
        return (
          Math.abs(k.nx * joint.x + k.ny * joint.y - k.off) <=
          AGREE_SPREADS * k.residual + AGREE_PX * px + AGREE_WIDTHS * width
        );
      });
      if (!passes) continue;
      home.x = joint.x;
      home.y = joint.y;
      home.carriers = joint.carriers;
      guest.carriers = new Set();
    }
  }
}

/** Nodes that two lines have in common are one up to so many radii apart. */
const SHARED_RADII = 1.5;

/**
 * Joins nodes that have come to lie near each other since they settled on their lines: within `radius` in a hand's drawing without
 * a grid, and a little farther apart where two lines have both in common. Straight lines cross once; but a third line that misses
 * their crossing draws both into a node beside it, and may leave the crossing a node of its own.
 */
function joinNear(
  nodes: readonly OpenNode[],
  carriers: readonly Carrier[],
  { radius, firstSide }: ClusterOptions,
): void {
  const joinsAll = firstSide < carriers.length;
  const reach = SHARED_RADII * radius;
  const byX = nodes.filter((n) => n.carriers.size > 0).sort((a, b) => a.x - b.x);
  for (let i = 0; i < byX.length; i++) {
    for (let j = i + 1; j < byX.length && byX[j].x - byX[i].x < reach; j++) {
      const [home, guest] = byX[i].rank <= byX[j].rank ? [byX[i], byX[j]] : [byX[j], byX[i]];
      if (home.carriers.size === 0 || guest.carriers.size === 0 || guest.rank < 2) continue;
      const apart = Math.hypot(home.x - guest.x, home.y - guest.y);
      const isOne = joinsAll && apart < radius;
      if (!isOne && (apart >= reach || [...guest.carriers].filter((c) => home.carriers.has(c)).length < 2)) continue;
      for (const c of guest.carriers) home.carriers.add(c);
      guest.carriers.clear();
      if (home.rank >= 2) settle(home, carriers, firstSide);
    }
  }
}

/** Moves a node to the least-squares meeting point of its lines; sides of the sheet and grid lines weigh most. */
function settle(
  n: { x: number; y: number; carriers: Set<number> },
  carriers: readonly Carrier[],
  firstSide: number,
): void {
  let a = 0;
  let b = 0;
  let d = 0;
  let u = 0;
  let v = 0;
  for (const i of n.carriers) {
    const c = carriers[i];
    const weight = c.grid || i >= firstSide ? GRID_WEIGHT : 1;
    const off = c.off - c.nx * n.x - c.ny * n.y;
    a += weight * c.nx * c.nx;
    b += weight * c.nx * c.ny;
    d += weight * c.ny * c.ny;
    u += weight * c.nx * off;
    v += weight * c.ny * off;
  }
  const det = a * d - b * b;
  if (det < 1e-3 * a * d) return;
  n.x += (d * u - b * v) / det;
  n.y += (a * v - b * u) / det;
}

/** Exact lines decide where a mixed node lies. */
const GRID_WEIGHT = 1000;
