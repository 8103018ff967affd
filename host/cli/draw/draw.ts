/** `posewright draw`: a rig as a labelled drawing, and as sheets to print at true size. */
import type { Command } from 'commander';
import { type Bodies, bodiesOf } from '../../report/drawing/bodies.ts';
import { drawingFile } from '../../report/drawing/drawing.ts';
import { dxfOf } from '../../report/drawing/dxf.ts';
import { platePlan } from '../../report/drawing/plate-plan.ts';
import { type Sheet, sheetsOf } from '../../report/drawing/sheet.ts';
import type { Rig } from '../../rig/rig.ts';
import { counted, together } from '../../rig/words.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, labelled, printJson, problemOf, refuse } from '../output.ts';
import { isSameFile, refusedOutput, writeAll } from '../outputs.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { isStdin, shownName } from '../stdin.ts';
import { widthOf } from '../io.ts';

interface Options {
  readonly output?: string;
  readonly sheet?: string;
  readonly force?: true;
  readonly json?: true;
}

/** A file that will be written, and what a reader is told of it. */
interface Drawn {
  readonly path: string;
  readonly text: string | Uint8Array;
  readonly kind: 'drawing' | 'sheet';
  /** Of a sheet; null: it is a drawing to cut by, in mm, and has no paper. */
  readonly paper: string | null;
  readonly shows: readonly string[];
}

const HELP = `
The drawing shows what every dimension of this rig means: plan, side view, the whole prop, pins and
the way plus moves each joint. Without -o and --sheet it is written beside you under the rig
file's name: night-owl.svg for night-owl.yaml.
--sheet writes what you drill and measure by at true size, in mm: the base and the moving plate
with the middles of their joints, and a protractor for the horns. Each sheet is A4, unless a plate
needs a larger one; a second sheet of FILE.svg is FILE-2.svg. FILE.pdf holds all of them, and cuts a
sheet larger than A4 into A4 pages with crop marks, after a page that says how they go together.
Print at 100 %, and measure the bar.
FILE.dxf is the base as a drawing to cut by (DXF of release 12, in mm, a layer for each kind of
mark), FILE-2.dxf the moving plate.
Where the rig file has platform.clearance, the base also shows each servo's body: to be cut out
where it reaches below the plate's face (layer CUT), else for reference (layer BODIES_NOT_CUT).
What is assumed, and bodies that overlap, are said in words. Screw holes are not drawn.

Examples:
  posewright draw night-owl.yaml -o owl.svg
  posewright draw night-owl.yaml --sheet owl-sheet.pdf
  posewright draw night-owl.yaml --sheet owl-plate.dxf`;

export function registerDraw(program: Command, io: Io, done: Done): void {
  program
    .command('draw')
    .description('Draws a rig with every dimension in its place, and its plates at true size to print.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('-o, --output <file.svg>', 'write the drawing to this file')
    .option('--sheet <file.pdf>', 'write sheets to print at true size, as PDF or .svg; or .dxf to cut by')
    .option('--force', 'overwrite files that exist already')
    .option('--json', 'one JSON document: {ok, files, crowded, cautions}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await draw(path, options, io));
    });
}

/** The drawing's file when none is named: the rig file's name, in this folder. */
const usualName = (path: string): string =>
  isStdin(path) ? 'rig.svg' : `${(path.split(/[\\/]/).at(-1) ?? 'rig').replace(/\.ya?ml$/i, '')}.svg`;

/** Where the n-th sheet goes, from 0. */
const sheetName = (path: string, n: number): string =>
  n === 0 ? path : path.replace(/\.(svg|dxf)$/i, (end) => `-${String(n + 1)}${end}`);

const isPdf = (path: string): boolean => /\.pdf$/i.test(path);
const isDxf = (path: string): boolean => /\.dxf$/i.test(path);

/** Why this kind of file is not written; null: it is. */
function refusedKind(path: string, isSheet: boolean): string | null {
  if (/(^|[\\/])\.\w+$/.test(path))
    return `this is an ending without a name: name a file, such as owl${path.slice(path.lastIndexOf('.'))}`;
  if (/\.svg$/i.test(path) || (isSheet && (isPdf(path) || isDxf(path)))) return null;
  return isSheet
    ? 'sheets are PDF, SVG or DXF: name a file that ends in .pdf, .svg or .dxf'
    : 'the drawing is SVG: name a file that ends in .svg';
}

/** What is wrong with the files to write. */
function refused(
  paths: readonly string[],
  input: string,
  force: boolean,
  sheets: readonly (string | undefined)[],
): readonly Problem[] {
  return paths.flatMap((path, i) => {
    const same = paths.slice(0, i).some((other) => isSameFile(path, other));
    const fault = same
      ? 'two of the files to write have this name: give them different ones'
      : (refusedKind(path, sheets.includes(path)) ?? refusedOutput(path, force, [input]));
    return fault === null ? [] : [problemOf(path, fault)];
  });
}

/** Both plates, a file for each; none: there is no platform. */
function platesToCut({ name, platform }: Rig, path: string): Drawn[] {
  if (!platform) return [];
  return (['base', 'moving'] as const).map((plate, n) => ({
    path: sheetName(path, n),
    text: dxfOf(platePlan(name, platform, plate)),
    kind: 'sheet',
    paper: null,
    shows: [plate === 'base' ? 'base' : 'moving plate'],
  }));
}

/** All in one PDF, or a file for each. */
async function sheetFiles(rig: Rig, path: string): Promise<Drawn[]> {
  if (isDxf(path)) return platesToCut(rig, path);
  const sheets = sheetsOf(rig);
  if (isPdf(path) && sheets.length > 0) {
    const { pagesOf, sheetsPdf } = await import('../../report/drawing/sheet-pdf.ts');
    const pages = sheets.reduce((sum, sheet) => sum + pagesOf(sheet), 0);
    const paper = `${counted(pages, 'page')} of A4`;
    const shows = sheets.flatMap((sheet) => sheet.shows);
    return [{ path, text: await sheetsPdf(rig.name, sheets), kind: 'sheet', paper, shows }];
  }
  return sheets.map((sheet: Sheet, n) => ({ ...sheet, path: sheetName(path, n), kind: 'sheet' }));
}

async function drawn(rig: Rig, drawing: string | undefined, sheet: string | undefined): Promise<Drawn[]> {
  const shows = rig.platform ? ['plan', 'side view', 'prop', 'joints'] : ['prop', 'joints'];
  const picture: Drawn[] =
    drawing === undefined ? [] : [{ path: drawing, text: drawingFile(rig), kind: 'drawing', paper: null, shows }];
  return [...picture, ...(sheet === undefined ? [] : await sheetFiles(rig, sheet))];
}

async function draw(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const force = options.force === true;
  const { sheet } = options;
  const drawing = options.output ?? (sheet === undefined ? usualName(path) : undefined);
  const asked = [drawing, sheet].filter((name) => name !== undefined);
  const wrong = refused(asked, path, force, [sheet]);
  if (wrong.length > 0) return refuse(io, json, wrong);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  const files = await drawn(rig, drawing, sheet);
  if (sheet !== undefined && !files.some(({ kind }) => kind === 'sheet'))
    return refuse(io, json, [
      problemOf(
        '--sheet',
        isDxf(sheet)
          ? 'this rig has no platform: there is no plate to cut'
          : 'this rig has neither a platform nor a servo that turns: there is nothing to print',
      ),
    ]);
  const further = refused(
    files.map((file) => file.path),
    path,
    force,
    files.filter(({ kind }) => kind === 'sheet').map((file) => file.path),
  );
  if (further.length > 0) return refuse(io, json, further);
  countWarnings(io, path, problems);
  const unwritten = writeAll(files, force);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  const bodies = bodiesDrawn(rig, files);
  if (json)
    printJson(io, {
      ok: true,
      files: files.map(({ path: file, kind, paper, shows }) => ({ path: file, kind, paper, shows })),
      crowded: bodies?.crowded ?? [],
      cautions: bodies?.faults ?? [],
    });
  else io.stdout.write(words(path, rig, files, bodies?.faults ?? [], io));
  return 0;
}

/** The servos' bodies that the sheets show; null: they show none. */
const bodiesDrawn = ({ platform }: Rig, files: readonly Drawn[]): Bodies | null =>
  platform && files.some(({ kind }) => kind === 'sheet') ? bodiesOf(platform) : null;

function words(path: string, rig: Rig, files: readonly Drawn[], faults: readonly string[], io: Io): string {
  const rows = files.map(({ path: file, kind, paper, shows }): readonly [string, string] => [
    file,
    kind === 'drawing'
      ? `the drawing: ${together(shows)}`
      : `true size, ${paper === null ? 'in mm' : `on ${paper}`}: ${together(shows)}`,
  ]);
  const none = rig.platform ? '' : 'This rig has joints only, no platform: its axes, parts and joints are drawn.\n';
  const print = files.some(({ kind, paper }) => kind === 'sheet' && paper !== null)
    ? 'Print at 100 %, not fitted to the page, and measure the bar: it must be 100 mm.\n'
    : '';
  const cut = files.some(({ path: file }) => isDxf(file))
    ? 'Opened in your CAD program, the line on the layer CHECK must measure 100 mm: a unit is a mm.\n'
    : '';
  return `${rig.name} is drawn (${shownName(path)})\n\n${labelled(rows, widthOf(io.stdout))}\n\n${none}${faults.map((fault) => `${fault}\n`).join('')}${print}${cut}`;
}
