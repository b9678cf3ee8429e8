import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';

/** A thread that runs one of our files; `source` names it as TypeScript, and the built program takes the .js of that name. */
export function startWorker(source: URL): Worker {
  if (!import.meta.url.endsWith('.ts')) return new Worker(new URL(source.href.replace(/\.ts$/, '.js')));
  // From source: threads do not inherit the loader that reads TypeScript, so it is registered in them first.
  const tsx = createRequire(import.meta.url).resolve('tsx/package.json');
  const loader = new URL('dist/esm/api/index.mjs', pathToFileURL(tsx)).href;
  const start = `import('${loader}').then(({ register }) => { register(); return import('${source.href}'); })`;
  return new Worker(start, { eval: true });
}
