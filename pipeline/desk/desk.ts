/** The desk: one local page to check and mend a recovered pattern. */
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type Given, openGiven } from './given.ts';
import { makeJobs } from './jobs.ts';
import { readPageFiles } from './page-files.ts';
import { PAGE_FOLDER } from './places.ts';
import { answerWith } from './routes.ts';

export interface OpenDeskOptions {
  /** Picture or pattern to open; work on it is kept beside it. */
  readonly file?: string;
  /** Port that is tried first; 0 for any. Where it is taken, any free one is used. */
  readonly port?: number;
  /** Folder of the built page; default: where the build puts it. */
  readonly page?: string;
}

export interface Desk {
  /** Where the page is, such as http://127.0.0.1:7542/. */
  readonly address: string;
  readonly given: Given | null;
  /** Stops work that is going on and closes every connection. */
  readonly close: () => Promise<void>;
}

/** The keys P L I C of a telephone. One port from day to day lets the browser find what it keeps for the page. */
const USUAL_PORT = 7542;
/** Nothing outside this computer reaches it. */
const LOOPBACK = '127.0.0.1';

/**
 * Opens the desk: a server on the loopback address alone, which serves the page, reads pictures in a process of its own,
 * one after the other, and keeps the work on `file` beside it.
 *
 * @throws PlicaError where the file cannot be read or the page has not been built
 */
export async function openDesk(options: OpenDeskOptions = {}): Promise<Desk> {
  const { file, port = USUAL_PORT, page = PAGE_FOLDER } = options;
  const given = file === undefined ? null : await openGiven(file);
  const files = await readPageFiles(page);
  const jobs = makeJobs();
  const server = createServer();
  const actual = await listen(server, port).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'EADDRINUSE' || error.code === 'EACCES') return listen(server, 0);
    throw error;
  });
  server.on('request', answerWith({ files, given, jobs, port: actual }));
  return {
    address: `http://${LOOPBACK}:${actual}/`,
    given,
    close: async () => {
      await jobs.close();
      await new Promise((resolve) => {
        server.close(resolve);
        server.closeAllConnections();
      });
    },
  };
}

function listen(server: ReturnType<typeof createServer>, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, LOOPBACK, () => {
      server.off('error', reject);
      resolve((server.address() as AddressInfo).port);
    });
  });
}
