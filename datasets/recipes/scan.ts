import type { PicturePoint } from '../../pipeline/types.ts';
import { invert } from './camera.ts';
import { composePage, drawPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import { writeFileBytes } from './file.ts';
import type { Recipe } from './kinds.ts';
import { drawMargins, isTight } from './kinds.ts';
import { shortCreaseOf } from './page.ts';
import { texturePaper } from './paper.ts';
import { develop } from './sensor.ts';
import { shoot } from './shoot.ts';

/** Fewer px than this for a short crease and no person could read the scan. */
const READABLE = 9;

/** A sheet on a flat-bed scanner: turned a little, on toned paper, with the lid around it. */
export const scan: Recipe = async (random, pattern, wide) => {
  const margins = drawMargins(random, 0.12);
  const shortCrease = shortCreaseOf(pattern);
  const dpi = random.weigh([
    [150, 4],
    [200, 3],
    [300, 4],
    [600, 0.5],
  ]);
  // Printed sides between 10 cm and 20 cm.
  const sidePx = Math.min(4200, Math.max((random.range(10, 20) / 2.54) * dpi, READABLE / shortCrease));
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCrease * sidePx,
    widest: Math.min(12, 0.009 * sidePx),
    dark: false,
    edgeMayBeBare: isTight(margins),
  });
  const pagePx = random.range(1, 1.3);
  const page = composePage(random, pattern, {
    sidePx: sidePx * pagePx,
    pagePx,
    margins,
    convention,
    furniture: random.chance(0.5),
    guideGrid: random.chance(0.08),
  });
  const { raster, route } = await drawPage(random.branch('route'), page.drawing);
  const age = random.chance(0.6) ? random.range(0, 12) : random.range(10, 40);
  texturePaper(
    raster,
    [255 - 0.4 * age, 255 - 0.6 * age, 255 - 1.4 * age],
    random.range(0, 5),
    random.range(0, 4),
    random.int(1, 1 << 30),
  );
  const skew = (random.chance(0.8) ? random.normal() * 1.5 : random.range(-8, 8)) * (Math.PI / 180);
  const [cos, sin] = [Math.cos(skew), Math.sin(skew)];
  const half = Math.max(raster.width, raster.height) / 2;
  const [halfX, halfY] = [raster.width / 2, raster.height / 2];
  const around = isTight(margins) ? random.range(0.02, 0.12) : random.range(0, 0.06);
  // Carriage and sensor pitch differ by a few parts in a thousand.
  const stretchX = (1 + random.normal() * 0.0015) / pagePx;
  const stretchY = (1 + random.normal() * 0.0015) / pagePx;
  const width = Math.round(2 * (stretchX * (halfX * Math.abs(cos) + halfY * Math.abs(sin)) * (1 + around)));
  const height = Math.round(2 * (stretchY * (halfX * Math.abs(sin) + halfY * Math.abs(cos)) * (1 + around)));
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
  const darkSide = random.chance(0.5) ? 1 : -1;
  const light = shoot(
    {
      page: raster,
      pageMap: map,
      deskMap: map,
      ground: (_x, _y, out) => out.fill(lid),
      lightAt: (x) => 1 - falloff * Math.exp(-(darkSide > 0 ? x : width - x) / (0.05 * width)),
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
  const developed = develop(light, {
    gain: [exposure, exposure, exposure],
    blurPx: random.ratio(0.3, wide ? 1 : 0.8),
    smearX: 0,
    smearY: 0,
    shotNoise: random.ratio(0.002, 0.03),
    darkNoise: random.ratio(0.0005, 0.004),
    blotch: random.range(0, 0.3),
    contrast: random.range(0, 0.4),
    sharpen: random.chance(0.5) ? random.range(0.2, 1) : 0,
    seed: random.int(1, 1 << 30),
  });
  const format = random.chance(0.75) ? ('jpeg' as const) : ('png' as const);
  const quality = random.int(68, 94);
  const toPixels = ([x, y]: PicturePoint): PicturePoint => forward((x - halfX) / half, (y - halfY) / half);
  return {
    image: await writeFileBytes(developed, { format, quality, thinColour: random.chance(0.8) }),
    format,
    corners: page.corners.map(toPixels),
    convention,
    notes: {
      ...page.notes,
      route,
      dpi,
      skewDegrees: Math.round((skew * 1800) / Math.PI) / 10,
      quality,
      tight: isTight(margins),
    },
  };
};
