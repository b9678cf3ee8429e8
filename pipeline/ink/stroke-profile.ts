/** Stroke width where dots of a display or moire break up every stroke: from the mean profile across all of them. */

/** Line maps count as a line from here on. */
const LINE = 0.4;
/** A point counts if its line runs straight on for so many px both ways, and its map falls to this share so far beside it. */
const ALONG_PX = 6;
const BESIDE_PX = 3;
const BESIDE_SHARE = 0.6;
/** Crests of the map waver by this share along a line. */
const WAVER = 0.95;
/** Profiles reach so far, px, and are heard from so many points of a direction on. */
const REACH_PX = 16;
const LEAST_POINTS = 50;
/** Paper is what the lowest quarter of a profile shows: neighbours lie on the rest. */
const PAPER = 0.25;
/** Along x, along y and along both diagonals, px. */
const DIRECTIONS = [
  [1, 0],
  [0, 1],
  [1, 1],
  [1, -1],
] as const;

interface Plane {
  readonly width: number;
  readonly height: number;
}

/**
 * Width of the strokes at half their height, px: mean over the level, upright and diagonal ones of the width of the mean profile
 * of density across the crest of the line map. Null where there are too few of them.
 *
 * @param line where strokes run, 0..1
 * @param density ink, same size
 */
export function profileWidth(line: Float32Array, density: Float32Array, { width, height }: Plane): number | null {
  const found = DIRECTIONS.flatMap(([tx, ty]) => {
    const along = ty * width + tx;
    const across = tx * width - ty;
    const profile = meanProfile(line, density, { width, height }, along, across);
    return profile ? [{ px: Math.hypot(tx, ty) * halfWidth(profile.mean), count: profile.count }] : [];
  });
  const count = found.reduce((sum, f) => sum + f.count, 0);
  return count > 0 ? found.reduce((sum, f) => sum + f.px * f.count, 0) / count : null;
}

/** Mean density across the straight lines whose points and profiles lie so many entries apart. */
function meanProfile(
  line: Float32Array,
  density: Float32Array,
  { width, height }: Plane,
  along: number,
  across: number,
): { mean: Float64Array; count: number } | null {
  const sum = new Float64Array(2 * REACH_PX + 1);
  let count = 0;
  for (let y = REACH_PX + 1; y < height - REACH_PX - 1; y++) {
    for (let p = y * width + REACH_PX + 1; p < (y + 1) * width - REACH_PX - 1; p++) {
      if (!isStraightCrest(line, p, along, across)) continue;
      for (let r = -REACH_PX; r <= REACH_PX; r++) sum[r + REACH_PX] += density[p + r * across];
      count++;
    }
  }
  return count < LEAST_POINTS ? null : { mean: sum.map((v) => v / count), count };
}

function isStraightCrest(line: Float32Array, p: number, along: number, across: number): boolean {
  const beside = BESIDE_SHARE * line[p];
  if (line[p] < LINE || line[p] < line[p + across] || line[p] <= line[p - across]) return false;
  if (line[p + BESIDE_PX * across] > beside || line[p - BESIDE_PX * across] > beside) return false;
  for (let t = 1; t <= ALONG_PX; t++) {
    for (const q of [p + t * along, p - t * along]) {
      if (line[q] < LINE || line[q] < WAVER * Math.max(line[q + across], line[q - across])) return false;
    }
  }
  return true;
}

/** Entries between the places where a profile has half its height over the paper. */
function halfWidth(profile: Float64Array): number {
  const paper = [...profile].sort((a, b) => a - b)[Math.floor(PAPER * profile.length)];
  let top = REACH_PX;
  for (let i = REACH_PX - 2; i <= REACH_PX + 2; i++) if (profile[i] > profile[top]) top = i;
  const half = (profile[top] + paper) / 2;
  const reach = (step: 1 | -1): number => {
    let i = top;
    while (i > 0 && i < profile.length - 1 && profile[i + step] > half) i += step;
    const next = profile[i + step] ?? profile[i];
    return Math.abs(i - top) + (profile[i] > next ? (profile[i] - half) / (profile[i] - next) : 0);
  };
  return reach(1) + reach(-1);
}
