/**
 * A stream that asks a rig for all it has: each joint that is no leg from one soft limit to the other and back while the rest
 * stands at home, each command a jump, so that its limits alone shape the move; then, for the platform, quick looks from pose
 * to pose.
 */
import { whatStops } from '../physics/kinematics/inverse.ts';
import { Mechanism } from '../physics/dynamics/mechanism.ts';
import { type Posture, homePosture, postureAt, sameSide } from '../physics/dynamics/places.ts';
import { type Pose, type Rig, HOME, POSE_KEYS, toRad } from '../rig/rig.ts';
import { streamJoints } from '../stream/columns.ts';
import { StreamWriter } from '../stream/write.ts';
import type { Plan } from './plan.ts';

const HZ = 50;
/** A stream's angle may not jump further between two frames. */
const LARGEST_JUMP = toRad(80);
/** After a move, for the servo to come to rest, s; and how long a move is waited for at most. */
const REST_S = 0.6;
const LONGEST_S = 20;
const LOOKS = 24;
const LOOK_S = 0.3;

class Rows {
  private readonly writer: StreamWriter;
  private readonly lines: string[];
  private readonly values: Float64Array;
  private frames = 0;

  constructor(rig: Rig) {
    const names = streamJoints(rig);
    const pose = rig.platform ? POSE_KEYS : [];
    this.writer = new StreamWriter(rig, ['t_s', ...pose, ...names.map((name) => `${name}_deg`)]);
    this.lines = [this.writer.header];
    const others = rig.joints.filter(({ kind }) => kind !== 'leg');
    this.values = Float64Array.from([...HOME, ...others.map(({ home }) => home)]);
  }

  stand(for_s: number): void {
    for (let k = 0; k < for_s * HZ; k++) this.frame();
  }

  /** Where the k-th joint after the legs stands from now on. */
  put(k: number, at: number): void {
    this.values[POSE_KEYS.length + k] = at;
  }

  /** The k-th joint after the legs, as suddenly as a stream can. */
  jump(k: number, to: number): void {
    const at = POSE_KEYS.length + k;
    while (this.values[at] !== to) {
      const left = to - this.values[at]!;
      this.values[at] = Math.abs(left) <= LARGEST_JUMP ? to : this.values[at]! + Math.sign(left) * LARGEST_JUMP;
      this.frame();
    }
  }

  pose(pose: Pose): void {
    this.values.set(pose);
    this.frame();
  }

  text(): string {
    return this.lines.join('');
  }

  private frame(): void {
    this.lines.push(this.writer.row(this.frames++ / HZ, this.values));
  }
}

/** What is to be known of a joint for its exercise. */
type Exercised = Pick<Plan, 'name' | 'outcome' | 'full_range_s'>;

/**
 * @param looks poses for the platform to look to; empty: it stands at home.
 * @param upTo ends after the moves of the last of these, by name; null: none is left out.
 */
export function exercise(
  rig: Rig,
  plans: readonly Exercised[],
  looks: readonly Pose[],
  upTo: readonly string[] | null = null,
): string {
  const rows = new Rows(rig);
  rows.stand(REST_S);
  const others = rig.joints.filter(({ kind }) => kind !== 'leg');
  const isCut = upTo !== null && !upTo.includes('legs');
  const last = isCut ? others.findLastIndex(({ name }) => upTo.includes(name)) : others.length - 1;
  others.slice(0, last + 1).forEach((joint, k) => {
    const plan = plans.find(({ name }) => name === joint.name);
    if (!plan || plan.outcome === 'unknown') return;
    const wait_s = Math.min(LONGEST_S, Math.max(plan.full_range_s.before, plan.full_range_s.after)) + REST_S;
    for (const to of [joint.lo, joint.hi, joint.lo, joint.home]) {
      rows.jump(k, to);
      rows.stand(wait_s);
    }
  });
  if (isCut) return rows.text();
  for (const pose of looks) rows.pose(pose);
  if (looks.length > 0) rows.stand(REST_S);
  return rows.text();
}

/** A joint by its number after the legs, rad; or the platform. */
export type Move =
  | { readonly joint: number; readonly from: number; readonly to: number }
  | { readonly joint: null; readonly from: Pose; readonly to: Pose };

/** One move as sudden as a stream can have it, and rest after it; the others stand at home. */
export function oneMove(rig: Rig, move: Move, rest_s: number): string {
  const rows = new Rows(rig);
  if (move.joint === null) rows.pose(move.from);
  else rows.put(move.joint, move.from);
  rows.stand(REST_S);
  if (move.joint === null) rows.pose(move.to);
  else rows.jump(move.joint, move.to);
  rows.stand(rest_s);
  return rows.text();
}

/** Frames of quick, rounded looks from one posture's pose to the next, where all on the way is in reach and none of it loose; ends at home. */
export function quickLooks(rig: Rig, postures: readonly Posture[]): Pose[] {
  if (!rig.platform) return [];
  const every = Math.max(1, Math.floor(postures.length / LOOKS));
  const targets = postures.filter((_, k) => k % every === 0).map(({ pose }) => pose);
  const others = homePosture(rig).q.slice(6);
  const getsTo = sameSide(rig, new Mechanism(rig));
  const stands = (pose: Pose): boolean => {
    const posture = whatStops(rig, pose) ? null : postureAt(rig, pose, others);
    return posture !== null && getsTo(posture);
  };
  const frames: Pose[] = [];
  let from: Pose = HOME;
  for (const to of [...targets, HOME]) {
    const way = wayTo(from, to);
    if (!way.every(stands)) continue;
    frames.push(...way);
    from = to;
  }
  return frames;
}

function wayTo(from: Pose, to: Pose): Pose[] {
  const n = Math.round(LOOK_S * HZ);
  return Array.from({ length: n }, (_, k) => {
    const share = (1 - Math.cos((Math.PI * (k + 1)) / n)) / 2;
    return from.map((at, axis) => at + share * (to[axis]! - at)) as unknown as Pose;
  });
}
