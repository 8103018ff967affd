/** `posewright new`: a folder for a new prop, from ten questions or so, or from the demo. */
import type { Command } from 'commander';
import { mkdirSync, rmdirSync, statSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import { type Fault, readAnswers } from '../../new/answers.ts';
import { DEMO_RIG, DEMO_STREAM, DEMO_WANT, demoFolder } from '../../new/demo.ts';
import { type NewFile, newFolder } from '../../new/new.ts';
import { TEMPLATE, responsesFor, sensesFor } from '../../new/responses.ts';
import { RESPONSES } from '../../firmware/responses/compile.ts';
import { readRig } from '../../rig/read.ts';
import { QUESTIONS } from '../../new/questions.ts';
import { readDocument } from '../../rig/document.ts';
import { demoFiles } from '../assets.ts';
import { FAULTS, faultWords } from '../faults.ts';
import { readText } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, plainLines, printJson, problemOf, refuse } from '../output.ts';
import { refusedOutput, writeAll } from '../outputs.ts';
import { shownName } from '../stdin.ts';
import { askAll } from './ask.ts';

interface Options {
  readonly answers?: string;
  readonly yes?: true;
  readonly from?: string;
  readonly responses?: true;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Asks what a ruler, a scale and a data sheet tell, and writes into the folder: rig.yaml, each-axis.csv
(each axis alone, slowly, within reach), README.md (what to do next) and rig.schema.json (for editors).
All files are written, or none. --responses adds responses.ts, with which the prop reacts to its sensors:
a template with three worked ones, of which those stay out that need what the rig lacks.

A file of answers is YAML, with a key for each question, lists in brackets, such as "base_ring_mm: [34, 101]";
one that is left out takes a typical value:
${QUESTIONS.map(({ key, ask }) => `  ${key.padEnd(17)}${ask}`).join('\n')}

Examples:
  posewright new owl
  posewright new owl --yes                  typical values, to be replaced one by one
  posewright new owl --answers answers.yaml
  posewright new owl --from demo            the demo's rig, stream and want file`;

export function registerNew(program: Command, io: Io, done: Done): void {
  program
    .command('new')
    .description('Makes a folder for a new prop: its rig file, a first stream, and what to do next.')
    .argument('<folder>', 'the folder, which may be there already')
    .option('--answers <file>', 'answers from a file (YAML) instead of asking; - for standard input')
    .option('--yes', 'typical values instead of asking')
    .option('--from <demo>', 'copy what comes with posewright instead: demo')
    .option('--responses', 'write responses.ts too: how the prop reacts to its sensors')
    .option('--force', 'overwrite files that exist already')
    .option('--json', 'one JSON document: {ok, files}')
    .addHelpText('after', HELP)
    .action(async (folder: string, options: Options) => {
      done(await make(folder, options, io));
    });
}

type Made = { readonly files: readonly NewFile[] } | { readonly problems: readonly Problem[] };

async function make(folder: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const wrong = [...optionFaults(options), ...folderFaults(folder, options)];
  if (wrong.length > 0) return refuse(io, json, wrong);
  const made = options.from === undefined ? await fromAnswers(folder, options, io) : await fromDemo();
  if ('problems' in made) return refuse(io, json, made.problems);
  const all = options.responses ? await withResponses(made.files) : made.files;
  if ('problems' in all) return refuse(io, json, all.problems);
  const files = all.map(({ name, text }) => ({ path: join(folder, name), text }));
  const unwritten = writeInto(folder, files, options.force === true);
  if (unwritten) return refuse(io, json, [unwritten]);
  const paths = files.map(({ path }) => path);
  if (json) printJson(io, { ok: true, files: paths });
  else io.stdout.write(plainLines(words(paths)));
  return 0;
}

const words = (paths: readonly string[]): string =>
  `written: ${paths.join('\n         ')}\nnext:    posewright check ${paths.find((path) => path.endsWith('.yaml')) ?? ''}\n`;

/** The files with responses.ts, and the inputs that it reads in rig.yaml. */
async function withResponses(
  files: readonly NewFile[],
): Promise<readonly NewFile[] | { readonly problems: readonly Problem[] }> {
  const [template] = (await demoFiles([TEMPLATE])) ?? [];
  const text = files.find(({ name }) => name === RIG)?.text ?? '';
  const { rig } = readRig(text);
  if (!template || !rig)
    return { problems: [problemOf('--responses', 'its template is missing from this installation')] };
  const senses = sensesFor(rig);
  const joints = rig.joints.slice(rig.platform ? 6 : 0).map(({ name }) => name);
  const responses = responsesFor(template.text, senses.levels, joints);
  return [
    ...files.map((file) => (file.name === RIG ? { ...file, text: `${text}\n${senses.text}` } : file)),
    { name: RESPONSES, text: responses },
  ];
}

function optionFaults({ answers, yes, from, responses }: Options): Problem[] {
  const ways = [answers !== undefined ? '--answers' : '', yes ? '--yes' : '', from !== undefined ? '--from' : ''];
  const given = ways.filter((way) => way !== '');
  return [
    ...(given.length > 1 ? [problemOf(given.join(' '), 'found together; allowed: one of them')] : []),
    ...(from !== undefined && responses ? [problemOf('--responses', 'found with --from; allowed: without it')] : []),
    ...(from !== undefined && from !== 'demo' ? [problemOf('--from', `found "${from}"; allowed: demo`)] : []),
  ];
}

/** Why nothing can be written there, asked before any question is; a folder that is not there yet is made later. */
function folderFaults(folder: string, { force, from, answers, responses }: Options): Problem[] {
  const found = statSync(folder, { throwIfNoEntry: false });
  if (folder === '') return [problemOf('new', 'this is no name: name a folder, such as owl')];
  if (!found) return [];
  if (!found.isDirectory()) return [problemOf(folder, FAULTS.ENOTDIR)];
  const own = responses ? [...NAMES, RESPONSES] : NAMES;
  const names = from === undefined ? own : [...DEMO_NAMES, 'README.md', 'rig.schema.json'];
  return names.flatMap((name) => {
    const path = join(folder, name);
    const fault = refusedOutput(path, force === true, answers === undefined ? [] : [answers]);
    return fault === null ? [] : [problemOf(path, fault)];
  });
}

const RIG = 'rig.yaml';
const NAMES = [RIG, 'each-axis.csv', 'README.md', 'rig.schema.json'];
const DEMO_NAMES = [DEMO_RIG, DEMO_STREAM, DEMO_WANT];

async function fromDemo(): Promise<Made> {
  const files = await demoFiles(DEMO_NAMES);
  return files
    ? { files: demoFolder(files) }
    : { problems: [problemOf('--from', 'the demo is missing from this installation')] };
}

async function fromAnswers(folder: string, options: Options, io: Io): Promise<Made> {
  const file = options.answers === undefined ? 'answers' : shownName(options.answers);
  const problems = (faults: readonly Fault[], lineOf: (key: string) => number): Made => ({
    problems: faults.map(({ question, message }) => ({
      ...problemOf(file, message),
      path: question,
      line: lineOf(question.replace(/\..*/, '')),
    })),
  });
  const read = await answersOf(options, file, io);
  if ('problems' in read) return read;
  if ('faults' in read) return problems(read.faults, () => 0);
  const answered = readAnswers(read.given);
  if ('faults' in answered) return problems(answered.faults, read.lineOf);
  const made = newFolder(answered, basename(resolve(folder)), options.responses);
  return 'faults' in made ? problems(made.faults, read.lineOf) : made;
}

interface Given {
  readonly given: Readonly<Record<string, unknown>>;
  lineOf(key: string): number;
}
type Told = Given | { readonly problems: readonly Problem[] } | { readonly faults: readonly Fault[] };

async function answersOf({ answers, yes }: Options, file: string, io: Io): Promise<Told> {
  const lineOf = (): number => 0;
  if (yes) return { given: {}, lineOf };
  if (answers === undefined) {
    const asked = await askAll(io);
    return 'faults' in asked ? asked : { given: asked.given, lineOf };
  }
  const read = await readText(answers, io);
  if ('fault' in read) return { problems: [problemOf(file, read.fault)] };
  const { document, problems } = readDocument(read.text, 'a file of answers');
  if (!document || problems.some(({ severity }) => severity === 'error'))
    return { problems: problems.map((problem) => ({ file, ...problem })) };
  return { given: document.data, lineOf: (key) => (Object.hasOwn(document.data, key) ? document.lineOf([key]) : 0) };
}

/** Writes all or none; a folder that was made for it goes again where nothing could be written. */
function writeInto(folder: string, files: readonly { path: string; text: string }[], force: boolean): Problem | null {
  try {
    const isNew = !statSync(folder, { throwIfNoEntry: false });
    if (isNew) mkdirSync(folder);
    const unwritten = writeAll(files, force);
    if (unwritten && isNew) rmdirSync(folder);
    return unwritten && problemOf(unwritten.path, unwritten.fault);
  } catch (error) {
    const isLost = error instanceof Error && 'code' in error && error.code === 'ENOENT';
    return problemOf(folder, isLost ? 'the folder around it is not there' : faultWords(error));
  }
}
