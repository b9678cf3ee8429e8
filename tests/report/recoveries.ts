import type {
  BrokenLaw,
  Doubt,
  DoubtCode,
  Evidence,
  KindOfOdds,
  LawName,
  PaperPoint,
  PicturePoint,
  Raster,
  Recovery,
} from '../../pipeline/types.ts';
import { SQUARE } from '../formats/patterns.ts';
import { sheetWith } from '../unit-sheet.ts';

/** Every code there is; a compiler error where one is missing. */
const DOUBT_CODES: Record<DoubtCode, true> = {
  'kind-unclear': true,
  'kind-conflict': true,
  'crease-faint': true,
  'crease-missing': true,
  'end-dangling': true,
  'off-lattice': true,
  'kind-changes': true,
  'convention-unknown': true,
  'mountain-valley-swap': true,
  'outline-assumed': true,
  'stray-ink': true,
  'too-close': true,
  'law-broken': true,
  'vertex-split': true,
  'place-unsure': true,
};
const LAW_NAMES: Record<LawName, true> = {
  planar: true,
  'closed-outline': true,
  'even-degree': true,
  kawasaki: true,
  maekawa: true,
  'big-little-big': true,
  crimp: true,
  'loop-closure': true,
  'layer-order': true,
};
export const ALL_DOUBTS = Object.keys(DOUBT_CODES) as DoubtCode[];
export const ALL_LAWS = Object.keys(LAW_NAMES) as LawName[];

const PX_PER_UNIT = 400;
const MARGIN = 20;

/** A grey sheet with a dark cross: something to see in cut-outs. */
function sheetRaster(): Raster<Uint8Array> {
  const side = PX_PER_UNIT + 2 * MARGIN;
  const data = new Uint8Array(side * side * 3).fill(235);
  for (let i = 0; i < side; i++) {
    for (const at of [i * side + i, i * side + (side - 1 - i)]) data.fill(60, at * 3, at * 3 + 3);
  }
  return { width: side, height: side, channels: 3, data };
}

function evidenceOf(kind: string): Evidence {
  const by: Partial<Record<string, KindOfOdds>> = { B: 'edge', M: 'mountain', V: 'valley', F: 'guide' };
  const odds = { mountain: 0.02, valley: 0.02, edge: 0.02, guide: 0.02, absent: 0.02 };
  odds[by[kind] ?? 'mountain'] = 0.92;
  return { odds, coverage: 0.98, residual: 0.0007, origin: 'seen' };
}

/** A recovery with one doubt of every code and one broken law of every name, over the SQUARE pattern. */
export function fullRecovery(changes: Partial<Recovery> = {}): Recovery {
  const raster = sheetRaster();
  const pattern = {
    ...SQUARE,
    lattice: { kind: 'square', divisionsX: 8, divisionsY: 8, halfUnits: true, residual: 0.0006, fit: 0.97 },
  } as const;
  const corners: PicturePoint[] = [
    [40, 840],
    [840, 840],
    [840, 40],
    [40, 40],
  ];
  const outline = {
    corners,
    how: 'drawn-border',
    width: 1,
    height: 1,
    probability: 0.96,
    assumed: ['the sheet is square'],
  } as const;
  return {
    pattern,
    evidence: pattern.creases.map(({ kind }) => evidenceOf(kind)),
    outline,
    legend: [
      {
        kind: 'M',
        colour: '#d02020',
        rhythm: 'solid',
        width: 3.1,
        count: 2,
        why: 'custom: red is mountain',
        probability: 0.9,
      },
      {
        kind: 'V',
        colour: '#2020d0',
        rhythm: 'solid',
        width: 3.1,
        count: 1,
        why: 'custom: blue is valley',
        probability: 0.9,
      },
    ],
    doubts: ALL_DOUBTS.map(
      (what, i): Doubt => ({
        what,
        ...(i % 3 === 0 ? { crease: 5 + (i % 5) } : i % 3 === 1 ? { vertex: 4 } : {}),
        at: [0.1 + 0.06 * i, 0.3 + 0.03 * i],
        atPicture: [100 + 30 * i, 500 - 20 * i],
        facts: {},
        probability: 0.95 - 0.06 * i,
        instead: i % 2 ? 'valley' : i % 4 ? 'absent' : null,
      }),
    ),
    laws: ALL_LAWS.map((law): BrokenLaw => ({ law, vertex: 4, creases: [5, 6], at: [0.5, 0.5], amount: -2 })),
    guideGrid: { divisionsX: 16, divisionsY: 16 },
    timings: { intake: 80.5, rectify: 210, strokes: 300 },
    sheet: {
      ...sheetWith(PX_PER_UNIT, MARGIN, raster),
      toPicture: (p: PaperPoint): PicturePoint => [p[0] * 2, p[1] * 2],
      outline,
    },
    picture: { raster, name: 'my "crane" <1> & co.jpg', format: 'jpeg', fullWidth: 880, fullHeight: 880, scale: 0.5 },
    ...changes,
  };
}
