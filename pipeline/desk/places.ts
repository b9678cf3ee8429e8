import { fileURLToPath } from 'node:url';

/** Started from source in development, from the build otherwise. */
const SOURCE = import.meta.url.endsWith('.ts');

/** The program of the process that reads pictures. */
export const READER = fileURLToPath(new URL(SOURCE ? './reader.ts' : './reader.js', import.meta.url));

/** The page as vite builds it. */
export const PAGE_FOLDER = fileURLToPath(new URL(SOURCE ? '../../dist/desk/page/' : './page/', import.meta.url));
