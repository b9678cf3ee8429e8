/** Which text belongs to which stroke, on blobs that are set down by hand: a side of 800 px, strokes of 2. */
import { describe, expect, it } from 'vitest';
import type { Blob } from '../../pipeline/legend/blobs.ts';
import { findLegends } from '../../pipeline/legend/samples.ts';

const SIDE = 800;
const STROKE = 2;
const LETTER = 10;

const stroke = (left: number, y: number, length = 50): Blob => ({
  left,
  top: y,
  right: left + length,
  bottom: y + STROKE,
  area: length * STROKE,
});

/** Letters in a row about a stroke's height. */
const text = (left: number, y: number, letters = 6): Blob[] =>
  Array.from({ length: letters }, (_, i) => ({
    left: left + 12 * i,
    top: y - LETTER / 2,
    right: left + 12 * i + 9,
    bottom: y + LETTER / 2,
    area: 40,
  }));

/** Left ends of the samples and of their labels, a list a group. */
const found = (...blobs: readonly Blob[]) =>
  findLegends(blobs, SIDE, STROKE).map((group) =>
    group.map(({ sample, label }) => [sample.left, label.left]).sort((a, b) => a[0] - b[0]),
  );

describe('strokes and their labels', () => {
  it('in a column', () => {
    const blobs = [stroke(20, 50), ...text(90, 50), stroke(20, 90), ...text(90, 90)];
    expect(found(...blobs)).toEqual([
      [
        [20, 90],
        [20, 90],
      ],
    ]);
  });

  it('in a row, each before its text or each after it', () => {
    expect(found(stroke(20, 50), ...text(85, 50), stroke(250, 50), ...text(315, 50))).toEqual([
      [
        [20, 85],
        [250, 315],
      ],
    ]);
    expect(found(...text(20, 50), stroke(105, 50), ...text(250, 50), stroke(335, 50))).toEqual([
      [
        [105, 20],
        [335, 250],
      ],
    ]);
  });

  it('of dashes', () => {
    const dashes = (y: number) => [0, 14, 28, 42].map((x) => stroke(20 + x, y, 8));
    expect(found(...dashes(50), ...text(90, 50), stroke(20, 90), ...text(90, 90))).toHaveLength(1);
  });

  it('are none where text stands as near on either side', () => {
    const blobs = [...text(20, 50), stroke(110, 50), ...text(180, 50), stroke(270, 50), ...text(340, 50)];
    expect(found(...blobs)).toEqual([]);
  });

  it('are none without text, and text is none without strokes', () => {
    expect(found(stroke(20, 50), stroke(20, 90))).toEqual([]);
    expect(found(...text(20, 50), ...text(20, 90))).toEqual([]);
  });

  it('are none where strokes are as unlike as a rule and a dash', () => {
    expect(found(stroke(20, 50, 180), ...text(215, 50), stroke(20, 90, 30), ...text(65, 90))).toEqual([]);
  });
});
