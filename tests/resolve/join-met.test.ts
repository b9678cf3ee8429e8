/** Lines that a hand drew past a corner of the sheet, not into it. */
import { describe, expect, it } from 'vitest';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import type { Draft, Part } from '../../pipeline/resolve/draft.ts';
import { atAdjustedPlaces, joinMet } from '../../pipeline/resolve/free-places.ts';
import type { ExactPoint, Lattice, PatternPoint, Sheet } from '../../pipeline/types.ts';

const STRAY = 0.003;
const lattice: Lattice = { kind: 'angle22', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: STRAY, fit: 1 };
const CORNERS: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const sheet = { polygon: CORNERS, width: 1, height: 1 } as unknown as Sheet;

function carrier([ax, ay]: PatternPoint, degrees: number): Carrier {
  const [dx, dy] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const unseen = { seen: new Uint8Array(0), beside: new Float32Array(0), residual: STRAY };
  return { nx: -dy, ny: dx, off: -dy * ax + dx * ay, dx, dy, grid: null, from: 0, to: 1, ...unseen };
}

/**
 * About the diagonal and a crease at 67.5 degrees, as of the kite base (traditional), both from the bottom left corner. They cross at `meet`, and from there the second goes
 * on to the corner.
 */
function drafted(meet: PatternPoint): Draft {
  const up: PatternPoint = [meet[0] + (1 - meet[1]) * Math.tan(Math.PI / 8), 1];
  const vertices = [...CORNERS, meet, up];
  const carriers = [
    carrier(meet, (Math.atan2(1 - meet[1], 1 - meet[0]) * 180) / Math.PI),
    carrier(meet, 67.5),
    ...CORNERS.map((corner, i) => carrier(corner, 90 * i)),
  ];
  const part = (from: number, to: number, line: number): Part => {
    const along = (v: number): number => carriers[line].dx * vertices[v][0] + carriers[line].dy * vertices[v][1];
    const border = line > 1;
    const odds = { mountain: border ? 0 : 0.5, valley: border ? 0 : 0.5, edge: border ? 1 : 0, guide: 0, absent: 0 };
    const state = { coverage: 1, odds, belief: odds, present: true, origin: 'seen' as const, change: null };
    return { from, to, carrier: line, t0: along(from), t1: along(to), border, kind: border ? 'B' : 'U', ...state };
  };
  const parts = [
    part(4, 2, 0),
    part(0, 4, 1),
    part(4, 5, 1),
    part(0, 1, 2),
    part(1, 2, 3),
    part(2, 5, 4),
    part(5, 3, 4),
    part(3, 0, 5),
  ];
  const corner: ExactPoint = [
    { p: 0, r: 0, q: 1, root: 2 },
    { p: 0, r: 0, q: 1, root: 2 },
  ];
  const exact = vertices.map((_, v) => (v < CORNERS.length ? corner : null));
  const scale = { px: 0.001, strokeWidth: 0.003, meet: 0.005 };
  return { measured: [...vertices], vertices, exact, parts, carriers, ...scale, split: new Map() };
}

describe('lines drawn past a corner', () => {
  it('end in it where that is within what a hand strays', () => {
    const draft = drafted([0.006, 0.007]);
    expect(joinMet(draft, lattice, sheet)).toBe(true);
    const ends = draft.parts.filter((p) => p.present && !p.border).map(({ from, to }) => [from, to]);
    expect(ends).toEqual([
      [0, 2],
      [0, 5],
    ]);
  });

  it('meet inside the sheet where they were drawn too far from it', () => {
    const draft = drafted([0.03, 0.03 * Math.tan((3 * Math.PI) / 8)]);
    expect(joinMet(draft, lattice, sheet)).toBe(false);
    expect(draft.parts.filter((p) => p.present && !p.border)).toHaveLength(3);
  });
});

describe('the laws are asked', () => {
  it('where the lines of a vertex cross, not where its end was measured beside them', () => {
    const meet: PatternPoint = [0.3, 0.3 * Math.tan((3 * Math.PI) / 8)];
    const draft = drafted(meet);
    const beside: PatternPoint = [meet[0] + 0.004, meet[1] - 0.004];
    draft.vertices[4] = beside;
    const [x, y] = atAdjustedPlaces(draft, lattice, sheet).vertices[4];
    expect(Math.hypot(x - meet[0], y - meet[1])).toBeLessThan(0.001);
    expect(draft.vertices[4]).toBe(beside);
  });
});
