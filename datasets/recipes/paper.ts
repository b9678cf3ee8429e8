import type { Raster } from '../../pipeline/types.ts';
import type { Rgb } from './drawing.ts';
import { roughNoise, valueNoise } from './light.ts';
import type { Random } from './random.ts';

/** A surface to lie on: colour at a point of the desk, desk units (page half side 1), written into `out` as sRGB 0..255. */
export type Ground = (x: number, y: number, out: Float32Array) => void;

export type GroundName = 'wood' | 'cloth' | 'plain' | 'stone' | 'mat' | 'clutter';

export function drawGround(random: Random): { name: GroundName; colourAt: Ground } {
  const name = random.weigh<GroundName>([
    ['wood', 4],
    ['cloth', 2],
    ['plain', 2],
    ['stone', 2],
    ['mat', 1],
    ['clutter', 0.6],
  ]);
  const seed = random.int(1, 1 << 30);
  const dark = random.chance(0.55);
  switch (name) {
    case 'wood':
      return { name, colourAt: wood(random, seed, dark) };
    case 'cloth': {
      const base = tone(random, dark);
      const [threads, depth] = [random.range(40, 140), random.range(4, 14)];
      return {
        name,
        colourAt: (x, y, out) => {
          const weave = Math.sin(x * threads) * Math.sin(y * threads) * depth + roughNoise(x * 3, y * 3, seed, 3) * 8;
          for (let c = 0; c < 3; c++) out[c] = base[c] + weave;
        },
      };
    }
    case 'plain': {
      const base = tone(random, dark);
      return {
        name,
        colourAt: (x, y, out) => {
          const drift = roughNoise(x, y, seed, 2) * 4;
          for (let c = 0; c < 3; c++) out[c] = base[c] + drift;
        },
      };
    }
    case 'stone': {
      const base = tone(random, dark);
      const [grain, depth] = [random.range(10, 50), random.range(10, 35)];
      return {
        name,
        colourAt: (x, y, out) => {
          const speck =
            roughNoise(x * grain, y * grain, seed, 3) * depth + roughNoise(x * 1.5, y * 1.5, seed + 9, 3) * 14;
          for (let c = 0; c < 3; c++) out[c] = base[c] + speck;
        },
      };
    }
    case 'mat':
      return { name, colourAt: cuttingMat(random, seed) };
    case 'clutter': {
      const tones = Array.from({ length: 6 }, () => tone(random, random.chance(0.5)));
      const size = random.range(0.7, 1.6);
      return {
        name,
        colourAt: (x, y, out) => {
          const cell = Math.floor((valueNoise(x / size, y / size, seed) + 1) * 3);
          const base = tones[Math.min(5, Math.max(0, cell))];
          const speck = roughNoise(x * 20, y * 20, seed + 3, 2) * 8;
          for (let c = 0; c < 3; c++) out[c] = base[c] + speck;
        },
      };
    }
  }
}

function tone(random: Random, dark: boolean): Rgb {
  const level = dark ? random.range(25, 95) : random.range(120, 205);
  const warm = random.range(-18, 28);
  return [level + warm, level + random.range(-10, 10), level - warm];
}

function wood(random: Random, seed: number, dark: boolean): Ground {
  const base: Rgb = dark
    ? [random.range(70, 110), random.range(45, 70), random.range(25, 45)]
    : [random.range(170, 215), random.range(125, 165), random.range(80, 120)];
  const turn = random.range(0, Math.PI);
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const [rings, plank] = [random.range(5, 14), random.range(0.5, 1.6)];
  return (x, y, out) => {
    const along = x * cos + y * sin;
    const across = y * cos - x * sin;
    const board = Math.floor(across / plank);
    const wander = roughNoise(along * 0.5 + board * 7.3, across * 2.2, seed, 3);
    const grain = Math.sin((across + board * 3.1 + 0.25 * wander) * rings * 6) * 0.5 + wander * 0.5;
    const fibre = valueNoise(along * 4, across * 120, seed + 5) * 0.35;
    const edge = Math.abs(across / plank - board - 0.5) > 0.492 ? 0.6 : 1;
    const shade = (1 + 0.16 * grain + 0.16 * fibre + 0.05 * valueNoise(board * 9.7, 0.5, seed)) * edge;
    for (let c = 0; c < 3; c++) out[c] = base[c] * shade;
  };
}

/** A mat with its own printed grid: the worst neighbour a crease pattern can have. */
function cuttingMat(random: Random, seed: number): Ground {
  const base: Rgb = random.pick([
    [25, 85, 70],
    [40, 60, 100],
    [60, 60, 64],
  ] as const);
  const line = base.map((part) => part + 70);
  const [step, thick] = [random.range(0.12, 0.3), random.range(0.004, 0.008)];
  return (x, y, out) => {
    const near = Math.min(Math.abs(x - step * Math.round(x / step)), Math.abs(y - step * Math.round(y / step)));
    const on = near < thick ? 1 : 0;
    const speck = roughNoise(x * 40, y * 40, seed, 2) * 5;
    for (let c = 0; c < 3; c++) out[c] = base[c] + on * (line[c] - base[c]) + speck;
  };
}

/** Give a drawn page the tone and grain of paper, in place. `tone` multiplies white; `grain` and `drift` in levels of 255. */
export function texturePaper(raster: Raster, toneOf: Rgb, grain: number, drift: number, seed: number): void {
  const { width, height, data } = raster;
  const fine = 1 / 2.3;
  const coarse = 6 / Math.max(width, height);
  // Clouds are far wider than 8 px: one value serves a block.
  const clouds = new Float32Array((width >> 3) + 1);
  for (let y = 0; y < height; y++) {
    if ((y & 7) === 0) {
      for (let i = 0; i < clouds.length; i++) {
        clouds[i] = drift > 0 ? drift * roughNoise(8 * i * coarse, y * coarse, seed + 1, 3) : 0;
      }
    }
    for (let x = 0; x < width; x++) {
      const speck = grain > 0 ? grain * valueNoise(x * fine, y * fine, seed) : 0;
      const cloud = clouds[x >> 3];
      const i = 3 * (y * width + x);
      for (let c = 0; c < 3; c++) {
        data[i + c] = Math.min(255, Math.max(0, (data[i + c] * toneOf[c]) / 255 + speck + cloud + 0.5));
      }
    }
  }
}
