/** `posewright stage`: the prop in a browser, to see, to move by hand, to record. */
import { spawn } from 'node:child_process';
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { existsSync } from 'node:fs';
import { setTimeout } from 'node:timers/promises';
import type { Command } from 'commander';
import type { WebSocket } from 'ws';
import { BoardLine } from '../../stage/board-line.ts';
import { SUBJECT } from '../../replay/target.ts';
import type { About } from '../../stage/about.ts';
import { Folder } from '../../stage/folder.ts';
import { newToken } from '../../stage/guard.ts';
import { namedMeshes } from '../../stage/meshes.ts';
import { startStage } from '../../stage/server.ts';
import { rigText } from '../../stage/transfer.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { isError, misfitsOf } from '../misfits.ts';
import { filesBeside } from '../mesh-files.ts';
import { type Problem, printJson, problemOf, refuse } from '../output.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { isStdin, shownName } from '../stdin.ts';
import { controllerFor } from '../own-controller.ts';
import { targetFault, targetOf } from '../targets.ts';
import { nightsOf } from './nights.ts';

const HELP = `
Opens a page on this computer, and on no other. Takes are streams in the rig's folder; what is
written over is kept beside. Ctrl-C ends it: a prop that it drives settles.

Examples:
  posewright stage night-owl.yaml
  posewright stage night-owl.yaml dusk.csv --on usb`;

interface Options {
  readonly on?: string;
  readonly port?: string;
  readonly json?: true;
  readonly open: boolean;
}

export function registerStage(program: Command, io: Io, done: Done): void {
  program
    .command('stage')
    .description('Opens the prop in a browser: see it, move it by hand, record, set it to sound, play it.')
    .argument('<rig>', 'the rig file (YAML)')
    .argument('[stream...]', 'takes to open, in the rig’s folder')
    .option('--on <target>', 'the board to play on; without, it plays in the page only')
    .option('--port <n>', 'port on this computer; any that is free without')
    .option('--no-open', 'only print the address')
    .option('--json', 'print {url} instead of words')
    .addHelpText('after', HELP)
    .action(async (path: string, streams: string[], options: Options) => {
      done(await stage(path, streams, options, io));
    });
}

/** All that is wrong before anything is read. */
function faults(path: string, options: Options): Problem[] {
  const wrong: Problem[] = [];
  if (isStdin(path)) wrong.push(problemOf(path, 'takes are kept in the rig’s folder: name the rig’s file'));
  const fault = options.on === undefined ? null : targetFault(options.on);
  if (fault !== null) wrong.push(problemOf('--on', fault));
  if (options.port !== undefined && !(/^\d+$/.test(options.port) && Number(options.port) < 65536))
    wrong.push(problemOf('--port', `"${options.port}" is no port: a whole number from 0 to 65535`));
  return wrong;
}

/** The page's files: beside the bundle, or in dist/ seen from the sources. */
const pageFolder = (): string | undefined =>
  ['stage/', '../dist/stage/', '../../../dist/stage/']
    .map((place) => fileURLToPath(new URL(place, import.meta.url)))
    .find((folder) => existsSync(`${folder}index.html`));

async function stage(path: string, streams: readonly string[], options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const wrong = faults(path, options);
  if (wrong.length > 0) return refuse(io, json, wrong);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  countWarnings(io, path, problems);
  const made = await controllerFor(path, rig);
  if (!('wasm' in made)) return refuse(io, json, made);
  const [page, wasm] = [pageFolder(), made.wasm];
  if (page === undefined || !wasm)
    return refuse(io, json, [problemOf('stage', 'the page is not there: "npm run build" makes it')]);
  const folder = new Folder(dirname(path));
  const about: About = {
    rigFile: shownName(path),
    streams: streams.map(nameOf),
    on: options.on ?? null,
    responds: made.responses !== null,
  };
  const mesh = namedMeshes(rig, filesBeside(path).mesh!);
  const line = new BoardLine({
    rig,
    folder,
    on: options.on ?? null,
    target: () => targetOf(options.on ?? '', io, rig.board, undefined, made),
    misfit: (board, { proven }) =>
      misfitsOf(rig, board, shownName(path), SUBJECT[proven]).find(isError)?.message ?? null,
    now_ms: () => io.now(),
    sleep: (ms) => setTimeout(ms),
  });
  const night = nightsOf({ rigPath: path, rig, folder, on: about.on, isBusy: () => line.isAwake, io });
  const files = { page, wasm, rig: rigText(rig), folder, mesh, night, about: JSON.stringify(about) };
  const connected = (socket: WebSocket): void => {
    line.connect(socket);
  };
  const started = await startStage(files, newToken(), Number(options.port ?? 0), connected).catch((error: unknown) =>
    error instanceof Error ? error.message : String(error),
  );
  if (typeof started === 'string')
    return refuse(io, json, [problemOf('--port', `${options.port ?? '0'} cannot be used: ${started}`)]);
  if (json) printJson(io, { url: started.url });
  else io.stdout.write(`${rig.name} is on its stage at ${started.url}\nCtrl-C ends it.\n`);
  if (options.open && !json && io.stdout.isTTY === true) openBrowser(started.url);
  await new Promise<void>((resolve) => {
    io.onInterrupt(resolve);
  });
  await line.close();
  await started.close();
  return 0;
}

const nameOf = (path: string): string => path.split(/[\\/]/).at(-1) ?? path;

/** What opens an address is the system's affair; where it has none, the address was printed. */
function openBrowser(url: string): void {
  const [program, ...before] =
    process.platform === 'darwin' ? ['open'] : process.platform === 'win32' ? ['cmd', '/c', 'start', ''] : ['xdg-open'];
  const child = spawn(program, [...before, url], { stdio: 'ignore', detached: true });
  child.on('error', () => undefined);
  child.unref();
}
