/** Starting and stopping desks as processes of their own, with a page built from the sources as they are now. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium } from 'playwright-core';
import { build } from 'vite';
import { openDesk } from '../../pipeline/desk/desk.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Builds the page, into a folder that is thrown away afterwards unless one is named. */
export async function buildPage(into?: string): Promise<{ folder: string; remove: () => Promise<void> }> {
  const folder = into ?? (await mkdtemp(join(tmpdir(), 'plica-page-')));
  await build({
    root: join(root, 'pipeline/desk/page'),
    configFile: join(root, 'vite.config.ts'),
    logLevel: 'error',
    build: { outDir: folder },
  });
  return { folder, remove: () => rm(folder, { recursive: true, force: true }) };
}

export interface RunningDesk {
  readonly address: string;
  readonly stop: (signal?: NodeJS.Signals) => Promise<void>;
}

export interface StartDeskOptions {
  readonly port?: number;
  readonly file?: string;
  /** Folder for what the desk writes in passing. */
  readonly temporary?: string;
}

export async function startDesk(page: string, options: StartDeskOptions = {}): Promise<RunningDesk> {
  const { port = 0, file, temporary = tmpdir() } = options;
  const program = fileURLToPath(new URL('./start-desk.ts', import.meta.url));
  const args = ['--import', 'tsx', program, page, String(port), ...(file ? [file] : [])];
  const child = spawn(process.execPath, args, {
    cwd: root,
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, TMPDIR: temporary },
  });
  const [first] = await once(child.stdout, 'data');
  const stop = async (signal: NodeJS.Signals = 'SIGKILL') => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    const ended = once(child, 'exit');
    child.kill(signal);
    await ended;
  };
  return { address: String(first).trim(), stop };
}

/** A desk within the test's own process: quicker to start, but it can read no pictures. */
export async function openHere(page: string, file: string): Promise<RunningDesk> {
  const { address, close } = await openDesk({ page, file, port: 0 });
  return { address, stop: close };
}

/** Every browser of the kind that the tests are written for. */
const BROWSERS = [process.env.PLICA_CHROMIUM, '/usr/bin/chromium', '/usr/bin/google-chrome'];
const QUIET = [
  '--headless=new',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Fails rather than skips: a page that nobody drove is not tested. */
export function openChromium(): Promise<Browser> {
  const executablePath = BROWSERS.find((path) => path && existsSync(path));
  if (!executablePath) {
    throw new Error('The tests of the desk need Chromium: install it, or name its program in PLICA_CHROMIUM.');
  }
  return chromium.launch({ executablePath, args: QUIET });
}
