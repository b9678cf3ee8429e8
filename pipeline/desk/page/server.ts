/** What the page asks of the desk's server. */
import type { JobProgress, Reading, ReadingChoices } from '../work/work.ts';

/** The server says no, in words for a person; or it is gone. */
export class ServerProblem extends Error {
  constructor(
    message: string,
    readonly gone: boolean,
  ) {
    super(message);
    this.name = 'ServerProblem';
  }
}

const GONE = 'The desk has been stopped. Your work is kept in this browser: start the desk again and reload the page.';

async function call(path: string, options: RequestInit = {}): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, options);
  } catch {
    throw new ServerProblem(GONE, true);
  }
  if (response.ok) return response;
  const answer: unknown = await response.json().catch(() => null);
  const known = typeof answer === 'object' && answer !== null && 'problem' in answer ? String(answer.problem) : null;
  throw new ServerProblem(known ?? `The server answered ${response.status}.`, false);
}

const withName = (path: string, values: Readonly<Record<string, string>>) => `${path}?${new URLSearchParams(values)}`;

export interface GivenFile {
  readonly name: string;
  readonly keptIn: string;
}

export const askGiven = async (): Promise<GivenFile | null> => (await call('/api/given')).json();
export const givenFile = async (): Promise<Blob> => (await call('/api/given/file')).blob();
export const keptBeside = async (): Promise<string> => (await call('/api/kept')).text();
export const keepBeside = (text: string) => call('/api/kept', { method: 'PUT', body: text });

export async function startJob(file: Blob, name: string, choices: ReadingChoices): Promise<string> {
  const path = withName('/api/jobs', { name, choices: JSON.stringify(choices) });
  const { id } = (await (await call(path, { method: 'POST', body: file })).json()) as { id: string };
  return id;
}

/** Tells the progress of a job until it is over. */
export function watchJob(id: string, tell: (progress: JobProgress) => void): Promise<JobProgress> {
  return new Promise((resolve, reject) => {
    const source = new EventSource(`/api/jobs/${id}/progress`);
    source.onmessage = ({ data }) => {
      const progress = JSON.parse(data) as JobProgress;
      tell(progress);
      if (progress.state === 'waiting' || progress.state === 'reading') return;
      source.close();
      resolve(progress);
    };
    source.onerror = () => {
      source.close();
      reject(new ServerProblem(GONE, true));
    };
  });
}

export const cancelJob = (id: string) => call(`/api/jobs/${id}`, { method: 'DELETE' });

export async function jobResult(id: string): Promise<{ reading: Reading; sheet: Blob; picture: Blob }> {
  const [reading, sheet, picture] = await Promise.all(
    ['reading', 'sheet', 'picture'].map((part) => call(`/api/jobs/${id}/${part}`)),
  );
  return { reading: await reading.json(), sheet: await sheet.blob(), picture: await picture.blob() };
}

export async function readPatternFile(file: Blob, name: string): Promise<Reading> {
  return (await call(withName('/api/pattern', { name }), { method: 'POST', body: file })).json();
}

export async function makeFile(
  foldText: string,
  values: { readonly format: 'pdf' | 'png'; readonly size: string; readonly paper: string; readonly name: string },
): Promise<Blob> {
  return (await call(withName('/api/export', values), { method: 'POST', body: foldText })).blob();
}

export async function makeReportPage(request: string): Promise<Blob> {
  return (await call('/api/report', { method: 'POST', body: request })).blob();
}

export async function isServerThere(): Promise<boolean> {
  return call('/api/given').then(
    () => true,
    () => false,
  );
}
