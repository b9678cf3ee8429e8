/** One painted line: where it lies, how it runs, where it ends. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Segment } from '../../pipeline/strokes/segments.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { evenly } from '../evenly.ts';
import { bar, fieldOf, type Point, paint } from '../ink/painted.ts';

const SIZE = 160;
const SEED = 1998;
/** Pixel coverage of a box is symmetrical about its middle, so the centre is found without bias (Steger 1998); what is left is the sampling. */
const CENTRE_PX = 0.12;

interface Line {
  readonly middle: Point;
  readonly angle: number;
  readonly half: number;
  readonly width: number;
}

const lines: fc.Arbitrary<Line> = fc.record({
  middle: fc.tuple(evenly(76, 84), evenly(76, 84)),
  angle: evenly(0, Math.PI),
  half: evenly(25, 60),
  width: evenly(1.5, 7),
});

function strokesOf({ middle: [x, y], angle, half, width }: Line): Strokes {
  const [ux, uy] = [Math.cos(angle) * half, Math.sin(angle) * half];
  return findStrokes(fieldOf(SIZE, paint(SIZE, SIZE, [bar([x - ux, y - uy], [x + ux, y + uy], width)]), width));
}

/** Along and across the line from its middle. */
function seenFrom(line: Line, x: number, y: number): { along: number; across: number } {
  const [dx, dy] = [x - line.middle[0], y - line.middle[1]];
  const [c, s] = [Math.cos(line.angle), Math.sin(line.angle)];
  return { along: dx * c + dy * s, across: dy * c - dx * s };
}

function endsOf({ x, y, angle, length }: Segment): Point[] {
  const [hx, hy] = [(Math.cos(angle) * length) / 2, (Math.sin(angle) * length) / 2];
  return [
    [x - hx, y - hy],
    [x + hx, y + hy],
  ];
}

const longest = (strokes: Strokes): Segment => strokes.segments.reduce((a, b) => (b.length > a.length ? b : a));

function forEveryLine(check: (line: Line, strokes: Strokes) => void): void {
  fc.assert(
    fc.property(lines, (line) => check(line, strokesOf(line))),
    { seed: SEED, numRuns: 150, endOnFailure: true },
  );
}

describe('a line of any place, direction and width', () => {
  it('is one straight segment with its middle in the middle of the ink, to a tenth of a px', () => {
    forEveryLine((line, strokes) => {
      const segment = longest(strokes);
      expect(Math.abs(seenFrom(line, segment.x, segment.y).across)).toBeLessThan(CENTRE_PX);
      // The corners of a square end pull the last few points towards the nearer one: a tenth of the width at the most.
      const hook = CENTRE_PX + 0.1 * line.width;
      for (const [x, y] of endsOf(segment)) expect(Math.abs(seenFrom(line, x, y).across)).toBeLessThan(hook);
    });
  });

  it('ends where it was drawn to end, to a stroke width and a px', () => {
    forEveryLine((line, strokes) => {
      const ends = endsOf(longest(strokes)).map(([x, y]) => Math.abs(seenFrom(line, x, y).along));
      for (const end of ends) expect(Math.abs(end - line.half)).toBeLessThan(line.width + 1);
    });
  });

  it('has its centre-line points in its middle and nowhere beside it', () => {
    forEveryLine((line, { ridges }) => {
      let checked = 0;
      for (let p = 0; p < ridges.count; p++) {
        const { along, across } = seenFrom(line, ridges.x[p], ridges.y[p]);
        // A square end is wider than long: the middle of it is no longer that of a line.
        if (Math.abs(along) > line.half - line.width - 1) continue;
        expect(Math.abs(across)).toBeLessThan(0.25);
        checked++;
      }
      // One point for each px of length, or a few less where it crosses pixels at a slant.
      expect(checked).toBeGreaterThan(1.2 * (line.half - line.width - 1));
    });
  });

  it('has no strokes that run across it, but for its own square ends', () => {
    forEveryLine((line, { segments }) => {
      for (const s of segments) {
        if (Math.abs(Math.sin(s.angle - line.angle)) < 0.25) continue;
        expect(line.half - Math.abs(seenFrom(line, s.x, s.y).along)).toBeLessThan(1.5 * line.width);
      }
    });
  });
});

describe('a turned picture', () => {
  /** Bars from the middle out. */
  const drawing = (turn: number): Point[][] =>
    [0.1, 0.9, 1.6, 2.6, 3.4, 4.4, 5.5].map((angle) =>
      [18, 66].map((r): Point => [80 + r * Math.cos(angle + turn), 80 + r * Math.sin(angle + turn)]),
    );
  const drawn = (turn: number): Strokes =>
    findStrokes(
      fieldOf(
        SIZE,
        paint(
          SIZE,
          SIZE,
          drawing(turn).map(([a, b]) => bar(a, b, 2.5)),
        ),
        2.5,
      ),
    );

  it('gives the turned strokes: no direction is seen better than another', () => {
    fc.assert(
      fc.property(evenly(0, 2 * Math.PI), (turn) => {
        const { segments } = drawn(turn);
        for (const [a, b] of drawing(turn)) {
          const angle = Math.atan2(b[1] - a[1], b[0] - a[0]);
          const line = { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] as Point, angle, half: 24, width: 2.5 };
          const own = segments.filter((s) => Math.hypot(s.x - line.middle[0], s.y - line.middle[1]) < 8);
          expect(own.length).toBeGreaterThan(0);
          const best = own.reduce((p, q) => (q.length > p.length ? q : p));
          expect(Math.abs(seenFrom(line, best.x, best.y).across)).toBeLessThan(CENTRE_PX);
          expect(Math.abs(best.length - 48)).toBeLessThan(2 * 2.5);
        }
      }),
      { seed: SEED, numRuns: 60, endOnFailure: true },
    );
  });
});
