import type { PicturePoint } from '../../pipeline/types.ts';
import type { Bend, Point3 } from './camera.ts';
import { framed, invert, surfaceOf, toPicture, toPlane, turnOf } from './camera.ts';
import type { Print } from './compose.ts';
import type { Convention } from './convention.ts';
import { writeFileBytes } from './file.ts';
import type { Taken } from './kinds.ts';
import { drawLight } from './lamp.ts';
import { strewObjects } from './objects.ts';
import { drawGround, texturePaper } from './paper.ts';
import type { Random } from './random.ts';
import { demosaic, develop, drawSensor } from './sensor.ts';
import { shoot } from './shoot.ts';

const DEGREE = Math.PI / 180;

export interface View {
  readonly width: number;
  readonly height: number;
  /** Share of the picture that the pattern takes. */
  readonly fill: number;
  readonly bend: Bend | null;
  readonly tiltRad: number;
  readonly rollRad: number;
  /** 1 is an ordinary bad day for blur and noise. */
  readonly harsh: number;
}

/** No more than this, px: about 13 megapixels. */
const LONGEST = 4200;

/** The view people have of a sheet on a desk: mostly from above, sometimes from far aside, held straight or not. The pattern's side is `leastSide` px at least. */
export function drawView(random: Random, wide: boolean, leastSide: number): Omit<View, 'bend'> {
  const fill = random.range(0.72, 0.97);
  const longest = random.weigh([
    [random.range(1500, 2600), 6],
    [random.range(2600, 3500), 3],
    [4000, 1],
  ]);
  const shape = random.pick([3 / 4, 4 / 3, 1, 16 / 9, 9 / 16, 3 / 4]);
  const long = Math.min(LONGEST, Math.max(longest, leastSide / fill / Math.min(shape, 1 / shape)));
  const tilt = random.weigh([
    [random.range(0, 10), 3],
    [random.range(8, 25), 4],
    [random.range(20, wide ? 42 : 36), 2],
  ]);
  const roll = random.chance(0.75) ? random.normal() * 4 : random.range(-25, 25);
  return {
    width: Math.round(shape >= 1 ? long : long * shape),
    height: Math.round(shape >= 1 ? long / shape : long),
    fill,
    tiltRad: tilt * DEGREE,
    rollRad: roll * DEGREE,
    harsh: wide ? 1.15 : 1,
  };
}

/** The curl of a page: one broad wave, and sometimes a steeper one as near a book's spine. */
export function drawBend(random: Random, wide: boolean): Bend {
  const strength = random.range(0.12, wide ? 0.75 : 0.6);
  const terms: [number, number, number][] = [[strength, random.range(0.25, 0.9), random.range(0, 2 * Math.PI)]];
  if (random.chance(0.4)) {
    terms.push([strength * random.range(0.3, 0.8), random.range(1, 1.8), random.range(0, 2 * Math.PI)]);
  }
  const along = random.chance(0.6) ? random.pick([0, Math.PI / 2]) + random.normal() * 0.12 : random.range(0, Math.PI);
  return { alongRad: along, terms };
}

/** Lay the page on a desk, light it, and take its picture. The print's raster is used up. */
export async function photograph(random: Random, print: Print, convention: Convention, view: View): Promise<Taken> {
  const { raster } = print;
  const dull = random.range(0, 14);
  const tone = [255 - dull, 255 - dull * random.range(0.8, 1.3), 255 - dull * random.range(0.9, 2.5)] as const;
  texturePaper(raster, tone, random.range(0, 3), random.range(0, 3), random.int(1, 1 << 30));
  const half = Math.max(raster.width, raster.height) / 2;
  const toUnits = ([x, y]: PicturePoint): [number, number] => [
    (x - raster.width / 2) / half,
    (y - raster.height / 2) / half,
  ];
  const surface = surfaceOf(view.bend);
  const turn = turnOf(view.tiltRad, random.range(0, 2 * Math.PI), view.rollRad);
  const distance = random.range(2.6, 6.5);
  const lens = { k1: random.normal() * 0.025, k2: random.normal() * 0.006 };
  const rim = rimOf(print.corners).map((point): Point3 => surface(...toUnits(point)));
  const camera = framed(turn, distance, lens, view, rim, view.fill, random.range(-0.9, 0.9), random.range(-0.9, 0.9));
  const seen = (point: Point3): [number, number] => toPicture(camera, toPlane(camera, point));
  const pageMap = invert((u, v) => seen(surface(u, v)), view.width, view.height);
  const deskMap = view.bend ? invert((u, v) => seen({ x: u, y: v, z: 0 }), view.width, view.height) : pageMap;
  const ground = drawGround(random.branch('ground'));
  const lamp = drawLight(random.branch('light'), view.width, view.height, surface);
  const light = shoot(
    {
      page: raster,
      pageMap,
      deskMap,
      ground: ground.colourAt,
      lightAt: lamp.gainAt,
      shadow: {
        x: random.normal() * 0.02,
        y: random.normal() * 0.02,
        soft: random.range(0.008, 0.06),
        depth: random.range(0.15, 0.6),
      },
    },
    view.width,
    view.height,
  );
  const objects = strewObjects(random.branch('objects'), light, rim.map(seen));
  const sensor = drawSensor(random.branch('sensor'), view.harsh);
  if (random.chance(0.5)) demosaic(light);
  const quality = random.int(72, 95);
  // A telephone held sideways says so in the file and leaves the pixels as they came.
  const quarterTurns = random.weigh([
    [0, 8],
    [1, 1],
    [3, 1],
    [2, 0.3],
  ] as const);
  return {
    image: await writeFileBytes(develop(light, sensor), { format: 'jpeg', quality, thinColour: true, quarterTurns }),
    format: 'jpeg',
    corners: print.corners.map((corner): PicturePoint => seen(surface(...toUnits(corner)))),
    convention,
    notes: {
      ...print.notes,
      subkind: view.bend ? 'curled' : 'flat',
      ground: ground.name,
      objects,
      tiltDegrees: Math.round(view.tiltRad / DEGREE),
      rollDegrees: Math.round(view.rollRad / DEGREE),
      blurPx: Math.round(100 * sensor.blurPx) / 100,
      quality,
      quarterTurns,
      megapixels: Math.round((view.width * view.height) / 1e5) / 10,
    },
  };
}

/** Points along the outline: on a bent page the corners alone do not bound it. */
export function rimOf(corners: readonly PicturePoint[]): PicturePoint[] {
  const rim: PicturePoint[] = [];
  corners.forEach((a, i) => {
    const b = corners[(i + 1) % corners.length];
    for (let s = 0; s < 8; s++) rim.push([a[0] + ((b[0] - a[0]) * s) / 8, a[1] + ((b[1] - a[1]) * s) / 8]);
  });
  return rim;
}
