import { defineConfig } from 'vite';

// Everything comes from the server's own address: no inlined data, no preload script (its policy allows neither).
export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: { assetsInlineLimit: 0, modulePreload: { polyfill: false }, target: 'es2022' },
  server: { proxy: { '/api': 'http://127.0.0.1:8137' } },
});
