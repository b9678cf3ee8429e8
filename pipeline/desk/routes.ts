/** What the server answers to each address. */
import type { IncomingMessage, ServerResponse } from 'node:http';
import { PlicaError } from '../errors.ts';
import { exportPattern } from '../formats/export-pattern.ts';
import { parsePattern } from '../formats/read-pattern.ts';
import { readBody } from './body.ts';
import { reportOf } from './export-report.ts';
import type { Given } from './given.ts';
import { refusalOf, SAFE_HEADERS } from './guard.ts';
import type { Job, Jobs } from './jobs.ts';
import { MAX_UPLOAD_BYTES, MAX_WORK_BYTES, safeName } from './limits.ts';
import type { PageFile } from './page-files.ts';
import { readingOfPattern } from './reading.ts';
import { checkChoices } from './work/choices.ts';

export interface Served {
  readonly files: ReadonlyMap<string, PageFile>;
  readonly given: Given | null;
  readonly jobs: Jobs;
  readonly port: number;
}

interface Call {
  readonly request: IncomingMessage;
  readonly response: ServerResponse;
  readonly query: URLSearchParams;
  /** What stands for `*` in the route's path. */
  readonly id: string;
}

type Route = (served: Served, call: Call) => Promise<void> | void;

const ROUTES: Readonly<Record<string, Route>> = {
  'GET /api/given': ({ given }, { response }) =>
    sendJson(response, given && { name: given.name, keptIn: given.keptIn }),
  'GET /api/given/file': async ({ given }, { response }) =>
    send(response, 'application/octet-stream', await needed(given).bytes()),
  'GET /api/kept': async ({ given }, { response }) => {
    const text = await needed(given).kept();
    send(response, 'application/json', text ?? 'null');
  },
  'PUT /api/kept': async ({ given }, { request, response }) => {
    const to = needed(given);
    await to.keep(textOf(await readBody(request, MAX_WORK_BYTES)));
    sendJson(response, { keptIn: to.keptIn });
  },
  'POST /api/jobs': async ({ jobs }, { request, response, query }) => {
    const choices = checkChoices(jsonOf(query.get('choices') ?? '{}'));
    const bytes = await readBody(request, MAX_UPLOAD_BYTES);
    const { id } = await jobs.add(bytes, safeName(query.get('name')), choices);
    sendJson(response, { id });
  },
  'GET /api/jobs/*/progress': ({ jobs }, { request, response, id }) =>
    sendProgress(jobNamed(jobs, id), request, response),
  'GET /api/jobs/*/reading': ({ jobs }, { response, id }) => sendJson(response, resultOf(jobs, id).reading),
  'GET /api/jobs/*/sheet': ({ jobs }, { response, id }) => send(response, 'image/jpeg', resultOf(jobs, id).sheet),
  'GET /api/jobs/*/picture': ({ jobs }, { response, id }) => send(response, 'image/jpeg', resultOf(jobs, id).picture),
  'DELETE /api/jobs/*': ({ jobs }, { response, id }) => {
    jobs.cancel(id);
    sendJson(response, null);
  },
  'POST /api/pattern': async (_, { request, response, query }) => {
    const text = textOf(await readBody(request, MAX_UPLOAD_BYTES));
    sendJson(response, readingOfPattern(parsePattern(text, safeName(query.get('name')))));
  },
  'POST /api/export': async (_, { request, response, query }) => {
    const format = query.get('format');
    if (format !== 'pdf' && format !== 'png') throw bad('this kind of file is not made here');
    const sizeMm = Number(query.get('size') ?? 150);
    if (!(sizeMm >= 5 && sizeMm <= 10_000)) throw bad('this is no size of paper');
    const paper = query.get('paper') === 'letter' ? 'letter' : 'a4';
    const title = safeName(query.get('name'));
    const { pattern } = parsePattern(textOf(await readBody(request, MAX_WORK_BYTES)), title);
    const type = format === 'pdf' ? 'application/pdf' : 'image/png';
    send(response, type, await exportPattern(pattern, format, { sizeMm, paper, title }));
  },
  'POST /api/report': async (_, { request, response }) => {
    const html = await reportOf(jsonOf(textOf(await readBody(request, MAX_WORK_BYTES))));
    // Sent as a file: nothing that is posted here may run as a page of this address.
    send(response, 'application/octet-stream', html);
  },
};

/** The server's handler of requests. */
export function answerWith(served: Served): (request: IncomingMessage, response: ServerResponse) => void {
  return (request, response) => {
    for (const [name, value] of Object.entries(SAFE_HEADERS)) response.setHeader(name, value);
    answer(served, request, response).catch((error: unknown) => tellProblem(response, error));
  };
}

async function answer(served: Served, request: IncomingMessage, response: ServerResponse): Promise<void> {
  const refusal = refusalOf(request, served.port);
  if (refusal !== null) {
    sendJson(response, { problem: refusal }, 403);
    return;
  }
  const { pathname, searchParams: query } = new URL(request.url ?? '/', 'http://127.0.0.1');
  const file = served.files.get(pathname);
  if (file && (request.method === 'GET' || request.method === 'HEAD')) {
    send(response, file.type, request.method === 'GET' ? file.bytes : '');
    return;
  }
  const parts = pathname.split('/');
  const id = parts[2] === 'jobs' ? (parts[3] ?? '') : '';
  if (id !== '') parts[3] = '*';
  const name = `${request.method} ${parts.join('/')}`;
  if (!Object.hasOwn(ROUTES, name)) {
    sendJson(response, { problem: 'there is nothing at this address' }, 404);
    return;
  }
  await ROUTES[name](served, { request, response, query, id });
}

const bad = (what: string) => new PlicaError('bad-input', what, 'reload the page');

function needed(given: Given | null): Given {
  if (!given) throw bad('no file was given');
  return given;
}

function jobNamed(jobs: Jobs, id: string): Job {
  const job = jobs.get(id);
  if (!job) throw bad('this reading is no longer known');
  return job;
}

function resultOf(jobs: Jobs, id: string) {
  const { result } = jobNamed(jobs, id);
  if (!result) throw bad('this reading is not finished');
  return result;
}

/** Progress as server-sent events (WHATWG HTML, 9.2), until the reading is over or the page is gone. */
function sendProgress(job: Job, request: IncomingMessage, response: ServerResponse): void {
  response.writeHead(200, { 'Content-Type': 'text/event-stream' });
  const stop = job.watch((progress) => {
    response.write(`data: ${JSON.stringify(progress)}\n\n`);
    if (progress.state !== 'waiting' && progress.state !== 'reading') response.end();
  });
  request.on('close', stop);
  response.on('close', stop);
}

function send(response: ServerResponse, type: string, content: string | Uint8Array, status = 200): void {
  response.writeHead(status, { 'Content-Type': type });
  response.end(content);
}

function sendJson(response: ServerResponse, value: unknown, status = 200): void {
  send(response, 'application/json', JSON.stringify(value), status);
}

function textOf(bytes: Uint8Array): string {
  return new TextDecoder().decode(bytes);
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw bad('this is not valid JSON');
  }
}

const STATUS: Partial<Record<PlicaError['code'], number>> = { 'too-large': 413, exists: 409, 'no-access': 409 };

function tellProblem(response: ServerResponse, error: unknown): void {
  if (response.headersSent) {
    response.destroy();
    return;
  }
  // What is left of a body that is too large is not waited for.
  response.setHeader('Connection', 'close');
  if (error instanceof PlicaError) {
    sendJson(response, { problem: error.message }, STATUS[error.code] ?? 400);
    return;
  }
  if (process.env.PLICA_DEBUG) console.error(error);
  const what = error instanceof Error ? error.message : String(error);
  sendJson(response, { problem: `an error inside Plica (${what}): please report it` }, 500);
}
