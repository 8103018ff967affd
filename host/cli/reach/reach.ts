/** `posewright reach`: how far the platform travels, what stops it, and which dimension would make it go further. */
import type { Command } from 'commander';
import { whatStops } from '../../physics/kinematics/inverse.ts';
import type { PoseAxis } from '../../physics/kinematics/travel.ts';
import type { ReachOptions } from '../../reach/reach.ts';
import { reach as reachOf } from '../../reach/reach.ts';
import { stopWords } from '../../reach/words.ts';
import { renderReachReport } from '../../report/reach-report.ts';
import { HOME, type Rig } from '../../rig/rig.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, problemOf, refuse } from '../output.ts';
import { refusedPage, writeAll } from '../outputs.ts';
import { readBox, readPlane, readWhole } from './options.ts';
import { reachWords } from './words.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { readPose } from '../six-numbers.ts';

interface Options {
  readonly at?: string;
  readonly plane?: string;
  readonly box?: string;
  readonly samples: string;
  readonly seed: string;
  readonly sensitivity?: true;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Travel is measured from home, or from the pose of --at, along one axis at a time with the others
held, to the first thing that stops it; poses that could be reached again beyond that do not
count. Soft limits are limit_deg and limit_mm in the rig file. x points where the character looks,
y to its left, z up; pitch turns the nose down, yaw turns it left. A map (--plane) and a box
(--box) judge each pose by itself.
Exit code 1: the plate would hang loose (not held firmly) somewhere on the way, or part of the box
is out of reach.

Examples:
  posewright reach night-owl.yaml
  posewright reach night-owl.yaml --sensitivity                    which dimension would give more
  posewright reach night-owl.yaml --sensitivity --report reach.html
  posewright reach night-owl.yaml --at 0,0,0,0,-8,0 --plane x,yaw
  posewright reach night-owl.yaml --box "x=-10..10,yaw=-15..15"    how much of this range it reaches`;

const MOST_SAMPLES = 10_000_000;

export function registerReach(program: Command, io: Io, done: Done): void {
  program
    .command('reach')
    .description(
      'Says how far the platform travels and tilts from home, what stops it there, and how firmly it is held.',
    )
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--at <x,y,z,roll,pitch,yaw>', 'measure from this pose instead of home, in mm and degrees')
    .option('--plane <axis,axis>', 'a map of two axes, such as x,yaw: what stops it where')
    .option('--box <ranges>', 'a range of poses you want: how much of it is in reach, such as "x=-10..10,yaw=-15..15"')
    .option('--samples <n>', 'random poses tried in the box', '20000')
    .option('--seed <n>', 'random seed: the same seed tries the same poses', '1')
    .option('--sensitivity', 'how each travel would change with each dimension of the platform')
    .option('--report <file.html>', 'write a page with pictures of the ends of travel, maps and tables')
    .option('--force', 'overwrite a report that exists already')
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
    planes: planesOf(plane.plane, options.report !== undefined),
    box: box.box,
    samples: samples.whole,
    seed: seed.whole,
    sensitivity: options.sensitivity === true,
  };
}

type Axes = readonly [across: PoseAxis, up: PoseAxis];

/** Maps that a page shows unless others are asked for: looking about, leaning while turned, shifting, nodding while raised. */
const OF_A_PAGE: readonly Axes[] = [
  [5, 4],
  [5, 3],
  [1, 2],
  [4, 2],
];

/** The one asked for; on a page, the usual ones after it. */
function planesOf(asked: Axes | null, isPage: boolean): readonly Axes[] {
  const usual = isPage ? OF_A_PAGE.filter((axes) => axes.join() !== asked?.join()) : [];
  return [...(asked ? [asked] : []), ...usual].slice(0, OF_A_PAGE.length);
}

async function reach(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const asked = readOptions(options);
  const { report } = options;
  const refusal = report === undefined ? null : refusedPage(report, options.force === true, [path]);
  const wrong = [
    ...('problems' in asked ? asked.problems : []),
    ...(report !== undefined && refusal !== null ? [problemOf(report, refusal)] : []),
  ];
  if ('problems' in asked || wrong.length > 0) return refuse(io, json, wrong);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  const fault = cannotStand(rig, asked);
  if (fault !== null) return refuse(io, json, [problemOf(rig.platform ? '--at' : shownName(path), fault)]);
  countWarnings(io, path, problems);
  const answer = reachOf(rig, asked);
  if (report !== undefined) {
    const page = { path: report, text: renderReachReport(rig, asked.at, answer) };
    const unwritten = writeAll([page], options.force === true);
    if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  }
  if (json) printJson(io, answer);
  else
    io.stdout.write(
      reachWords(answer, { rig: shownName(path), report: report ?? null, map: options.plane !== undefined }, io),
    );
  return answer.ok ? 0 : 1;
}

/** Why there is nothing to count from; null: there is. */
function cannotStand(rig: Rig, { at }: ReachOptions): string | null {
  if (!rig.platform) return 'this rig has joints only: without a platform there is no pose to travel from';
  const stop = whatStops(rig, at);
  return (
    stop && `the prop cannot reach this pose because of ${stopWords(stop)}: travel has to start from a pose in reach`
  );
}
