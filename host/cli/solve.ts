/** `posewright solve`: where the legs stand for one pose and whether anything stops it; or which pose six legs hold. */
import type { Command } from 'commander';
import { type MutablePose, poseFromHome } from '../physics/forward.ts';
import { type Stop, inverseInto, whatStops, whatStopsLegs } from '../physics/inverse.ts';
import { type Joint, type Platform, type Pose, POSE_KEYS, type Rig, toRad, toShown } from '../rig/rig.ts';
import { readNumber } from '../stream/decimal.ts';
import type { Done, ExitCode, Io } from './io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from './output.ts';
import { readRigFile, shownName } from './rig-input.ts';
import { poseRecord, pulse } from './rig-summary.ts';
import { legsWords, poseWords } from './solve-words.ts';

/** The platform's rig, and what was asked of it: a pose, or six leg coordinates (rad or mm). */
type Question =
  | { readonly ask: 'pose'; readonly pose: Pose }
  | { readonly ask: 'legs'; readonly legs: readonly number[] };

/** Where one leg stands, or would have to; rad or mm, null where it cannot reach. */
export interface LegAnswer {
  readonly joint: Joint;
  readonly at: number | null;
  readonly pulse_us: number | null;
  /** Distance down and up to the soft limits; below 0 when past one. */
  readonly room: readonly [down: number, up: number] | null;
}

interface Options {
  readonly pose?: string;
  readonly cranks?: string;
  readonly lengths?: string;
  readonly json?: true;
}

const HELP = `
A pose is a displacement from home along and about the axes of what carries the platform: x where the character looks,
y its left, z its up, in mm; roll, pitch, yaw in degrees, pitch down and yaw left positive.
Room is the distance to the soft limits. Legs given with --cranks or --lengths are moved from home, all together.

Examples:
  posewright solve night-owl.yaml --pose 0,0,5,0,-10,20
  posewright solve night-owl.yaml --cranks 0,10,0,-10,0,5      a platform with cranks, in degrees
  posewright solve lift.yaml --lengths 150,150,152,152,150,150   one with linear actuators, in mm`;

export function registerSolve(program: Command, io: Io, done: Done): void {
  program
    .command('solve')
    .summary('one pose: can it get there, what stops it, where the legs stand')
    .description('Says whether the platform can stand at a pose, what stops it, and where each leg stands then.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--pose <x,y,z,roll,pitch,yaw>', 'the pose, from home: mm and degrees')
    .option('--cranks <a1,…,a6>', 'the other way round: crank angles in degrees')
    .option('--lengths <l1,…,l6>', 'the other way round: actuator lengths in mm, pin to pin')
    .option('--json', 'one JSON document: {reachable, joints, stopped_by}, or {pose, residual_mm, stopped_by}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await solve(path, options, io));
    });
}

async function solve(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  const { platform } = rig;
  if (!platform)
    return refuse(io, json, [problemOf(shownName(path), 'this rig has joints only, no platform: nothing to solve')]);
  const question = questionOf(options, platform);
  if (Array.isArray(question)) return refuse(io, json, question);
  printProblems(io, io.stderr, problems);
  return question.ask === 'pose'
    ? answerPose(rig, platform, question.pose, json, io)
    : answerLegs(rig, platform, question.legs, json, io);
}

/** What is asked, or all that is wrong with how. */
function questionOf({ pose, cranks, lengths }: Options, platform: Platform): Question | Problem[] {
  const own = platform.drive === 'crank' ? '--cranks' : '--lengths';
  const given = [pose, cranks, lengths].filter((text) => text !== undefined).length;
  if (given !== 1) return [problemOf('solve', `it takes one of --pose and ${own}, and ${given === 0 ? 'none' : 'more than one'} is given`)];
  if (pose !== undefined) {
    const numbers = sixNumbers('--pose', pose, POSE_KEYS);
    return typeof numbers[0] === 'number' ? { ask: 'pose', pose: poseOf(numbers as number[]) } : (numbers as Problem[]);
  }
  if (cranks !== undefined && platform.drive === 'linear')
    return [problemOf('--cranks', 'this platform has linear actuators, no cranks: use --lengths, in mm')];
  if (lengths !== undefined && platform.drive === 'crank')
    return [problemOf('--lengths', 'this platform has cranks, no linear actuators: use --cranks, in degrees')];
  const read = sixNumbers(own, cranks ?? lengths ?? '', ['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6']);
  if (typeof read[0] !== 'number') return read as Problem[];
  return { ask: 'legs', legs: (read as number[]).map(platform.drive === 'crank' ? toRad : (mm) => mm) };
}
