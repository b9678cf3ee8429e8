import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Command } from 'commander';
import { foldText } from '../datasets/patterns/fold-text.ts';
import { makePattern, type NamedPattern, type PatternFamily, patternFamilies } from '../datasets/patterns/patterns.ts';
import { type PictureKind, pictureKinds, renderPicture } from '../datasets/recipes/recipes.ts';
import { benchPattern } from './bench/choose.ts';

/** Write pictures and their truth to a folder, for looking at. */
const command = new Command('render')
  .argument('<folder>', 'where to write')
  .option('--kind <kind>', `one of ${pictureKinds.join(', ')}, or all`, 'all')
  .option('--count <n>', 'pictures of each kind', '5')
  .option('--seed <n>', 'first seed', '1')
  .option('--family <name>', `patterns of one family: ${patternFamilies.join(', ')}`)
  .option('--pattern-seed <n>', 'with --family: which pattern', '1')
  .action(async (folder: string, options: Options) => {
    await mkdir(folder, { recursive: true });
    const kinds = pictureKinds.filter((kind) => options.kind === 'all' || options.kind === kind);
    for (const kind of kinds) {
      for (let i = 0; i < Number(options.count); i++) {
        const seed = Number(options.seed) + i;
        const { family } = options;
        await renderOne(
          folder,
          kind,
          seed,
          family ? makePattern(family, Number(options.patternSeed)) : benchPattern(kind, seed),
        );
      }
    }
  });

interface Options {
  readonly kind: string;
  readonly count: string;
  readonly seed: string;
  readonly family?: PatternFamily;
  readonly patternSeed: string;
}

async function renderOne(folder: string, kind: PictureKind, seed: number, named: NamedPattern): Promise<void> {
  const start = performance.now();
  const picture = await renderPicture(named.pattern, kind, seed);
  const took = Math.round(performance.now() - start);
  const stem = join(folder, `${kind}-${seed}`);
  await writeFile(`${stem}.${picture.format === 'jpeg' ? 'jpg' : picture.format}`, picture.image);
  await writeFile(`${stem}.fold`, foldText({ ...named, pattern: picture.truth }));
  const { outlineCorners, notes } = picture;
  await writeFile(`${stem}.json`, `${JSON.stringify({ pattern: named.name, outlineCorners, notes }, null, 1)}\n`);
  const { creases } = named.pattern;
  process.stdout.write(
    `${stem} ${creases.length} creases ${Math.round(picture.image.length / 1024)} kB ${took} ms ${JSON.stringify(notes)}\n`,
  );
}

await command.parseAsync();
