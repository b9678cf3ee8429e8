import type { IncomingMessage } from 'node:http';

/**
 * For every answer. Nothing from outside this server is loaded, no script or style stands in the page itself, and no other
 * page may frame or read it. (Content Security Policy Level 3, Fetch Metadata.)
 */
export const SAFE_HEADERS: Readonly<Record<string, string>> = {
  'Content-Security-Policy': [
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' blob:",
    "connect-src 'self'",
    "worker-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; '),
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cache-Control': 'no-store',
};

/**
 * Why a request is refused; null where it comes from the desk's own page. A web page elsewhere can make a browser send
 * requests here, under a name of its own for this address, too: hence Host as well as Origin.
 *
 * @param port that the server listens on
 */
export function refusalOf(
  { headers, method }: Pick<IncomingMessage, 'headers' | 'method'>,
  port: number,
): string | null {
  const hosts = [`127.0.0.1:${port}`, `localhost:${port}`];
  const { host, origin } = headers;
  if (host === undefined || !hosts.includes(host)) return 'this server answers to its own address only';
  if (origin !== undefined && origin !== `http://${host}`) return 'this comes from another page';
  const changes = method !== 'GET' && method !== 'HEAD';
  if (changes && origin === undefined) return 'this does not come from the page';
  const site = headers['sec-fetch-site'];
  if (site !== undefined && site !== 'same-origin' && site !== 'none') return 'this comes from another page';
  return null;
}
