import type { Point3 } from './camera.ts';
import { roughNoise } from './light.ts';
import type { Random } from './random.ts';

export interface Lamp {
  /** Gain at a picture px; on the page the bend turns it towards or away from the light. */
  gainAt(x: number, y: number, onPage: boolean, u: number, v: number): number;
}

interface Shade {
  readonly x: number;
  readonly y: number;
  readonly cos: number;
  readonly sin: number;
  /** Softness, px. */
  readonly soft: number;
  readonly depth: number;
  readonly waves: number;
  readonly seed: number;
}

/** One lamp or window: a slope of light across the picture, the lens's vignette, shadow edges, and shading of the bent sheet. */
export function drawLight(
  random: Random,
  width: number,
  height: number,
  surface: (u: number, v: number) => Point3,
): Lamp {
  const size = Math.max(width, height);
  const way = random.range(0, 2 * Math.PI);
  const slope = random.range(0, 0.45);
  const vignette = random.range(0, 0.35);
  const shades: Shade[] = [];
  const count = random.weigh([
    [0, 5],
    [1, 4],
    [2, 1],
  ]);
  for (let i = 0; i < count; i++) {
    const turn = random.range(0, 2 * Math.PI);
    shades.push({
      x: random.range(0.1, 0.9) * width,
      y: random.range(0.1, 0.9) * height,
      cos: Math.cos(turn),
      sin: Math.sin(turn),
      soft: random.ratio(0.006, 0.15) * size,
      depth: random.range(0.15, 0.55),
      waves: random.range(0, 0.12) * size,
      seed: random.int(1, 1 << 30),
    });
  }
  const lampTurn = random.range(0, 2 * Math.PI);
  const lampRise = random.range(0.5, 1.3);
  const [lx, ly, lz] = [
    Math.cos(lampRise) * Math.cos(lampTurn),
    Math.cos(lampRise) * Math.sin(lampTurn),
    Math.sin(lampRise),
  ];
  return {
    gainAt: (x, y, onPage, u, v) => {
      const dx = x / size - width / size / 2;
      const dy = y / size - height / size / 2;
      let gain = 1 + slope * (dx * Math.cos(way) + dy * Math.sin(way)) - vignette * (dx * dx + dy * dy) * 2;
      for (const shade of shades) {
        const across = (x - shade.x) * shade.cos + (y - shade.y) * shade.sin;
        const along = ((y - shade.y) * shade.cos - (x - shade.x) * shade.sin) / size;
        const edge = across + shade.waves * roughNoise(along * 3, 0.5, shade.seed, 2);
        gain *= 1 - shade.depth / (1 + Math.exp(-edge / shade.soft));
      }
      if (onPage) {
        const h = 0.01;
        const [here, right, down] = [surface(u, v), surface(u + h, v), surface(u, v + h)];
        const [ax, ay, az] = [right.x - here.x, right.y - here.y, right.z - here.z];
        const [bx, by, bz] = [down.x - here.x, down.y - here.y, down.z - here.z];
        const [nx, ny, nz] = [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx];
        const facing = (nx * lx + ny * ly + nz * lz) / Math.hypot(nx, ny, nz);
        // Half the light comes from everywhere; a flat sheet keeps a gain of 1.
        gain *= 0.5 + (0.5 * Math.max(0, facing)) / lz;
      }
      return gain;
    },
  };
}
