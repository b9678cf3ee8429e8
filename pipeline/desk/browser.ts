import { spawn } from 'node:child_process';

const OPENERS: Readonly<Partial<Record<NodeJS.Platform, readonly [string, ...string[]]>>> = {
  darwin: ['open'],
  win32: ['rundll32', 'url.dll,FileProtocolHandler'],
};

/** Asks the system to show an address in the person's browser. Where it cannot, the address has been printed anyway. */
export function openBrowser(address: string): void {
  const [program, ...args] = OPENERS[process.platform] ?? ['xdg-open'];
  const child = spawn(program, [...args, address], { stdio: 'ignore', detached: true });
  child.on('error', () => {});
  child.unref();
}
