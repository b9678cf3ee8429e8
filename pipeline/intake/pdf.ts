import { type PDFiumDocument, PDFiumLibrary } from '@hyzyla/pdfium';
import { PlicaError } from '../errors.ts';
import { flattenOnContrast } from './flatten.ts';
import { damaged, noSuchPage } from './limits.ts';
import type { ReadPixels, ReadRequest } from './reader.ts';

/** Draws one page of a PDF so that its longest side is the working size. */
export async function readPdfPage(bytes: Uint8Array, request: ReadRequest): Promise<ReadPixels> {
  const { name, page, maxSidePx } = request;
  const library = await PDFiumLibrary.init();
  try {
    const document = await openDocument(library, bytes, name);
    try {
      const pages = document.getPageCount();
      if (page > pages) throw noSuchPage(name, page, pages);
      const drawn = document.getPage(page - 1);
      const { originalWidth, originalHeight } = drawn.getOriginalSize();
      const scale = maxSidePx / Math.max(originalWidth, originalHeight);
      if (!(scale > 0 && Number.isFinite(scale))) throw damaged(name);
      const width = Math.max(1, Math.round(originalWidth * scale));
      const height = Math.max(1, Math.round(originalHeight * scale));
      const { data } = await drawn.render({ width, height, render: 'bitmap' });
      const raster = flattenOnContrast({ width, height, channels: 4, data });
      return { raster, fullWidth: width, fullHeight: height };
    } finally {
      document.destroy();
    }
  } catch (error) {
    throw error instanceof PlicaError ? error : damaged(name);
  } finally {
    library.destroy();
  }
}

async function openDocument(library: PDFiumLibrary, bytes: Uint8Array, name: string): Promise<PDFiumDocument> {
  try {
    return await library.loadDocument(bytes);
  } catch (error) {
    if (/password|security/i.test(String(error))) {
      throw new PlicaError('bad-input', `${name} is locked with a password`, 'save a copy without one');
    }
    throw damaged(name);
  }
}
