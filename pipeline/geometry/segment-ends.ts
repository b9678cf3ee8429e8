/** Segments that are told by their middle, direction (radians) and length, in any frame. */

/** The way from a segment's middle to its end. */
export function halfSpan({ angle, length }: { readonly angle: number; readonly length: number }): [number, number] {
  return [(Math.cos(angle) * length) / 2, (Math.sin(angle) * length) / 2];
}

/** Where a segment begins and ends. */
export function endsOf(segment: {
  readonly x: number;
  readonly y: number;
  readonly angle: number;
  readonly length: number;
}): [start: [number, number], end: [number, number]] {
  const { x, y } = segment;
  const [dx, dy] = halfSpan(segment);
  return [
    [x - dx, y - dy],
    [x + dx, y + dy],
  ];
}
