import sharp from 'sharp';
import { PlicaError } from '../errors.ts';
import { reportHtml } from '../report/html.ts';
import { makeReport } from '../report/report.ts';
import type { Recovery } from '../types.ts';
import { briefVerdict } from '../validity/brief.ts';
import type { ReportRequest } from './work/work.ts';

/** A sheet is straightened to about 2600 px a side. */
const MOST_SHEET_PIXELS = 4000 * 4000;

/**
 * The report page of a pattern as it stands on the desk, with the verdict on the whole sheet.
 *
 * @throws PlicaError `bad-input` for anything that the page would not send
 */
export async function reportOf(value: unknown): Promise<string> {
  try {
    const request = value as ReportRequest;
    const recovery = await recoveryOf(request);
    return await reportHtml(recovery, makeReport(recovery));
  } catch {
    throw new PlicaError('bad-input', 'the report cannot be made of this', 'reload the page and try again');
  }
}

async function recoveryOf({ name, reading, state, laws, sheet }: ReportRequest): Promise<Recovery> {
  const { data, info } = await sharp(Buffer.from(sheet, 'base64'), { limitInputPixels: MOST_SHEET_PIXELS })
    .toColourspace('srgb')
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const raster = { width: info.width, height: info.height, channels: info.channels, data };
  const outline = reading.outline!;
  const facts = reading.picture!;
  return {
    pattern: state.pattern,
    evidence: state.evidence,
    doubts: state.doubts.filter(({ settled }) => !settled),
    ...(await briefVerdict(state.pattern, laws)),
    outline,
    legend: reading.legend,
    guideGrid: reading.guideGrid,
    timings: reading.timings,
    sheet: { ...reading.sheet!, raster, outline, toPicture: (p) => [p[0], p[1]] },
    picture: { ...facts, name, raster, scale: 1 },
  };
}
