/** `posewright reach`: how far the platform travels, what stops it, and which dimension would make it go further. */
import type { Command } from 'commander';
import { whatStops } from '../physics/inverse.ts';
import type { ReachOptions } from '../reach/reach.ts';
import { reach as reachOf } from '../reach/reach.ts';
import { stopWords } from '../reach/words.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import type { Done, ExitCode, Io } from './io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from './output.ts';
import { readBox, readPlane, readWhole } from './reach-options.ts';
import { reachWords } from './reach-words.ts';
import { readRigFile, shownName } from './rig-input.ts';
import { readPose } from './six-numbers.ts';

interface Options {
  readonly at?: string;
  readonly plane?: string;
  readonly box?: string;
  readonly samples: string;
  readonly seed: string;
  readonly sensitivity?: true;
  readonly json?: true;
}

const HELP = `
Travel is counted from home, or from the pose of --at, along one axis at a time with the others held, to the first thing that
stops it; what could be reached again beyond that does not count. x points where the character looks, y to its left, z up;
pitch turns the nose down, yaw turns it left. A map (--plane) and a box (--box) take each pose on its own.
Exit code 1: the plate would hang loose somewhere on the way, or the box is not all in reach.

Examples:
  posewright reach night-owl.yaml
  posewright reach night-owl.yaml --sensitivity                    which dimension would give more
  posewright reach night-owl.yaml --at 0,0,0,0,-8,0 --plane x,yaw
  posewright reach night-owl.yaml --box "x=-10..10,yaw=-15..15"    how much of what the show needs`;

const MOST_SAMPLES = 10_000_000;

export function registerReach(program: Command, io: Io, done: Done): void {
  program
    .command('reach')
    .summary('before cutting: how far it travels and tilts, and what stops it')
    .description(
      'Says how far the platform travels and tilts from home, what stops it there, and how firmly it is held.',
    )
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--at <x,y,z,roll,pitch,yaw>', 'count from this pose instead of home, in mm and degrees')
    .option('--plane <axis,axis>', 'a map of two axes, such as x,yaw: what stops it where')
    .option('--box <ranges>', 'share of a wanted box in reach, such as "x=-10..10,yaw=-15..15"')
    .option('--samples <n>', 'poses drawn from the box', '20000')
    .option('--seed <n>', 'of the drawing: the same seed draws the same poses', '1')
    .option('--sensitivity', 'what each dimension, changed by a step, would make of each travel')
    .option('--json', 'one JSON document: {home_z_mm, axes, condition, …}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await reach(path, options, io));
    });
}

/** What the options ask, or all that is wrong with them. */
function readOptions(options: Options): ReachOptions | { readonly problems: readonly Problem[] } {
  const at = options.at === undefined ? { pose: HOME } : readPose('--at', options.at);
  const plane = options.plane === undefined ? { plane: null } : readPlane(options.plane);
  const box = options.box === undefined ? { box: null } : readBox(options.box);
  const samples = readWhole('--samples', options.samples, 1, MOST_SAMPLES);
  const seed = readWhole('--seed', options.seed, -(2 ** 31), 2 ** 31 - 1);
  if ('problems' in at || 'problems' in plane || 'problems' in box || 'problems' in samples || 'problems' in seed)
    return { problems: [at, plane, box, samples, seed].flatMap((read) => ('problems' in read ? read.problems : [])) };
  return {
    at: at.pose,
    planes: plane.plane ? [plane.plane] : [],
    box: box.box,
    samples: samples.whole,
    seed: seed.whole,
    sensitivity: options.sensitivity === true,
  };
}

async function reach(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const asked = readOptions(options);
  if ('problems' in asked) return refuse(io, json, asked.problems);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  const fault = cannotStand(rig, asked);
  if (fault !== null) return refuse(io, json, [problemOf(rig.platform ? '--at' : shownName(path), fault)]);
  printProblems(io, io.stderr, problems);
  const { answer } = reachOf(rig, asked);
  if (json) printJson(io, answer);
  else io.stdout.write(reachWords(answer, shownName(path), io));
  return answer.ok ? 0 : 1;
}

/** Why there is nothing to count from; null: there is. */
function cannotStand(rig: Rig, { at }: ReachOptions): string | null {
  if (!rig.platform) return 'this rig has joints only: without a platform there is no pose to travel from';
  const stop = whatStops(rig, at);
  return (
    stop && `the prop cannot stand at this pose, for ${stopWords(stop)}: travel needs a pose in reach to begin from`
  );
}
