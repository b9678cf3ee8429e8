import type { Raster } from '../../pipeline/types.ts';
import type { Random } from './random.ts';

/** Reflections on glass: added light, soft blobs or the shape of a window. Returns what was added. */
export function addGlare(random: Random, light: Raster<Float32Array>): string {
  const kind = random.weigh([
    ['none', 4],
    ['lamp', 3],
    ['window', 3],
  ] as const);
  const { width, height, data } = light;
  const size = Math.max(width, height);
  // Even a dark room leaves a veil.
  const veil = random.range(0.002, 0.03);
  const [x0, y0] = [random.range(0, width), random.range(0, height)];
  const strength = kind === 'none' ? 0 : random.range(0.03, 0.2);
  const radius = random.range(0.06, 0.25) * size;
  const [halfWidth, halfHeight] = [random.range(0.08, 0.22) * size, random.range(0.1, 0.3) * size];
  const soft = random.range(0.004, 0.03) * size;
  const lean = random.range(-0.4, 0.4);
  const inside = (distance: number): number => 1 / (1 + Math.exp(distance / soft));
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const dx = x - x0 + lean * (y - y0);
      const dy = y - y0;
      let shine = veil;
      if (kind === 'lamp') shine += strength * Math.exp(-(dx * dx + dy * dy) / (radius * radius));
      else if (kind === 'window') {
        // Two panes with a bar between them.
        const pane =
          inside(Math.max(Math.abs(dx) - halfWidth, Math.abs(dy) - halfHeight)) *
          (1 - inside(Math.abs(dx) - 0.06 * halfWidth));
        shine += strength * pane;
      }
      const i = 3 * (y * width + x);
      data[i] += shine;
      data[i + 1] += shine;
      data[i + 2] += shine * 1.04;
    }
  }
  return kind;
}
