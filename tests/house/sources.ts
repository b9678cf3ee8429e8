/** The project's own files, as tests of the house rules read them. */
import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** Every file that git knows, and new ones that it does not ignore; paths from the root, with slashes. */
export function projectFiles(): string[] {
  const args = ['ls-files', '--cached', '--others', '--exclude-standard', '-z'];
  const listed = execFileSync('git', args, { cwd: ROOT, encoding: 'utf8' }).split('\0');
  return listed.filter((path) => path !== '' && existsSync(join(ROOT, path)));
}

export function textOf(path: string): string {
  return readFileSync(join(ROOT, path), 'utf8');
}

/** How a file names another one: import and export from, import for its effect, import(), new URL(..., import.meta.url). */
const NAMES = [
  /^(?:import|export)\b(?:[^;'"`]|\n)*?\bfrom\s+'(\.[^']+)'/gm,
  /^import\s+'(\.[^']+)'/gm,
  /\bimport\(\s*'(\.[^']+)'\s*\)/g,
  /\bnew URL\(\s*'(\.[^']+)',\s*import\.meta\.url\s*\)/g,
];

/** Files of TypeScript that a file names; type imports count like any other. Paths from the root. */
export function importsOf(path: string, text: string): string[] {
  const found = new Set<string>();
  for (const pattern of NAMES) {
    for (const [, name] of text.matchAll(pattern)) {
      if (!name.endsWith('.ts')) continue;
      const file = relative(ROOT, normalize(join(ROOT, dirname(path), name)));
      found.add(file.split(sep).join('/'));
    }
  }
  return [...found];
}

/** Groups of files that reach each other, each sorted; none where there is no circle (Tarjan 1972). */
export function circles(graph: ReadonlyMap<string, readonly string[]>): string[][] {
  const number = new Map<string, number>();
  const lowest = new Map<string, number>();
  const open: string[] = [];
  const found: string[][] = [];
  const visit = (file: string): void => {
    number.set(file, number.size);
    lowest.set(file, number.get(file)!);
    open.push(file);
    for (const next of graph.get(file) ?? []) {
      if (!number.has(next)) visit(next);
      if (open.includes(next)) lowest.set(file, Math.min(lowest.get(file)!, lowest.get(next)!));
    }
    if (lowest.get(file) !== number.get(file)) return;
    const group = open.splice(open.indexOf(file));
    if (group.length > 1 || graph.get(file)?.includes(file)) found.push(group.sort());
  };
  for (const file of graph.keys()) if (!number.has(file)) visit(file);
  return found;
}
