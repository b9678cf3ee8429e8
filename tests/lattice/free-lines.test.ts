/** Strokes of one straight line are gathered, strokes of two lines are not, however well one line passes both places. */
import { describe, expect, it } from 'vitest';
import { type FreeSegment, gatherFree } from '../../pipeline/lattice/free-lines.ts';

const PX = 1 / 1000;
/** As broad strokes have it. */
const STRAY = 3 * PX;

/** A stroke of `lengthPx` at half a right angle, its middle `alongPx` from the origin and `besidePx` beside the line through it. */
function stroke(alongPx: number, besidePx: number, lengthPx: number, turn = 0): FreeSegment {
  const [c, s] = [Math.SQRT1_2, Math.SQRT1_2];
  const [t, d] = [alongPx * PX, besidePx * PX];
  return {
    x: c * t - s * d,
    y: s * t + c * d,
    angle: Math.PI / 4 + turn,
    length: lengthPx * PX,
    points: new Int32Array(0),
  };
}

describe('two short strokes far from each other', () => {
  it('that run beside each other are two lines, each in its stroke', () => {
    // One straight line passes both within a px: it turns them by 0.6 degrees.
    const strokes = [stroke(100, 0, 120), stroke(900, 9, 100)];
    const lines = gatherFree(strokes, PX, STRAY);
    expect(lines.length).toBe(2);
    for (const { nx, ny, off, members } of lines) {
      expect(members.length).toBe(1);
      expect(Math.abs(nx * members[0].x + ny * members[0].y - off)).toBeLessThan(1e-6);
    }
  });

  it('that are parts of one line are one, though each was measured a little off', () => {
    expect(gatherFree([stroke(100, 0.2, 120, 0.002), stroke(900, -0.2, 100, -0.002)], PX, STRAY).length).toBe(1);
  });

  it('are one line where the hand strays as far as it turns them', () => {
    expect(gatherFree([stroke(100, 0, 120), stroke(900, 9, 100)], PX, 12 * PX).length).toBe(1);
  });
});

describe('two strokes that nearly touch', () => {
  it('are halves of one line where its places are within the stray', () => {
    expect(gatherFree([stroke(100, 0, 150, 0.01), stroke(270, 0, 150, -0.01)], PX, STRAY).length).toBe(1);
  });
});
