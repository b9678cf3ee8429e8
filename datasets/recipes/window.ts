import type { Mark, Placement, Rgb } from './drawing.ts';
import type { Margins } from './kinds.ts';
import type { Random } from './random.ts';

/** Room for a window's bar and panels. */
export function windowMargins(random: Random): Margins {
  const draw = (): number => random.range(0.06, 0.35);
  return { left: draw(), top: random.range(0.1, 0.3), right: draw(), bottom: random.range(0.06, 0.2) };
}

/** An invented window around the drawing: bar, panels and, on request, the dark frame of the display. Plain shapes only. */
export function windowMarks(
  random: Random,
  width: number,
  height: number,
  at: Placement,
  ground: Rgb,
  framed: boolean,
): Mark[] {
  const dark = ground[0] < 128;
  const bezel: Rgb = [14, 14, 15];
  const panel: Rgb = dark ? [58, 60, 66] : [random.int(205, 240), random.int(208, 240), random.int(212, 244)];
  const top = at.originY - at.scale;
  const right = at.originX + at.scale;
  const marks: Mark[] = [];
  const box = (x0: number, y0: number, x1: number, y1: number, colour: Rgb): void => {
    marks.push({ mark: 'shape', points: [x0, y0, x1, y0, x1, y1, x0, y1], colour, opacity: 1 });
  };
  const edge = framed ? Math.round(0.25 * Math.min(at.originX, width - right, height - at.originY, top)) : 0;
  const bar = Math.round(0.45 * top);
  if (random.chance(0.8)) {
    box(0, 0, width, bar, panel);
    const accent: Rgb = [random.int(60, 220), random.int(60, 200), random.int(60, 220)];
    const size = Math.max(4, 0.25 * bar);
    for (let i = 0, x = edge + size; i < 9 && x < 0.8 * width; i++, x += 2.2 * size) {
      if (random.chance(0.8))
        box(
          x,
          bar - 1.8 * size,
          x + size,
          bar - 0.8 * size,
          i === 2 ? accent : dark ? [150, 150, 156] : [110, 112, 118],
        );
    }
  }
  if (random.chance(0.5)) box(0, bar, 0.5 * at.originX, height, panel);
  if (random.chance(0.4)) box(width - 0.5 * (width - right), bar, width, height, panel);
  if (!framed) return marks;
  box(0, 0, width, edge, bezel);
  box(0, height - edge, width, height, bezel);
  box(0, 0, edge, height, bezel);
  box(width - edge, 0, width, height, bezel);
  return marks;
}
