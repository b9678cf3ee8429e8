/** README and guide say what is: links lead somewhere, commands and options exist, verbs are where the guide puts them. */
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { fakeTerminal } from '../cli/terminals.ts';
import { projectFiles, ROOT, textOf } from './sources.ts';

const pages = projectFiles().filter((path) => path.endsWith('.md'));
const scripts = JSON.parse(textOf('package.json')).scripts as Record<string, string>;

describe.each(pages)('%s', (page) => {
  it('links lead to files', () => {
    const links = [...textOf(page).matchAll(/\]\(([^)#]+)(?:#[^)]*)?\)/g)].map(([, link]) => link);
    const broken = links.filter((link) => !/^https?:/.test(link) && !existsSync(join(ROOT, dirname(page), link)));
    expect(broken).toEqual([]);
  });

  it('scripts exist', () => {
    const named = [...textOf(page).matchAll(/\bnpm run (?:--silent )?([a-z]+)/g)].map(([, name]) => name);
    expect(named.filter((name) => !(name in scripts))).toEqual([]);
  });

  it('files that are started exist', () => {
    const named = [...textOf(page).matchAll(/\b(?:npx tsx|python3) ([\w./-]+\.(?:ts|py))/g)].map(([, path]) => path);
    expect(named.filter((path) => !existsSync(join(ROOT, path)))).toEqual([]);
  });
});

describe('README.md', () => {
  const readme = textOf('README.md');
  const runs = [...readme.matchAll(/npm start -- ([a-z]+)([^\n`]*)/g)].map(([, command, rest]) => ({ command, rest }));

  it('shows each command', async () => {
    expect([...new Set(runs.map(({ command }) => command))].sort()).toEqual([
      'check',
      'desk',
      'export',
      'fold',
      'recover',
    ]);
  });

  it.each(runs)('every option is one: $command$rest', async ({ command, rest }) => {
    const { terminal, out } = fakeTerminal();
    expect(await main([command, '--help'], terminal)).toBe(0);
    const known = [...out.join('\n').matchAll(/(?<=^|\s)--[a-z-]+/g)].map(([option]) => option);
    const used = [...rest.matchAll(/(?<=\s)--[a-z-]+/g)].map(([option]) => option);
    for (const option of used) expect(known).toContain(option);
  });

  it('options in the text are options of some command', async () => {
    const { terminal, out } = fakeTerminal();
    for (const command of ['recover', 'check', 'fold', 'desk', 'export']) await main([command, '--help'], terminal);
    const known = out.join('\n');
    const used = [...readme.matchAll(/`(--[a-z-]+)/g)].map(([, option]) => option);
    expect(used.length).toBeGreaterThan(5);
    for (const option of used) expect(known).toContain(option);
  });

  it('quotes the bench as it was written', () => {
    const quoted = /<!-- bench -->\n([\s\S]*?)<!-- \/bench -->/.exec(readme)![1].trim();
    const rows = quoted.split('\n').filter((line) => line.startsWith('|'));
    const written = existsSync(join(ROOT, 'datasets/BENCH.md')) ? textOf('datasets/BENCH.md').split('\n') : [];
    expect(rows.filter((row) => !written.includes(row))).toEqual([]);
    // Once there are results, they are quoted.
    if (written.length > 0) expect(rows.length).toBeGreaterThan(2);
  });
});

describe('DEVELOPERS.md', () => {
  const rows = [...textOf('DEVELOPERS.md').matchAll(/^\| `(pipeline\/[\w/]+)` \| (.*)$/gm)];

  it('names every folder of the pipeline', () => {
    const folders = new Set(
      projectFiles()
        .filter((path) => /^pipeline\/\w+\//.test(path))
        .map((path) => path.split('/').slice(0, 2).join('/')),
    );
    expect(rows.map(([, folder]) => folder).sort()).toEqual([...folders].sort());
  });

  it.each(rows.map(([, folder, rest]) => [folder, rest]))('the verbs of %s are there', (folder, rest) => {
    const verbs = [...rest.matchAll(/`([a-z]\w+)`/g)].map(([, name]) => name);
    const files = projectFiles().filter((path) => path.startsWith(`${folder}/`) && path.endsWith('.ts'));
    const text = files.map(textOf).join('\n');
    for (const verb of verbs) expect(text).toMatch(new RegExp(`export (async )?function ${verb}\\b`));
  });
});
