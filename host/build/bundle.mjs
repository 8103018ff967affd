// How esbuild makes dist/: the command line of host/cli/bin.ts, and the stage's page of host/stage/page.
// Of the first, posewright.mjs is what starts, and design-worker.mjs what the threads of a design search start with; the other files
// are loaded by the commands that need them. Packages are in it, so that it runs without node_modules, but for three that are
// found from where they stand.
import { readFileSync } from 'node:fs';

const REQUIRE = "import { createRequire as requireOf } from 'node:module'; const require = requireOf(import.meta.url);";

// PDFKit asks for its fonts by names that only its own package.json resolves: by their files they can be bundled.
const PDF_FONTS = {
  name: 'pdf-fonts',
  setup: ({ onLoad }) => {
    onLoad({ filter: /pdfkit[\\/]js[\\/]pdfkit\.node\.mjs$/ }, ({ path }) => ({
      contents: readFileSync(path, 'utf8').replace(/require\$1\('#(standard-fonts\/\w+)'\)/g, "require('./$1.cjs')"),
    }));
  },
};

export const BUNDLE = {
  // A thread starts with a file of its own.
  entryPoints: {
    posewright: 'host/cli/bin.ts',
    'design-worker': 'host/cli/design/worker.ts',
    'design-problem': 'host/cli/design/problem.ts',
  },
  outdir: 'dist',
  outExtension: { '.js': '.mjs' },
  bundle: true,
  splitting: true,
  metafile: true,
  platform: 'node',
  target: 'node20',
  format: 'esm',
  // One has compiled parts, one is a compiler of several megabytes that few commands need. The third, wabt, is run as a
  // program too (host/firmware/compile.ts).
  external: ['serialport', 'assemblyscript', 'wabt'],
  // Packages in the older module format call require.
  banner: { js: REQUIRE },
  plugins: [PDF_FONTS],
  // Constants as numbers where they are used: esbuild turns a module's const into var, and V8 then boxes numbers that meet it.
  minifySyntax: true,
  logLevel: 'warning',
};

/** The page and its workers: for a browser, each in one file. */
export const PAGE = {
  entryPoints: {
    app: 'host/stage/page/main.tsx',
    engine: 'host/stage/page/engine/engine.ts',
    verdict: 'host/stage/page/verdict/verdict.ts',
    style: 'host/stage/page/style.css',
    index: 'host/stage/page/index.html',
  },
  outdir: 'dist/stage',
  loader: { '.html': 'copy' },
  bundle: true,
  minify: true,
  platform: 'browser',
  target: 'es2022',
  format: 'esm',
  jsx: 'automatic',
  jsxImportSource: 'preact',
  logLevel: 'warning',
};
