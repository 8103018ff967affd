/**
 * What is read off a plate that stands on its servos' pulses: the pose by forward kinematics, then heights and tilts of it in the base's
 * frame. A tilt is the angle of the plate's x (or y) axis above the base plane: what a digital level shows that was zeroed on the
 * base and is laid along that axis, base level.
 */
import { ForwardSolver, type MutablePose, poseFromHome } from '../../physics/kinematics/forward.ts';
import { positionAt } from '../../rig/pulse.ts';
import { type Joint, type Platform, type Pose, type Vec3, toDeg } from '../../rig/rig.ts';
import { add, mulMat, mulVec, mulVecT, rpyMatrix, sub, transpose } from '../../rig/rotation.ts';
import type { Guess } from './figures.ts';

/** Columns of a table, and what their readings are usually off by, standard deviation (ours: a depth gauge, a digital level, a ruler). */
export const READINGS = {
  height_mm: 0.1,
  h1_mm: 0.1,
  h2_mm: 0.1,
  h3_mm: 0.1,
  tilt_x_deg: 0.05,
  tilt_y_deg: 0.05,
  yaw_deg: 0.5,
  x_mm: 0.5,
  y_mm: 0.5,
} as const;
export type ReadingName = keyof typeof READINGS;
export const READING_NAMES = Object.keys(READINGS) as ReadingName[];

/** Where h1_mm, h2_mm and h3_mm are measured: points of the moving plate, in its frame, mm. */
export type Points = Readonly<Partial<Record<ReadingName, Vec3>>>;

/** Leg coordinates (rad or mm) that six pulses mean, each centre shifted by so much. */
export const legsAt = (legs: readonly Joint[], pulses_us: readonly number[], shift_us: readonly number[]): number[] =>
  legs.map((leg, i) => positionAt({ ...leg, centre_us: leg.centre_us + (shift_us[i] ?? 0) }, pulses_us[i] ?? NaN));

/** Poses at rows of pulses, by a guess of the geometry; every solve starts from the row's own pose by the rig. */
export class Poses {
  private readonly legs: readonly Joint[];
  private readonly rows: readonly (readonly number[])[];
  private readonly starts: readonly (Pose | null)[];

  /** @param legs leg1 … leg6; @param rows six pulses each, µs. */
  constructor(platform: Platform, legs: readonly Joint[], rows: readonly (readonly number[])[]) {
    this.legs = legs;
    this.rows = rows;
    this.starts = rows.map((pulses_us) => poseFromHome(platform, legsAt(legs, pulses_us, []))?.pose ?? null);
  }

  /** The row that the rig's own geometry cannot stand on; -1: none. */
  get unreachable(): number {
    return this.starts.indexOf(null);
  }

  /** One pose a row; null: the legs do not go together so. */
  at({ platform, centre_us }: Guess): (Pose | null)[] {
    const solver = new ForwardSolver(platform);
    return this.rows.map((pulses_us, i) => {
      const start = this.starts[i];
      const pose: MutablePose = [0, 0, 0, 0, 0, 0];
      return start && solver.solve(legsAt(this.legs, pulses_us, centre_us), start, pose) ? pose : null;
    });
  }
}

/** A reading of a plate in a pose, in its unit. */
export function readingOf(name: ReadingName, { platform, zero_mm }: Guess, pose: Pose, points: Points): number {
  const mount = rpyMatrix(platform.mount.rpy_rad);
  const turn = mulMat(transpose(mount), mulMat(rpyMatrix([pose[3], pose[4], pose[5]]), mount));
  const home: Vec3 = add(platform.pivot_mm, [0, 0, platform.home_z_mm]);
  const pivot = add(home, mulVecT(mount, [pose[0], pose[1], pose[2]]));
  const height = (of: Vec3): number => add(pivot, mulVec(turn, sub(of, platform.pivot_mm)))[2] + zero_mm;
  switch (name) {
    case 'height_mm':
      return pivot[2] + zero_mm;
    case 'h1_mm':
    case 'h2_mm':
    case 'h3_mm':
      return height(points[name] ?? [NaN, NaN, NaN]);
    case 'tilt_x_deg':
      return toDeg(Math.asin(turn[6]));
    case 'tilt_y_deg':
      return toDeg(Math.asin(turn[7]));
    case 'yaw_deg':
      return toDeg(Math.atan2(turn[3], turn[0]));
    case 'x_mm':
      return pivot[0];
    case 'y_mm':
      return pivot[1];
  }
}
