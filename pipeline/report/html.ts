import sharp from 'sharp';
import type { Kind, Raster, Recovery } from '../types.ts';
import { creaseGroup, escapeXml } from './drawing.ts';
import { foldabilityShort, foldabilityWords, lawGroups } from './folding-words.ts';
import { type GatheredDoubt, gatherDoubts } from './gather.ts';
import { cutOut, figure, type PageFigure } from './html-figure.ts';
import { STYLE } from './html-style.ts';
import type { Report, ReportDoubt } from './report.ts';
import {
  doubtPlace,
  doubtTitle,
  guideWords,
  inkWords,
  isAboutAll,
  KIND_NAMES,
  latticeWords,
  outlineWords,
  percent,
  sureWords,
} from './words.ts';

/** Longest side of the embedded picture: enough to see a stroke in a cut-out, small enough to send by mail. */
const PICTURE_SIDE_PX = 1600;
const JPEG_QUALITY = 78;
/** Cut-outs cost the browser a drawing of the whole each. */
const MOST_DOUBTS = 150;
const MOST_LAWS = 150;
const KEY_ORDER: readonly Kind[] = ['B', 'M', 'V', 'U', 'F', 'C'];

/**
 * One self-contained page: the straightened picture with the pattern over it, what was assumed, what the inks mean, the
 * doubts with a cut-out each, the laws that are broken. No script, nothing from outside; light, dark and on paper.
 */
export async function reportHtml(recovery: Recovery, report: Report): Promise<string> {
  const { sheet } = recovery;
  const gathered = gatherDoubts(report.doubts);
  const page: PageFigure = { recovery, report, doubts: gathered, imageHref: await embedded(sheet.raster) };
  const name = escapeXml(report.picture.name);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<title>${name}: crease pattern report</title>
<style>${STYLE}</style>
</head>
<body>
<header>
<h1>${name}</h1>
<p class="lead">${escapeXml(headline(report, gathered.length))}</p>
</header>
<main>
<section aria-labelledby="pattern-head">
<h2 id="pattern-head">Picture and pattern</h2>
<fieldset class="views"><legend>Show</legend>
<label><input type="radio" name="view" id="view-both" checked> both</label>
<label><input type="radio" name="view" id="view-picture"> picture only</label>
<label><input type="radio" name="view" id="view-pattern"> pattern only</label>
</fieldset>
${figure(page)}
${key(report)}
</section>
${assumed(report)}
${inks(report)}
${doubts(page)}
${laws(report)}
</main>
<footer><p>Coordinates: the longest side of the sheet is 1, the origin is its lower left corner. Made by Plica${took(report)}.</p></footer>
</body>
</html>
`;
}

async function embedded({ width, height, channels, data }: Raster<Uint8Array>): Promise<string> {
  const jpeg = await sharp(data, { raw: { width, height, channels: channels as 1 | 3 } })
    .resize({ width: PICTURE_SIDE_PX, height: PICTURE_SIDE_PX, fit: 'inside', withoutEnlargement: true })
    .jpeg({ quality: JPEG_QUALITY })
    .toBuffer();
  return `data:image/jpeg;base64,${jpeg.toString('base64')}`;
}

function headline({ creases, lattice, foldability, laws: broken }: Report, count: number): string {
  const doubtful = count === 0 ? 'no doubts' : count === 1 ? 'one doubt' : `${count} doubts`;
  return `${creases.length} creases, ${latticeWords(lattice)}, ${doubtful}, ${foldabilityShort(foldability, broken.length)}.`;
}

function took({ timings }: Report): string {
  const all = Object.values(timings).reduce((sum, ms) => sum + ms, 0);
  return all > 0 ? ` in ${(all / 1000).toFixed(1)} s` : '';
}

/** The kinds that occur, with a sample of their line and how many. */
function key({ counts }: Report): string {
  const sample = (kind: Kind) => {
    const line = {
      vertices: [
        [0, 0.5],
        [1, 0.5],
      ] as const,
      creases: [{ from: 0, to: 1, kind }],
      exact: [null, null],
      lattice: null,
    };
    return `<svg class="sample" viewBox="0 0 64 16" aria-hidden="true">${creaseGroup(line, kind, ([x, y]) => [4 + 56 * x, 16 * y], 56, 1.4)}</svg>`;
  };
  const items = KEY_ORDER.filter((kind) => counts[kind] > 0).map(
    (kind) => `<li>${sample(kind)} ${counts[kind]} ${KIND_NAMES[kind]}</li>`,
  );
  return `<ul class="key" aria-label="Line styles">${items.join('')}</ul>`;
}

function assumed({ outline, lattice, guideGrid }: Report): string {
  const items = [
    `${outlineWords(outline)} <span class="sure">${percent(outline.probability)} sure</span>`,
    ...outline.assumed.map((assumption) => `Taken for granted: ${escapeXml(assumption)}.`),
    `Positions: ${escapeXml(latticeWords(lattice))}.${lattice && lattice.kind !== 'none' ? ` <span class="sure">${percent(lattice.fit)} of vertices fit</span>` : ''}`,
    ...(guideGrid ? [`${guideWords(guideGrid)} printed under the creases was left out.`] : []),
  ];
  return `<section aria-labelledby="assumed-head"><h2 id="assumed-head">What was assumed</h2>
<ul>${items.map((item) => `<li>${item}</li>`).join('\n')}</ul></section>`;
}

function inks({ legend }: Report): string {
  const rows = legend.map(
    (entry) =>
      `<tr><td><span class="ink" style="background:${escapeXml(entry.colour)}"></span> ${escapeXml(inkWords(entry))}</td>` +
      `<td>${KIND_NAMES[entry.kind]}</td><td class="number">${entry.count}</td>` +
      `<td>${escapeXml(entry.why)}</td><td class="number">${percent(entry.probability)}</td></tr>`,
  );
  return `<section aria-labelledby="inks-head"><h2 id="inks-head">What each ink means</h2>
<div class="wide" role="region" aria-label="Table of inks" tabindex="0"><table>
<thead><tr><th scope="col">Ink</th><th scope="col">Means</th><th scope="col" class="number">Creases</th><th scope="col">Why</th><th scope="col" class="number">Sure</th></tr></thead>
<tbody>${rows.join('\n')}</tbody></table></div></section>`;
}

function doubts(page: PageFigure): string {
  const shown = page.doubts.slice(0, MOST_DOUBTS);
  const rest = page.doubts.length - shown.length;
  const list =
    shown.length === 0
      ? '<p>None: every crease was read clearly.</p>'
      : `<ol class="doubts">${shown.map((doubt, i) => doubtItem(page, doubt, i + 1)).join('\n')}</ol>`;
  const more = rest > 0 ? `<p>And ${rest} more, in the report.json file.</p>` : '';
  return `<section aria-labelledby="doubts-head"><h2 id="doubts-head">Doubts</h2>${list}${more}</section>`;
}

function doubtItem(page: PageFigure, doubt: GatheredDoubt<ReportDoubt>, number: number): string {
  const [px, py] = doubt.atPicture.map(Math.round);
  const pixel = isAboutAll(doubt) ? '' : `; pixel ${px}, ${py} of the picture`;
  return `<li id="doubt-${number}">${cutOut(page, doubt, number)}
<div><h3>${number}. ${escapeXml(doubtTitle(doubt.what, doubt.creases.length > 0))}</h3>
<p>${escapeXml(doubt.why)}</p>
<p class="sure">${escapeXml(sureWords(doubt))}.</p>
<p class="place">${escapeXml(capital(doubtPlace(doubt, page.report.lattice)))}${pixel}.</p></div></li>`;
}

function laws({ laws: broken, foldability, counts, lattice }: Report): string {
  const shown = broken.slice(0, MOST_LAWS);
  const items = lawGroups(shown, lattice).map(({ title, why, places }) => {
    const [head, sentence, ...where] = [title, why, ...places].map(escapeXml);
    return where.length === 1
      ? `<li><strong>${head}</strong> (${where[0]}): ${sentence}</li>`
      : `<li><strong>${head}</strong>, at ${where.length} places: ${sentence}<ul><li>${where.join('</li>\n<li>')}</li></ul></li>`;
  });
  const rest = broken.length - shown.length;
  const more = rest > 0 ? `<p>And ${rest} more, in the report.json file.</p>` : '';
  const list = items.length > 0 ? `<ul>${items.join('\n')}</ul>${more}` : '';
  return `<section aria-labelledby="laws-head"><h2 id="laws-head">Does it fold flat?</h2>
<p>${escapeXml(foldabilityWords({ foldability, laws: broken, counts }))}</p>${list}</section>`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
