import type { IncomingMessage } from 'node:http';
import { PlicaError } from '../errors.ts';

/**
 * The whole body of a request.
 *
 * @throws PlicaError `too-large`, as soon as more than the limit is announced or has come
 */
export async function readBody(request: IncomingMessage, maxBytes: number): Promise<Uint8Array> {
  const refuse = () => {
    const limit = Math.round(maxBytes / 2 ** 20);
    return new PlicaError('too-large', `this is larger than ${limit} MB`, 'give a smaller copy');
  };
  if (Number(request.headers['content-length'] ?? 0) > maxBytes) throw refuse();
  const parts: Buffer[] = [];
  let length = 0;
  for await (const part of request as AsyncIterable<Buffer>) {
    length += part.length;
    if (length > maxBytes) throw refuse();
    parts.push(part);
  }
  return Buffer.concat(parts);
}
