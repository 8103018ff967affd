/** `posewright card`: the night card, one sheet for whoever looks after the prop without a computer. */
import type { Command } from 'commander';
import { renderCard } from '../../report/card-page.ts';
import { cardSheet } from '../../report/drawing/card-sheet.ts';
import type { Rig } from '../../rig/rig.ts';
import { type Card, cardLacks, cardOf } from '../../shows/card.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { printJson, problemOf, refuse } from '../output.ts';
import { refusedOutput, writeAll } from '../outputs.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { capital } from '../../rig/words.ts';
import { isStdin, shownName } from '../stdin.ts';

interface Options {
  readonly output?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
The card says what the prop's light means and what to do next, what the button does, where the stop
is, and which pulse a spare servo gets. What the rig file does not give is left out. FILE.html is a page for a phone that prints on A5; FILE.pdf
and FILE.svg are the sheet of A5. Without -o it is written beside you under the rig file's name:
night-owl-card.html for night-owl.yaml. Fill in by hand who is called, and where stop and switch are.

Examples:
  posewright card night-owl.yaml
  posewright card night-owl.yaml -o owl-card.pdf`;

export function registerCard(program: Command, io: Io, done: Done): void {
  program
    .command('card')
    .description('Makes the night card: what the light says, what to do next, cables and spare servos, on one sheet.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('-o, --output <file>', 'write it to this file: .html, .pdf or .svg')
    .option('--force', 'overwrite a file that exists already')
    .option('--json', 'one JSON document: {ok, file, codes, button, joints, stop, cautions}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await card(path, options, io));
    });
}

const usualName = (path: string): string =>
  isStdin(path) ? 'card.html' : `${(path.split(/[\\/]/).at(-1) ?? 'rig').replace(/\.ya?ml$/i, '')}-card.html`;

const isKind = (file: string, ending: string): boolean => file.toLowerCase().endsWith(ending);

/** Why this file is not written; null: it is. */
const refusedFile = (file: string, force: boolean, input: string): string | null =>
  ['.html', '.pdf', '.svg'].some((ending) => isKind(file, ending))
    ? refusedOutput(file, force, [input])
    : 'the card is HTML, PDF or SVG: name a file that ends in .html, .pdf or .svg';

async function textOf(file: string, rig: Rig, its: Card): Promise<string | Uint8Array> {
  if (isKind(file, '.html')) return renderCard(rig, its);
  const sheet = cardSheet(rig, its);
  if (isKind(file, '.svg')) return sheet.text;
  const { sheetsPdf } = await import('../../report/drawing/sheet-pdf.ts');
  return sheetsPdf(`${rig.name}: night card`, [sheet]);
}

async function card(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const force = options.force === true;
  const file = options.output ?? usualName(path);
  const fault = refusedFile(file, force, path);
  if (fault !== null) return refuse(io, json, [problemOf(file, fault)]);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  countWarnings(io, path, problems);
  const its = cardOf(rig);
  const unwritten = writeAll([{ path: file, text: await textOf(file, rig, its) }], force);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  const { codes, button, joints, stop, cautions } = its;
  const lacks = cardLacks(rig);
  if (json) printJson(io, { ok: true, file, codes, button, joints, stop, cautions });
  else
    io.stdout.write(
      `the night card of ${rig.name} (${shownName(path)}) is in ${shownName(file)}\n${lacks === null ? '' : `${capital(lacks)}.\n`}Print it on A5, fill in who is called and where stop and switch are, and keep it with the prop.\n`,
    );
  return 0;
}
