import { CAUTIONS } from '../../formats/cautions.ts';
import { toDxf } from '../../formats/dxf.ts';
import { foldText, toFold } from '../../formats/fold.ts';
import { toSvg } from '../../formats/svg.ts';
import type { Evidence, Pattern } from '../../types.ts';
import { drawnEvidence } from '../work/draft.ts';
import { stateNow } from '../work/history.ts';
import type { DeskState, ReportRequest } from '../work/work.ts';
import { base64Of } from './beside.ts';
import { type Dialog, makeDialog } from './dialog.ts';
import { el, show } from './el.ts';
import { makeFile, makeReportPage } from './server.ts';
import type { Deskful, Store } from './store.ts';

const FORMATS = [
  ['fold', 'FOLD', 'The exact pattern, for folding simulators and design programs'],
  ['svg', 'SVG', 'A drawing in millimetres, for drawing programs, cutters and plotters'],
  ['pdf', 'PDF', 'At its true size, for printing; on several pages if it is large'],
  ['png', 'PNG', 'A picture, for messages and web pages'],
  ['dxf', 'DXF', 'Lines in layers, for cutting and scoring machines'],
  ['report', 'Report', 'A page with the picture, the pattern over it and what is still in doubt'],
] as const;
type Format = (typeof FORMATS)[number][0];

const USUAL_SIZE_MM = 150;

export function makeExportDialog(store: Store): Dialog {
  const dialog = makeDialog('Save a copy as');
  const size = el('input', {
    id: 'export-size',
    type: 'number',
    min: 5,
    max: 10000,
    step: 1,
    value: USUAL_SIZE_MM,
    inputmode: 'numeric',
  });
  const paper = el('select', { id: 'export-paper' }, [
    el('option', { value: 'a4', text: 'A4' }),
    el('option', { value: 'letter', text: 'US Letter' }),
  ]);
  const problem = el('p', { class: 'problem', role: 'alert' });
  show(problem, false);
  const buttons = FORMATS.map(([format, name, use]) =>
    el('button', { type: 'button', class: 'format', 'data-format': format, on: { click: () => void save(format) } }, [
      el('strong', { text: name }),
      el('span', { class: 'quiet', text: use }),
    ]),
  );
  const save = async (format: Format): Promise<void> => {
    const { desk } = store.get();
    if (!desk) return;
    show(problem, false);
    try {
      const sizeMm = Number(size.value);
      if (!(sizeMm >= 5 && sizeMm <= 10_000)) throw new Error('Give a size from 5 to 10,000 millimetres.');
      download(await contentOf(desk, format, sizeMm, paper.value), fileName(desk.history.work.name, format));
    } catch (error) {
      problem.textContent = error instanceof Error ? error.message : String(error);
      show(problem, true);
    }
  };
  dialog.body.append(
    el('div', { class: 'fields' }, [
      el('label', { for: 'export-size', text: 'Longest side of the sheet, mm' }),
      size,
      el('label', { for: 'export-paper', text: 'Paper in the printer, for PDF' }),
      paper,
    ]),
    el('div', { class: 'formats' }, buttons),
    problem,
    el('details', { open: true }, [
      el('summary', { text: 'Before you cut or score' }),
      el(
        'ul',
        { class: 'quiet' },
        CAUTIONS.map((text) => el('li', { text })),
      ),
    ]),
  );
  const report = buttons.find(({ dataset }) => dataset.format === 'report')!;
  return {
    ...dialog,
    open() {
      const { desk } = store.get();
      // A pattern that came as a file has no picture to report on.
      report.disabled = !desk?.images[stateNow(desk.history).reading];
      show(problem, false);
      dialog.open();
    },
  };
}

async function contentOf(desk: Deskful, format: Format, sizeMm: number, paper: string): Promise<Blob> {
  const state = stateNow(desk.history);
  const title = desk.history.work.name;
  switch (format) {
    case 'fold':
      return new Blob([foldOf(desk, state)], { type: 'application/json' });
    case 'svg':
      return new Blob([toSvg(state.pattern, { sizeMm, title })], { type: 'image/svg+xml' });
    case 'dxf':
      return new Blob([toDxf(state.pattern, { sizeMm })], { type: 'image/vnd.dxf' });
    case 'pdf':
    case 'png':
      return makeFile(foldText(toFold(state.pattern)), { format, size: String(sizeMm), paper, name: title });
    case 'report':
      return makeReportPage(await reportRequest(desk, state));
  }
}

/** With odds where there are any: those of a picture, and certainty where a person decided. */
function foldOf({ history }: Deskful, { pattern, evidence, reading }: DeskState): string {
  const { picture } = history.work.readings[reading];
  if (!picture) return foldText(toFold(pattern));
  const recovery = { pattern, evidence: decided(pattern, evidence), picture: { name: history.work.name } };
  return foldText(toFold(recovery as unknown as Parameters<typeof toFold>[0]));
}

function decided({ creases }: Pattern, evidence: readonly Evidence[]): Evidence[] {
  return evidence.map((one, c) =>
    one.origin === 'edited' ? { ...one, odds: drawnEvidence(creases[c].kind).odds } : one,
  );
}

async function reportRequest({ history, images, laws }: Deskful, state: DeskState): Promise<string> {
  const request: ReportRequest = {
    name: history.work.name,
    reading: history.work.readings[state.reading],
    state: { ...state, evidence: decided(state.pattern, state.evidence) },
    laws,
    sheet: await base64Of(images[state.reading]!.sheet),
  };
  return JSON.stringify(request);
}

function fileName(name: string, format: Format): string {
  const stem = name.replace(/\.[^.]+$/, '') || 'pattern';
  return format === 'report' ? `${stem}.report.html` : `${stem}.${format}`;
}

function download(content: Blob, name: string): void {
  const address = URL.createObjectURL(content);
  const link = el('a', { href: address, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
