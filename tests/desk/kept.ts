/** A picture with the desk's work beside it: a reading with doubts that are known, over a sheet that is drawn here. */
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import type { Reading, Work } from '../../pipeline/desk/work/work.ts';
import { toPng } from '../../pipeline/formats/png.ts';
import type { Doubt, Pattern } from '../../pipeline/types.ts';
import { readingWith, squareLattice, workWith } from './readings.ts';

const SIDE_PX = 640;
/** `toPng` draws a margin of 5 mm around a sheet of 150 mm. */
const PX_PER_UNIT = (SIDE_PX * 150) / 160;
const MARGIN_PX = (SIDE_PX - PX_PER_UNIT) / 2;

/** @returns the path of the picture */
export async function putKept(
  folder: string,
  name: string,
  pattern: Pattern,
  doubts: readonly Partial<Doubt>[],
): Promise<string> {
  await mkdir(folder, { recursive: true });
  const picture = await toPng(pattern, { sidePx: SIDE_PX });
  const jpeg = (await sharp(picture).jpeg().toBuffer()).toString('base64');
  const corners = [
    [MARGIN_PX, SIDE_PX - MARGIN_PX],
    [SIDE_PX - MARGIN_PX, SIDE_PX - MARGIN_PX],
    [SIDE_PX - MARGIN_PX, MARGIN_PX],
    [MARGIN_PX, MARGIN_PX],
  ] as const;
  const reading: Reading = {
    ...readingWith({ ...pattern, lattice: squareLattice(8) }, doubts),
    sheet: {
      pxPerUnit: PX_PER_UNIT,
      originPx: [MARGIN_PX, SIDE_PX - MARGIN_PX],
      width: 1,
      height: 1,
      widthPx: SIDE_PX,
      heightPx: SIDE_PX,
      polygon: [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ],
    },
    outline: { corners, how: 'drawn-border', width: 1, height: 1, probability: 0.9, assumed: ['the sheet is square'] },
    legend: [
      { kind: 'M', colour: '#d55e00', rhythm: 'dashdot', width: 2, count: 2, why: 'notation', probability: 0.98 },
      { kind: 'V', colour: '#0072b2', rhythm: 'dashed', width: 2, count: 4, why: 'notation', probability: 0.98 },
    ],
    picture: { name, format: 'png', fullWidth: SIDE_PX, fullHeight: SIDE_PX },
  };
  const work: Work = { ...workWith(reading), id: 'kept-work', name };
  const path = join(folder, name);
  await writeFile(path, picture);
  await writeFile(
    `${path}.desk.json`,
    JSON.stringify({ 'plica-desk': 1, work, images: [{ sheet: jpeg, picture: jpeg }] }),
  );
  return path;
}
