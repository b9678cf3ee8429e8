import type { PicturePoint } from '../../pipeline/types.ts';
import { invert } from './camera.ts';
import type { Print } from './compose.ts';
import type { Convention } from './convention.ts';
import { writeFileBytes } from './file.ts';
import type { Margins, Taken } from './kinds.ts';
import { texturePaper } from './paper.ts';
import type { Random } from './random.ts';
import { develop } from './sensor.ts';
import { shoot } from './shoot.ts';

/** Put the page on the glass of a flat-bed scanner: turned a little, on toned paper, the lid around it or the page cut by the frame. */
export async function scanPrint(
  random: Random,
  print: Print,
  convention: Convention,
  margins: Margins,
  pagePx: number,
  wide: boolean,
): Promise<Taken> {
  const { raster } = print;
  const age = random.chance(0.6) ? random.range(0, 12) : random.range(10, 40);
  const tone = [255 - 0.4 * age, 255 - 0.6 * age, 255 - 1.4 * age] as const;
  texturePaper(raster, tone, random.range(0, 5), random.range(0, 4), random.int(1, 1 << 30));
  const skew = (random.chance(0.8) ? random.normal() * 1.5 : random.range(-8, 8)) * (Math.PI / 180);
  const [cos, sin] = [Math.cos(skew), Math.sin(skew)];
  const half = Math.max(raster.width, raster.height) / 2;
  const [halfX, halfY] = [raster.width / 2, raster.height / 2];
  // Carriage and sensor pitch differ by a few parts in a thousand.
  const stretchX = (1 + random.normal() * 0.0015) / pagePx;
  const stretchY = (1 + random.normal() * 0.0015) / pagePx;
  const around = aroundPage(random, margins, Math.abs(sin));
  const width = Math.round(2 * stretchX * (halfX * cos + halfY * Math.abs(sin)) * (1 + around));
  const height = Math.round(2 * stretchY * (halfX * Math.abs(sin) + halfY * cos) * (1 + around));
  const forward = (u: number, v: number): [number, number] => [
    width / 2 + stretchX * half * (u * cos - v * sin),
    height / 2 + stretchY * half * (u * sin + v * cos),
  ];
  const map = invert(forward, width, height);
  const lid = random.weigh([
    [random.range(225, 252), 5],
    [random.range(150, 215), 2],
    [random.range(8, 40), 2],
  ]);
  const falloff = random.chance(0.5) ? random.range(0.02, 0.18) : 0;
  const fromLeft = random.chance(0.5);
  const light = shoot(
    {
      page: raster,
      pageMap: map,
      deskMap: map,
      ground: (_x, _y, out) => out.fill(lid),
      // The sheet lifts off the glass along one side.
      lightAt: (x) => 1 - falloff * Math.exp(-(fromLeft ? x : width - x) / (0.05 * width)),
      shadow: {
        x: random.normal() * 0.004,
        y: random.normal() * 0.004,
        soft: random.range(0.002, 0.012),
        depth: random.range(0.05, 0.5),
      },
    },
    width,
    height,
  );
  const exposure = random.range(0.9, 1.08);
  const blurPx = random.ratio(0.3, wide ? 1 : 0.8);
  const developed = develop(light, {
    gain: [exposure, exposure, exposure],
    blurPx,
    smearX: 0,
    smearY: 0,
    shotNoise: random.ratio(0.002, 0.03),
    darkNoise: random.ratio(0.0005, 0.004),
    blotch: random.range(0, 0.3),
    contrast: random.range(0, 0.4),
    sharpen: random.chance(0.5) ? random.range(0.2, 1) : 0,
    seed: random.int(1, 1 << 30),
  });
  const format = random.chance(0.75) ? 'jpeg' : 'png';
  const quality = random.int(68, 94);
  // Only where colour carries no meaning.
  const grey = convention.name !== 'two-colours' && convention.name !== 'dashes-two-inks' && random.chance(0.35);
  const toPixels = ([x, y]: PicturePoint): PicturePoint => forward((x - halfX) / half, (y - halfY) / half);
  return {
    image: await writeFileBytes(developed, { format, quality, thinColour: random.chance(0.8), grey }),
    format,
    corners: print.corners.map(toPixels),
    convention,
    notes: {
      ...print.notes,
      skewDegrees: Math.round((skew * 1800) / Math.PI) / 10,
      blurPx: Math.round(100 * blurPx) / 100,
      quality,
      grey,
    },
  };
}

/** How much wider than the page the picture is; below 0 the page is cut, but never the pattern, even when it is turned. */
function aroundPage(random: Random, margins: Margins, turn: number): number {
  const least = Math.min(margins.left, margins.top, margins.right, margins.bottom);
  if (least === 0) return random.range(0.02, 0.12);
  const spare = (2 * (least - turn)) / (1 + 2 * least);
  return spare > 0.02 && random.chance(0.4) ? -0.8 * spare * random.next() : random.range(0, 0.06);
}
