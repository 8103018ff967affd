/** A folder for a new prop from answers: its rig, a first stream, what to do next. Pure; asking and writing are the caller's. */
import { readRig } from '../rig/read.ts';
import { type Answered, type Fault, arises } from './answers.ts';
import { middleHeight_mm } from './derived.ts';
import { eachAxis } from './each-axis.ts';
import { type Key, QUESTIONS } from './questions.ts';
import { readme } from './readme.ts';
import { SCHEMA_FILE, rigFile, schemaText } from './rig-file.ts';

export interface NewFile {
  readonly name: string;
  readonly text: string;
}

/** The files, or what keeps these answers from being a rig, by the question to answer otherwise. */
export function newFolder(
  answered: Answered,
  name: string,
  responds = false,
): { readonly files: readonly NewFile[] } | { readonly faults: readonly Fault[] } {
  const { answers, typical } = answered;
  if (answers.drive === 'linear' && !(middleHeight_mm(answers) > 0)) {
    const message =
      'half out it is shorter than the way from the base to the plate is wide; allowed: a longer one, or rings of more equal size';
    return { faults: [{ question: 'stroke_mm', message }] };
  }
  const text = rigFile(answered, name);
  const { rig, problems } = readRig(text);
  const errors = problems.filter(({ severity }) => severity === 'error');
  if (!rig)
    return {
      faults: errors.map(({ path, message }) => ({ question: questionOf(path), message: `${path}: ${message}` })),
    };
  const assumed = QUESTIONS.filter((question) => typical.has(question.key) && arises(question, answers));
  return {
    files: [
      { name: 'rig.yaml', text },
      { name: 'each-axis.csv', text: eachAxis(rig) },
      {
        name: 'README.md',
        text: readme(
          name,
          assumed.map(({ key }) => key),
          responds,
        ),
      },
      { name: SCHEMA_FILE, text: schemaText() },
    ],
  };
}

/** Which answer a key of the rig file comes from: the longest beginning wins. */
const FROM: readonly (readonly [path: string, question: Key | 'name'])[] = [
  ['platform.stroke_mm', 'stroke_mm'],
  ['platform.limit_mm', 'stroke_mm'],
  ['platform.rod_mm', 'rod_mm'],
  ['platform.crank_mm', 'horn_mm'],
  ['platform.base', 'base_ring_mm'],
  ['platform.moving', 'plate_ring_mm'],
  ['platform.home_z_mm', 'rod_mm'],
  ['servos.neck', 'servo'],
  ['servos.stick', 'linear_servo'],
  ['servos.tilt', 'tilt_servo'],
  ['servos.face', 'face_servo'],
  ['joints', 'face'],
  ['supply', 'supply_v_a'],
  ['board', 'board'],
  ['rig', 'name'],
];

const questionOf = (path: string): string => FROM.find(([begin]) => path.startsWith(begin))?.[1] ?? 'drive';
