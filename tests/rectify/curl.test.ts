/** The view of a curled sheet is recovered from its sides alone: constructed sheets whose inner points are known. */
import { describe, expect, it } from 'vitest';
import { curledView } from '../../pipeline/rectify/curl.ts';
import { robustPolynomial } from '../../pipeline/rectify/curve.ts';
import { sheetMap } from '../../pipeline/rectify/warp.ts';
import type { PatternPoint, PicturePoint } from '../../pipeline/types.ts';

const VIEW = { width: 2000, height: 1500 };
const SQUARE: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];

/** Sides as a tracer would give them: corners, and bows outward from the chords as polynomials of degree 4. */
function traced(see: (p: PatternPoint) => PicturePoint, polygon = SQUARE) {
  const corners = polygon.map(see);
  const bows = polygon.map((a, i) => {
    const next = (i + 1) % polygon.length;
    const b = polygon[next];
    const [p, q] = [corners[i], corners[next]];
    const [cx, cy] = [q[0] - p[0], q[1] - p[1]];
    const chord = Math.hypot(cx, cy);
    const ts: number[] = [];
    const offs: number[] = [];
    for (let k = 0; k <= 60; k++) {
      const [x, y] = see([a[0] + (k / 60) * (b[0] - a[0]), a[1] + (k / 60) * (b[1] - a[1])]);
      ts.push(((x - p[0]) * cx + (y - p[1]) * cy) / chord ** 2);
      offs.push((-(x - p[0]) * cy + (y - p[1]) * cx) / chord);
    }
    return robustPolynomial(
      ts,
      offs,
      ts.map(() => 1),
      4,
    );
  });
  return { corners, bows };
}

/** From places along and across the direction of bending to such places on the bent sheet, and how far they rise. */
type Bending = (along: number, across: number) => readonly [along: number, across: number, rise: number];

/** A camera above a sheet that is bent in a direction turned by `turn`, tilted. */
function seenFromAbove(bending: Bending, turn: number, tilt: number, focal: number) {
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  return ([u, v]: PatternPoint): PicturePoint => {
    const [x, y] = [u - 0.5, 0.5 - v];
    const [along, across, rise] = bending(c * x + s * y, c * y - s * x);
    const [sx, sy] = [c * along - s * across, s * along + c * across];
    const [ty, tz] = [Math.cos(tilt) * sy - Math.sin(tilt) * rise, Math.sin(tilt) * sy + Math.cos(tilt) * rise + 2];
    return [1000 + (focal * (sx + 0.05)) / tz, 750 + (focal * ty) / tz];
  };
}

/** A sheet on an arc of a circle; lengths along the arc are kept. */
function arc(radius: number, turn: number, tilt: number, focal: number) {
  const bending: Bending = (along, across) => [
    radius * Math.sin(along / radius),
    across,
    radius * (1 - Math.cos(along / radius)),
  ];
  return seenFromAbove(bending, turn, tilt, focal);
}

/**
 * A sheet on a circular cone of half angle `half`, whose tip lies `far` from the sheet's middle, `turn` from upright. Unrolled, such a cone is a sector: what lies at the
 * angle t around the tip goes round the cone's axis by t / sin(half) (elementary geometry).
 */
function cone(far: number, half: number, turn: number, tilt: number, focal: number) {
  const [ch, sh] = [Math.cos(half), Math.sin(half)];
  const bending: Bending = (along, across) => {
    const distance = Math.hypot(along, far - across);
    const round = Math.atan2(along, far - across) / sh;
    // Seen against the ruling through the sheet's middle.
    return [
      distance * sh * Math.sin(round),
      far - distance * (ch * ch + sh * sh * Math.cos(round)),
      distance * ch * sh * (1 - Math.cos(round)),
    ];
  };
  return seenFromAbove(bending, turn, tilt, focal);
}

/** A flat sheet through a lens whose radii grow by k r^2, r = 1 at the picture's corners; the picture was cut `cut` px farther on one side. */
function barrel(k: number, tilt: number, focal: number, cut = 0) {
  return ([u, v]: PatternPoint): PicturePoint => {
    const [x, y] = [u - 0.5, 0.5 - v];
    const [ty, tz] = [Math.cos(tilt) * y, Math.sin(tilt) * y + 2];
    const [px, py] = [(focal * x) / tz, (focal * ty) / tz];
    const grown = 1 + k * ((px * px + py * py) / (1250 * 1250));
    return [1000 + cut + grown * px, 750 + cut / 2 + grown * py];
  };
}

/** How far the profile z = 0.22 s^2 exp(-s^2) gets sideways with that length along it, from s = 0 on: ds/dl = 1 / hypot(1, z'), by the midpoint rule. */
function runOf(along: number): number {
  const rate = (s: number): number => 1 / Math.hypot(1, 0.44 * s * (1 - s * s) * Math.exp(-s * s));
  const step = along / 400;
  let run = 0;
  for (let k = 0; k < 400; k++) run += step * rate(run + (step / 2) * rate(run));
  return run;
}

/** A sheet like a trough (or, with `sense` -1, a ridge) about a direction turned by `turn`, tilted by 25 degrees; the axis of the lens is the picture's middle. */
function trough(turn: number, sense: 1 | -1, k: number) {
  const [tilt, focal] = [(25 * Math.PI) / 180, 0.8 * VIEW.width];
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  return ([u, v]: PatternPoint): PicturePoint => {
    const [x, y] = [u - 0.5, 0.5 - v];
    const across = c * y - s * x;
    const run = runOf(c * x + s * y);
    const rise = sense * 0.22 * run * run * Math.exp(-run * run);
    const [sx, sy] = [c * run - s * across, s * run + c * across];
    const depth = Math.sin(tilt) * sy + Math.cos(tilt) * rise + 2.2;
    const [px, py] = [(focal * sx) / depth, (focal * (Math.cos(tilt) * sy - Math.sin(tilt) * rise)) / depth];
    const grown = 1 + k * ((px * px + py * py) / (1250 * 1250));
    return [1000 + grown * px, 750 + grown * py];
  };
}

/** Largest distance of inner points from where they are seen, px. */
function worst(see: (p: PatternPoint) => PicturePoint, found: (p: PatternPoint) => PicturePoint): number {
  let most = 0;
  for (let x = 0.1; x < 1; x += 0.1) {
    for (let y = 0.1; y < 1; y += 0.1) {
      const [a, b] = [see([x, y]), found([x, y])];
      most = Math.max(most, Math.hypot(a[0] - b[0], a[1] - b[1]));
    }
  }
  return most;
}

describe('the view of a curled sheet', () => {
  it.each([
    ['bent upright, seen from above', arc(1.2, 0, 0.35, 2200)],
    ['bent the other way', arc(-1.5, Math.PI / 2, 0.25, 2600)],
    ['bent along a slant', arc(1.6, 0.6, 0.4, 2000)],
    ['bent along a diagonal, as a strong lens aside would bend its sides', arc(1.5, Math.PI / 4, 0.5, 2200)],
    ['bent strongly along a slant', arc(1, 0.6, 0.35, 2200)],
    ['like a trough about a slant, through a lens', trough(0.2, 1, 0.02)],
    ['like a ridge about a slant, through a lens', trough(0.2, -1, 0.02)],
    ['flat, through a barrel lens', barrel(-0.07, 0.4, 2300)],
    ['flat, through a barrel lens, cut aside', barrel(-0.07, 0.4, 2300, 200)],
    ['flat, through a strong barrel lens, cut far aside', barrel(-0.2, 0, 2300, 700)],
  ])('%s: inner points within a thousandth of the side', (_, see) => {
    const { corners, bows } = traced(see);
    const view = curledView(SQUARE, corners, bows, VIEW);
    expect(view).not.toBeNull();
    expect(view!.missPx).toBeLessThan(1);
    const side = Math.hypot(corners[1][0] - corners[0][0], corners[1][1] - corners[0][1]);
    expect(worst(see, view!.toPicture)).toBeLessThan(0.001 * side);
  });

  it.each([
    ['above the sheet', cone(1.3, 0.75, 0.3, 0.35, 2200)],
    ['beside the sheet', cone(1.6, 0.8, 1.8, 0.35, 2200)],
    ['below the sheet, seen from nearer', cone(1.1, 0.9, Math.PI - 0.5, 0.3, 1500)],
    ['below the sheet, seen aslant', cone(1.4, 0.7, Math.PI + 0.2, 0.6, 2000)],
  ])('on a cone whose tip lies %s: inner points within four thousandths of the side', (_, see) => {
    const { corners, bows } = traced(see);
    const view = curledView(SQUARE, corners, bows, VIEW);
    expect(view!.missPx).toBeLessThan(0.3);
    const side = Math.hypot(corners[1][0] - corners[0][0], corners[1][1] - corners[0][1]);
    expect(worst(see, view!.toPicture)).toBeLessThan(0.004 * side);
  });

  it('is not forced on sides that no curled sheet has', () => {
    const corners: PicturePoint[] = [
      [500, 1300],
      [1500, 1300],
      [1500, 300],
      [500, 300],
    ];
    // Each side waves by itself.
    const wave = [0, 120, -360, 240];
    const view = curledView(SQUARE, corners, [wave, wave, wave, wave], VIEW);
    expect(view!.missPx).toBeGreaterThan(3);
  });

  it('corners that fall together are refused', () => {
    const corners: PicturePoint[] = [
      [500, 500],
      [500, 500],
      [500, 500],
      [500, 500],
    ];
    expect(() => curledView(SQUARE, corners, [[0], [0], [0], [0]], VIEW)).toThrow(RangeError);
  });
});

/** A regular polygon around the middle of the unit square, counterclockwise. */
const regular = (sides: number): PatternPoint[] =>
  Array.from({ length: sides }, (_, k) => {
    const angle = (2 * Math.PI * (k + 0.5)) / sides;
    return [0.5 + 0.5 * Math.cos(angle), 0.5 + 0.5 * Math.sin(angle)];
  });

describe.each([5, 6, 8])('a curled sheet of %i sides', (sides) => {
  it('is seen as such: its sides are explained, and its inner points within a thousandth of its width', () => {
    const see = arc(0.9, 0.3, 0.35, 2200);
    const polygon = regular(sides);
    const { corners, bows } = traced(see, polygon);
    const map = sheetMap(polygon, corners, bows, VIEW);
    expect(map.isExplained).toBe(true);
    const inner = polygon.flatMap(([x, y]) =>
      [0.2, 0.5, 0.8].map((t): PatternPoint => [0.5 + t * (x - 0.5), 0.5 + t * (y - 0.5)]),
    );
    const width = Math.max(...corners.map(([x]) => x)) - Math.min(...corners.map(([x]) => x));
    for (const p of inner) {
      const [a, b] = [see(p), map.toPicture(p)];
      expect(Math.hypot(a[0] - b[0], a[1] - b[1])).toBeLessThan(0.001 * width);
    }
  });
});
