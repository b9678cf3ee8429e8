import type { PicturePoint } from '../../pipeline/types.ts';
import { framed, invert, type Point3, surfaceOf, toPicture, toPlane, turnOf } from './camera.ts';
import { composePage, printPage } from './compose.ts';
import { drawConvention } from './convention.ts';
import { rimOf } from './deskPhoto.ts';
import { writeFileBytes } from './file.ts';
import { addGlare } from './glare.ts';
import type { Recipe } from './kinds.ts';
import { shortCreaseOf } from './page.ts';
import { drawGround } from './paper.ts';
import type { Random } from './random.ts';
import { demosaic, develop, drawSensor } from './sensor.ts';
import { shoot } from './shoot.ts';
import { windowMargins, windowMarks } from './window.ts';

const DEGREE = Math.PI / 180;
/** Screen px for a short crease. */
const READABLE = 7;

/** A photograph of a display: the drawing in screen pixels, seen again in camera pixels, which beat against them. */
export const screen: Recipe = async (random, pattern, wide) => {
  const shortCrease = shortCreaseOf(pattern);
  // One page px is one screen px here.
  const sidePx = Math.max(random.range(520, 1150), READABLE / shortCrease);
  const margins = windowMargins(random);
  const camera = { perScreenPx: random.range(1.25, 2.6) };
  const convention = drawConvention(random.branch('convention'), {
    shortCrease: shortCrease * sidePx,
    thinnest: 1,
    widest: 4,
    dark: random.chance(0.18),
    edgeMayBeBare: false,
  });
  const window = random.branch('window');
  const page = composePage(random, pattern, {
    sidePx,
    pagePx: 1,
    margins,
    convention,
    furniture: random.chance(0.2),
    guideGrid: random.chance(0.06),
    under: ({ width, height, at }) => windowMarks(window, width, height, at, convention.ground, true),
  });
  const print = await printPage(random.branch('route'), page);
  const { raster } = print;
  const half = Math.max(raster.width, raster.height) / 2;
  const toUnits = ([x, y]: PicturePoint): [number, number] => [
    (x - raster.width / 2) / half,
    (y - raster.height / 2) / half,
  ];
  const fill = random.range(0.72, 0.95);
  const [width, height] = pictureSize(random, (sidePx * camera.perScreenPx) / fill);
  const tiltRad =
    random.weigh([
      [random.range(0, 8), 4],
      [random.range(6, 25), 3],
      [random.range(20, wide ? 36 : 32), 1],
    ]) * DEGREE;
  const surface = surfaceOf(null);
  const rim = rimOf(print.corners).map((point): Point3 => surface(...toUnits(point)));
  const eye = framed(
    turnOf(tiltRad, random.range(0, 2 * Math.PI), random.normal() * 3 * DEGREE),
    random.range(2.6, 6),
    { k1: random.normal() * 0.02, k2: 0 },
    { width, height },
    rim,
    fill,
    random.range(-0.6, 0.6),
    random.range(-0.6, 0.6),
  );
  const seen = (point: Point3): [number, number] => toPicture(eye, toPlane(eye, point));
  const map = invert((u, v) => seen(surface(u, v)), width, height);
  const ground = drawGround(random.branch('ground'));
  const stripes = random.chance(0.85);
  const bands = {
    depth: random.chance(0.45) ? random.range(0.03, 0.14) : 0,
    count: random.range(1.5, 8),
    phase: random.range(0, 6.3),
  };
  const vignette = random.range(0, 0.3);
  const light = shoot(
    {
      page: raster,
      pageMap: map,
      deskMap: map,
      ground: ground.colourAt,
      // The display outshines the room.
      lightAt: (x, y, onPage) => {
        const [dx, dy] = [x / width - 0.5, y / height - 0.5];
        const band = 1 + bands.depth * Math.sin((2 * Math.PI * bands.count * y) / height + bands.phase);
        return (onPage ? band : 0.35) * (1 - vignette * 2 * (dx * dx + dy * dy));
      },
      shadow: { x: 0, y: 0, soft: 0.02, depth: 0.5 },
      pixelGrid: {
        stripes,
        fillX: random.range(0.72, 0.92),
        fillY: random.range(0.75, 0.95),
        lensPx: random.range(1.15, 2.1),
      },
    },
    width,
    height,
  );
  const glare = addGlare(random.branch('glare'), light);
  demosaic(light);
  const sensor = drawSensor(random.branch('sensor'), 0.8);
  const [red, green, blue] = sensor.gain;
  const quality = random.int(70, 94);
  const image = await writeFileBytes(develop(light, { ...sensor, gain: [0.96 * red, green, 1.05 * blue] }), {
    format: 'jpeg',
    quality,
    thinColour: true,
  });
  return {
    image,
    format: 'jpeg',
    corners: print.corners.map((corner): PicturePoint => seen(surface(...toUnits(corner)))),
    convention,
    notes: {
      ...print.notes,
      dark: convention.ground[0] < 128,
      stripes,
      banding: bands.depth > 0,
      glare,
      cameraPxPerScreenPx: Math.round(100 * camera.perScreenPx) / 100,
      tiltDegrees: Math.round(tiltRad / DEGREE),
      quality,
      megapixels: Math.round((width * height) / 1e5) / 10,
    },
  };
};

function pictureSize(random: Random, longest: number): [number, number] {
  const shape = random.pick([4 / 3, 3 / 4, 16 / 9, 1]);
  // The pattern must fit the shorter side.
  const [width, height] = shape >= 1 ? [longest * shape, longest] : [longest, longest / shape];
  const most = 4000 / Math.max(width, height);
  const cut = Math.min(1, most);
  return [Math.round(width * cut), Math.round(height * cut)];
}
