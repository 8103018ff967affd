/** How far a platform goes before metal is cut: travel, firmness, and what was asked besides. */
import { firmnessAt } from '../physics/kinematics/firmness.ts';
import type { PoseAxis } from '../physics/kinematics/travel.ts';
import { POSE_KEYS, type Platform, type Pose, type Rig, type Source } from '../rig/rig.ts';
import { AXES, type AxisName, nameOf, settled, shownAs } from './axes.ts';
import { type Range, boxShare } from './box.ts';
import { planeAbout } from './plane.ts';
import type { FirmTravel, ReachAnswer } from './result.ts';
import { touchWords } from './bodies.ts';
import { sensitivity, unsure } from './sensitivity.ts';
import { firmTravel, travelsOf } from './travels.ts';
import { warningsOf } from './words.ts';

export interface ReachOptions {
  /** Where travel is counted from: nothing may stop the rig there. */
  readonly at: Pose;
  readonly planes: readonly (readonly [across: PoseAxis, up: PoseAxis])[];
  readonly box: readonly Range[] | null;
  readonly samples: number;
  readonly seed: number;
  readonly sensitivity: boolean;
}

/** Pose components with nearly the largest share of what the plate is held against least. */
const NEARLY = 0.8;

const weakestOf = (shares: readonly number[]): AxisName[] =>
  AXES.filter((axis) => (shares[axis] ?? 0) >= NEARLY * Math.max(...shares)).map(nameOf);

const GUESSED: readonly Source['from'][] = ['estimate', 'assumed'];

function restsOn({ sources }: Rig, platform: Platform): string[] {
  const guessed = [...sources].filter(([path, { from }]) => path.startsWith('platform.') && GUESSED.includes(from));
  return [
    platform.clearance
      ? 'rigid rods, cranks and plates; what touches is looked at where travel begins and ends, nowhere between'
      : 'rigid rods, cranks and plates; collisions between them are not checked',
    ...(platform.drive === 'crank' && platform.rod_end_rad === null
      ? ['rod ends that tilt without limit: rod_end_deg is not in the rig file']
      : []),
    ...(guessed.length > 0 ? [`figures that were guessed: ${guessed.map(([path]) => path).join(', ')}`] : []),
  ];
}

/** The answer for a rig with a platform. */
export function reach(rig: Rig, options: ReachOptions): ReachAnswer {
  const { platform } = rig;
  if (!platform) throw new Error(`rig ${rig.name} has no platform`);
  const { at } = options;
  const begin = firmnessAt(platform, at);
  const travels = travelsOf(rig, at);
  const axes: FirmTravel[] = travels.map((both) => firmTravel(platform, at, both, begin));
  const box = options.box && boxShare(rig, at, options.box, options.samples, options.seed);
  const loose = axes.some((way) => way.minus_firmness.loose_at !== null || way.plus_firmness.loose_at !== null);
  const without = {
    ok: (begin?.condition ?? null) !== null && !loose && (box?.share ?? 1) === 1,
    rig: rig.name,
    home_z_mm: platform.home_z_mm,
    at: Object.fromEntries(AXES.map((axis) => [POSE_KEYS[axis] ?? '', settled(shownAs(axis, at[axis]))])),
    axes,
    condition: begin?.condition ?? null,
    weakest: begin ? weakestOf(begin.weakest) : [],
    in_line: begin === null,
    box,
    planes: options.planes.map(([across, up]) => planeAbout(rig, at, across, up)),
    changes: options.sensitivity ? sensitivity(rig, at) : null,
    unsure: unsure(rig, at, axes),
    rests_on: restsOn(rig, platform),
  };
  return { ...without, warnings: [...warningsOf(without), ...touchWords(rig, at, travels)] };
}
