/**
 * Joins the program's sources into few files under `dist/`: Node spends a third of a second on finding and reading them one by one.
 * Packages stay what they are, in `node_modules`.
 */
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build, type Plugin } from 'esbuild';

const SOURCES = fileURLToPath(new URL('../pipeline/', import.meta.url));
const DIST = fileURLToPath(new URL('../dist/', import.meta.url));
/** What several of the files share lies here, named by its content. */
const SHARED = 'shared';
/** Files that are started by themselves, or imported by those who use the library. */
const ENTRIES = [
  'cli/plica',
  'recover',
  'desk/reader',
  'ink/tile-worker',
  'legend/text-thread',
  'validity/brief-worker',
];

/** Stands for the way from a file to `dist/` until it is known which file a source went to. */
const TO_DIST = '<to dist>/';

/** Sources name other files by where they lie themselves: each is told the place that it would have by itself. */
const ownPlaces: Plugin = {
  name: 'own places',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, async ({ path }) => {
      const place = TO_DIST + relative(SOURCES, path).replaceAll('\\', '/').replace(/\.ts$/, '.js');
      const text = await readFile(path, 'utf8');
      return {
        contents: text.replaceAll('import.meta.url', `new URL(${JSON.stringify(place)}, import.meta.url).href`),
        loader: 'ts',
      };
    });
  },
};

/** Packages that are required: an import has Node search each of their sources for the names that it exports, a tenth of a second. */
const required: Plugin = {
  name: 'required',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^sharp$/ }, ({ path }) => ({ path, namespace: 'required' }));
    onLoad({ filter: /.*/, namespace: 'required' }, ({ path }) => ({
      contents: `import { createRequire } from 'node:module';\nexport default createRequire(import.meta.url)('${path}');`,
    }));
  },
};

const { outputFiles } = await build({
  entryPoints: ENTRIES.map((name) => join(SOURCES, `${name}.ts`)),
  outbase: SOURCES,
  outdir: DIST,
  chunkNames: `${SHARED}/[name]-[hash]`,
  bundle: true,
  splitting: true,
  packages: 'external',
  platform: 'node',
  format: 'esm',
  target: 'node20',
  plugins: [ownPlaces, required],
  logLevel: 'warning',
  write: false,
});
await rm(join(DIST, SHARED), { recursive: true, force: true });
for (const { path, text } of outputFiles) {
  const toDist = relative(dirname(path), DIST).replaceAll('\\', '/') || '.';
  await mkdir(dirname(path), { recursive: true });
  await writeFile(path, text.replaceAll(TO_DIST, `${toDist}/`));
}
