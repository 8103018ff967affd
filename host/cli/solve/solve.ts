/** `posewright solve`: where the legs stand for one pose and what stops it; or, the other way round, which pose legs hold. */
import type { Command } from 'commander';
import { poseFromHome } from '../../physics/kinematics/forward.ts';
import { inverseInto, whatStops, whatStopsLegs } from '../../physics/kinematics/inverse.ts';
import { type Joint, type Platform, type Pose, type Rig, toRad, toShown } from '../../rig/rig.ts';
import { touchAt } from '../../reach/bodies.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { type Problem, printJson, problemOf, refuse } from '../output.ts';
import { shownName } from '../stdin.ts';
import { poseRecord } from '../rig-summary.ts';
import { readLegs, readPose } from '../six-numbers.ts';
import { legsWords, poseWords } from './words.ts';
import { pulseAt } from '../../rig/pulse.ts';

interface Options {
  readonly pose?: string;
  readonly cranks?: string;
  readonly lengths?: string;
  readonly json?: true;
}

const HELP = `
A pose is a displacement from home along and about the axes of what carries the platform: x where
the character looks, y its left, z its up, in mm; roll, pitch, yaw in degrees: pitch turns the
nose down, yaw turns it left.
With --cranks or --lengths all legs move there from home together, at even rates.
Soft limits are a joint's limit_deg or limit_mm in the rig file. Room is the distance left to the
soft limit; negative = beyond it.
Bodies that come nearer than gap_mm there are told where the rig file gives platform.clearance;
they do not count as what stops it.
Exit code 1: something stops it.

Examples:
  posewright solve night-owl.yaml --pose 0,0,2,0,-4,6
  posewright solve night-owl.yaml --cranks 0,10,0,-10,0,5          cranks, in degrees
  posewright solve lift.yaml --lengths 150,150,152,152,150,150     linear actuators, in mm`;

export function registerSolve(program: Command, io: Io, done: Done): void {
  program
    .command('solve')
    .description('Says whether the platform can reach a pose, what stops it, and where each leg is then.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--pose <x,y,z,roll,pitch,yaw>', 'the pose, from home, in mm and degrees')
    .option('--cranks <a1,…,a6>', 'instead: crank angles in degrees, and it finds the pose')
    .option('--lengths <l1,…,l6>', 'instead: actuator lengths in mm, pin to pin, and it finds the pose')
    .option('--json', 'one JSON document: {reachable, joints, stopped_by, touching} or {pose, residual_mm, …}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await solve(path, options, io));
    });
}

async function solve(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  if (!rig.platform)
    return refuse(io, json, [
      problemOf(shownName(path), 'this rig has joints only: without a platform there is no pose'),
    ]);
  const question = questionOf(options, rig.platform);
  if ('problems' in question) return refuse(io, json, question.problems);
  countWarnings(io, path, problems);
  if ('pose' in question) return answerPose(rig, rig.platform, question.pose, json, io);
  return answerLegs(rig, rig.platform, question.legs, json, io);
}

type Question =
  { readonly pose: Pose } | { readonly legs: readonly number[] } | { readonly problems: readonly Problem[] };

/** What is asked, legs in rad or mm; or all that is wrong with how it is asked. */
function questionOf({ pose, cranks, lengths }: Options, { drive }: Platform): Question {
  const wrong = (option: string, message: string): Question => ({ problems: [problemOf(option, message)] });
  const given = [pose, cranks, lengths].filter((text) => text !== undefined).length;
  const other = drive === 'crank' ? '--cranks' : '--lengths';
  if (given !== 1)
    return wrong(
      'solve',
      `give either --pose or ${other}: ${given === 0 ? 'neither is given' : 'more than one is given'}`,
    );
  if (pose !== undefined) return readPose('--pose', pose);
  if (cranks !== undefined && drive === 'linear')
    return wrong('--cranks', 'this platform has linear actuators: --lengths takes their lengths in mm');
  if (lengths !== undefined && drive === 'crank')
    return wrong('--lengths', 'this platform has cranks: --cranks takes their angles in degrees');
  const read = readLegs(other, cranks ?? lengths ?? '');
  return 'problems' in read ? read : { legs: read.legs.map((at) => (drive === 'crank' ? toRad(at) : at)) };
}

/** One leg's document; null where it does not reach. */
function legJson(joint: Joint, at: number): Record<string, unknown> {
  const reaches = !Number.isNaN(at);
  const shown = (value: number): number => toShown(joint, value);
  return {
    name: joint.name,
    [joint.unit === 'deg' ? 'angle_deg' : 'length_mm']: reaches ? shown(at) : null,
    pulse_us: reaches ? pulseAt(joint, at) : null,
    [`room_${joint.unit}`]: reaches ? [shown(at - joint.lo), shown(joint.hi - at)] : null,
  };
}

function answerPose(rig: Rig, platform: Platform, pose: Pose, json: boolean, io: Io): ExitCode {
  const legs = new Float64Array(6);
  inverseInto(platform, pose, legs);
  const stop = whatStops(rig, pose);
  const joints = rig.joints.slice(0, 6);
  if (json)
    printJson(io, {
      reachable: stop === null,
      joints: joints.map((joint, i) => legJson(joint, legs[i] ?? NaN)),
      stopped_by: stop,
      touching: touchAt(rig, pose),
    });
  else io.stdout.write(poseWords(rig, platform, pose, legs, stop, io) + caution(rig, pose));
  return stop === null ? 0 : 1;
}

/** What touches at a pose, as the last line; empty: nothing, or nothing is known of it. */
function caution(rig: Rig, pose: Pose | null): string {
  const words = pose && touchAt(rig, pose);
  return words ? `\nCaution: ${words}\n` : '';
}

function answerLegs(rig: Rig, platform: Platform, legs: readonly number[], json: boolean, io: Io): ExitCode {
  const found = poseFromHome(platform, legs);
  const stop = found && whatStopsLegs(rig, legs, found.pose);
  if (json)
    printJson(io, {
      pose: found && poseRecord(found.pose),
      residual_mm: found && found.residual_mm,
      stopped_by: stop,
      touching: found && touchAt(rig, found.pose),
    });
  else
    io.stdout.write(legsWords(rig, platform, legs, found?.pose ?? null, stop, io) + caution(rig, found?.pose ?? null));
  return found && stop === null ? 0 : 1;
}
