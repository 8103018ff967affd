/** `posewright measure`: what workshop readings say of a rig, each with its tolerance, and into the rig file on request. */
import { readFile } from 'node:fs/promises';
import type { Command } from 'commander';
import type { Measurement, Outcome } from '../../bringup/measurement.ts';
import { MEASUREMENTS } from '../../bringup/measurements.ts';
import { type MeshProblem, type Triangles, readStl } from '../../rig/mesh/stl.ts';
import { withFigures } from '../../rig/edit.ts';
import { readRig } from '../../rig/read.ts';
import { faultWords } from '../faults.ts';
import { readText, refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { type Problem, printJson, problemOf, refuse } from '../output.ts';
import { differenceLines, refusedRigEdit, writeRigEdit } from '../rig-edit.ts';
import { isStdin, shownName } from '../stdin.ts';
import { type Texts, addMeasureOptions, asReadings, measurementOf, readReadings, subjectOf } from './options.ts';
import { measureJson, measureWords } from './words.ts';

const BY = 'measured by posewright';

const HELP = `
Each says what it found, plus or minus what your tools may be off by (19 times in 20), and what it
would write. With -w it writes: comments stay, and the old file is kept as RIG.before-1.yaml.

${MEASUREMENTS.map(({ what, summary }) => `  ${what.padEnd(9)}${summary}`).join('\n')}

Examples:
  posewright measure night-owl.yaml pull --joint nod --radius-mm 80 --up-kg 1.2 --down-kg 0.8
  posewright measure night-owl.yaml swing --joint lid --swings 20 --seconds 18.4 --string-mm 600 --apart-mm 40
  posewright measure night-owl.yaml sag --joint nod --weight-kg 1 --arm-mm 60 --sag-mm 4 --pointer-mm 200 -w
  posewright measure night-owl.yaml wobble --swings 8 --seconds 2.6 --first 12 --last 5`;

export function registerMeasure(program: Command, io: Io, done: Done): void {
  const command = program
    .command('measure')
    .description(
      'Turns workshop readings into figures of the rig, with where they come from and how far they may be off.',
    )
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .argument('<what>', MEASUREMENTS.map(({ what }) => what).join(', '));
  addMeasureOptions(command)
    .option('-w, --write', 'write the figures into the rig file; the old one is kept beside it')
    .option('--json', 'one JSON document: {what, found, changes, difference, …}')
    .addHelpText('after', HELP)
    .action(async (path: string, what: string, texts: Texts) => {
      done(await measure(path, what, texts, io));
    });
}

/** All that is wrong before any file is read. */
function fileFaults(path: string, texts: Texts): Problem[] {
  const writes = texts['write'] === true;
  if (writes && isStdin(path)) return [problemOf('--write', 'only a file can be written: name the rig')];
  const refusal = refusedInput(path) ?? (writes ? refusedRigEdit(path) : null);
  return refusal === null ? [] : [problemOf(path, refusal)];
}

async function measure(path: string, what: string, texts: Texts, io: Io): Promise<ExitCode> {
  const json = texts['json'] === true;
  const measurement = measurementOf(what);
  if ('message' in measurement) return refuse(io, json, [...fileFaults(path, texts), measurement]);
  const { readings, problems } = readReadings(measurement, texts);
  const faults = [...fileFaults(path, texts), ...problems];
  if (faults.length > 0) return refuse(io, json, faults);

  const file = shownName(path);
  const read = await readText(path, io);
  if ('fault' in read) return refuse(io, json, [problemOf(file, read.fault)]);
  const { rig, problems: wrong } = readRig(read.text, file, filesBeside(path));
  if (!rig)
    return refuse(
      io,
      json,
      wrong.map((problem) => ({ file, ...problem })),
    );
  const stl = texts['stl'];
  const mesh = typeof stl === 'string' ? await readMesh(stl) : null;
  if (mesh && 'problem' in mesh) return refuse(io, json, [problemOf(shownName(String(stl)), mesh.problem)]);
  const subject = subjectOf(rig, texts, mesh);
  if ('message' in subject) return refuse(io, json, [subject]);
  const outcome = measurement.work(subject, asReadings(rig, readings));
  if ('problem' in outcome) return refuse(io, json, [problemOf(outcome.option, outcome.problem)]);
  const text = newText(path, read.text, outcome);
  if (typeof text !== 'string') return refuse(io, json, [{ ...text, file }]);
  return tell(measurement, outcome, { path, before: read.text, after: text, write: texts['write'] === true }, json, io);
}

async function readMesh(path: string): Promise<Triangles | MeshProblem> {
  try {
    return readStl(await readFile(path));
  } catch (error) {
    return { problem: faultWords(error) };
  }
}

const NO_PLACE =
  'nothing is written: a figure is shared (a YAML anchor), or there is no group of keys for it. Give it a place of its own';

/** The rig file with the figures, which must be a rig; or why there is none. */
function newText(path: string, before: string, { changes }: Outcome): string | Omit<Problem, 'file'> {
  if (changes.length === 0) return before;
  const after = withFigures(before, changes, BY);
  if (after === null) return problemOf('', NO_PLACE);
  const wrong = readRig(after, undefined, filesBeside(path)).problems.find(({ severity }) => severity === 'error');
  return wrong
    ? { ...wrong, message: `nothing is written, since the rig would not be right: ${wrong.message}` }
    : after;
}

interface RigText {
  readonly path: string;
  readonly before: string;
  readonly after: string;
  readonly write: boolean;
}

function tell(measurement: Measurement, outcome: Outcome, rig: RigText, json: boolean, io: Io): ExitCode {
  const { path, before, after, write } = rig;
  const isNew = after !== before;
  const written = write && isNew ? writeRigEdit(path, before, after) : null;
  if (written && 'fault' in written) return refuse(io, json, [problemOf(written.path, written.fault)]);
  const told = {
    measurement,
    outcome,
    file: shownName(path),
    difference: isNew ? differenceLines(before, after) : [],
    kept: written && shownName(written.kept),
  };
  if (json) printJson(io, measureJson(told));
  else io.stdout.write(measureWords(told, io));
  return 0;
}
