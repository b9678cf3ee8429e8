import { defineConfig } from 'vite';

/** The desk's page: plain files that the desk's own server hands out, none of them from elsewhere. */
export default defineConfig({
  root: 'pipeline/desk/page',
  base: './',
  build: {
    outDir: '../../../dist/desk/page',
    emptyOutDir: true,
    target: 'es2022',
    // Everything inside the page would be refused by its own content security policy.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  worker: { format: 'es' },
});
