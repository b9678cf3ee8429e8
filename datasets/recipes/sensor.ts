import type { Raster } from '../../pipeline/types.ts';
import { blur, normalTable, scattered, smear, toDisplay } from './light.ts';
import type { Random } from './random.ts';

/** From light to the bytes of a file: exposure, blur, noise, tone, sharpening. */
export interface Sensor {
  /** Gain for each channel: exposure and colour cast together. */
  readonly gain: readonly [number, number, number];
  /** Out of focus, px. */
  readonly blurPx: number;
  /** Moving hand, px. */
  readonly smearX: number;
  readonly smearY: number;
  /** Noise, standard deviation at full light in linear units, and in the dark. */
  readonly shotNoise: number;
  readonly darkNoise: number;
  /** Noise with grain of some px, as phones leave after smoothing: share of the whole, 0..1. */
  readonly blotch: number;
  /** Contrast of the tone curve: 0 none. */
  readonly contrast: number;
  /** Unsharp mask. */
  readonly sharpen: number;
  readonly seed: number;
}

export function drawSensor(random: Random, harsh: number): Sensor {
  const exposure = random.range(0.72, 1.12);
  const warmth = random.normal() * 0.09;
  const tint = random.normal() * 0.03;
  const smearBy = random.chance(0.25 * harsh) ? random.range(0.5, 2.2) : 0;
  const smearWay = random.range(0, Math.PI);
  return {
    gain: [exposure * (1 + warmth), exposure * (1 + tint), exposure * (1 - warmth)],
    blurPx: random.ratio(0.35, 0.5 + 1.1 * harsh),
    smearX: smearBy * Math.cos(smearWay),
    smearY: smearBy * Math.sin(smearWay),
    shotNoise: random.ratio(0.003, 0.035 * harsh),
    darkNoise: random.ratio(0.0008, 0.006 * harsh),
    blotch: random.range(0, 0.7),
    contrast: random.range(0, 0.35),
    sharpen: random.chance(0.7) ? random.range(0.2, 1.1) : 0,
    seed: random.int(1, 1 << 30),
  };
}

/** Blur, noise and tone, in that order, as light meets them. The light raster is used up. */
export function develop(light: Raster<Float32Array>, sensor: Sensor): Raster {
  const { width, height, data } = light;
  blur(light, sensor.blurPx);
  if (sensor.smearX !== 0 || sensor.smearY !== 0) smear(light, sensor.smearX, sensor.smearY);
  addNoise(light, sensor);
  for (let i = 0; i < data.length; i++) {
    const shown = toDisplay(data[i]) / 255;
    // An S-curve through the ends and the middle.
    const curved = shown + sensor.contrast * shown * (1 - shown) * (2 * shown - 1);
    data[i] = 255 * curved;
  }
  if (sensor.sharpen > 0) sharpen(light, sensor.sharpen);
  const out = new Uint8Array(width * height * 3);
  for (let i = 0; i < data.length; i++) out[i] = Math.min(255, Math.max(0, data[i] + 0.5));
  return { width, height, channels: 3, data: out };
}

function addNoise({ width, height, data }: Raster<Float32Array>, sensor: Sensor): void {
  const table = normalTable();
  const coarseWidth = (width >> 1) + 2;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const pixel = y * width + x;
      const coarse = (y >> 1) * coarseWidth + (x >> 1);
      for (let c = 0; c < 3; c++) {
        const i = 3 * pixel + c;
        const level = data[i] * sensor.gain[c];
        const spread = Math.sqrt(
          sensor.shotNoise * sensor.shotNoise * Math.max(0, level) + sensor.darkNoise * sensor.darkNoise,
        );
        const fine = table[scattered(i, sensor.seed)];
        const blot = table[scattered(3 * coarse + c, sensor.seed ^ 0x5bd1e995)];
        data[i] = level + spread * ((1 - sensor.blotch) * fine + sensor.blotch * blot);
      }
    }
  }
}

/** Unsharp mask with a radius of about one pixel, by a 3 by 3 mean. */
function sharpen({ width, height, data }: Raster<Float32Array>, amount: number): void {
  const stride = 3 * width;
  let above = data.slice(0, stride);
  for (let y = 1; y + 1 < height; y++) {
    const here = data.slice(y * stride, (y + 1) * stride);
    const below = data.subarray((y + 1) * stride, (y + 2) * stride);
    for (let i = 3; i < stride - 3; i++) {
      const mean =
        (above[i - 3] +
          above[i] +
          above[i + 3] +
          here[i - 3] +
          here[i] +
          here[i + 3] +
          below[i - 3] +
          below[i] +
          below[i + 3]) /
        9;
      data[y * stride + i] = here[i] + amount * (here[i] - mean);
    }
    above = here;
  }
}

/** See through a colour filter array (red and blue on one pixel in four, green on two) and fill in the rest from neighbours: fine lines gain colour fringes. In place. */
export function demosaic({ width, height, data }: Raster<Float32Array>): void {
  const raw = new Float32Array(width * height);
  const colourAt = (x: number, y: number): number => ((x & 1) === (y & 1) ? 1 : y & 1 ? 2 : 0);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) raw[y * width + x] = data[3 * (y * width + x) + colourAt(x, y)];
  for (let y = 1; y + 1 < height; y++) {
    for (let x = 1; x + 1 < width; x++) {
      const i = y * width + x;
      const cross = (raw[i - 1] + raw[i + 1] + raw[i - width] + raw[i + width]) / 4;
      const sides = (raw[i - 1] + raw[i + 1]) / 2;
      const ends = (raw[i - width] + raw[i + width]) / 2;
      const corners = (raw[i - width - 1] + raw[i - width + 1] + raw[i + width - 1] + raw[i + width + 1]) / 4;
      const own = colourAt(x, y);
      if (own === 1) {
        // On a green pixel red lies beside in red rows (even) and above in blue rows.
        data[3 * i] = y & 1 ? ends : sides;
        data[3 * i + 2] = y & 1 ? sides : ends;
      } else {
        data[3 * i + 1] = cross;
        data[3 * i + 2 - own] = corners;
      }
    }
  }
}
