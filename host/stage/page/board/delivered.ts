/**
 * What the board delivers, by its own telemetry: where it stands, and the course of the take that it plays, in memory that does not grow.
 * It knows what the board was told, as the board does: no servo says where it is.
 */
import { ForwardSolver, type MutablePose } from '../../../physics/kinematics/forward.ts';
import { HOME, type Pose, type Rig, toDeg } from '../../../rig/rig.ts';
import type { BoardSays } from '../../line-words.ts';
import { columnsOf } from '../../take/lanes.ts';
import type { Stance } from '../prop/scene.ts';

/** Further on than this from one sample to the next, s: another play, or telemetry was missed; either way the course begins anew. */
const GAP_S = 1;
/** Samples kept: five minutes of 50 in a second; the oldest make way. */
export const ROOM = 15_000;

export class BoardDelivered {
  /** The take's name, as its file has it; null: none has been played. */
  take: string | null = null;
  /** Samples that came, those that have made way too. */
  count = 0;
  /** Of the take, s, by sample modulo ROOM; only goes on. */
  private readonly t_s = new Float64Array(ROOM);
  /** By column, mm or deg, by sample modulo ROOM. */
  private readonly samples: ReadonlyMap<string, Float32Array>;
  private readonly solver: ForwardSolver | null;
  private readonly last: MutablePose = [...HOME];

  constructor(rig: Rig) {
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
    this.samples = new Map(columnsOf(rig).map((column) => [column, new Float32Array(ROOM)]));
  }

  /** Takes what the board says; how it stands, null while it is limp: then nobody knows. */
  push(says: BoardSays): Stance | null {
    const pose = this.poseOf(says.position);
    if (says.told_s !== null) this.keep(says, says.told_s, pose);
    return says.state === 'limp' ? null : { coordinates: says.position, pose };
  }

  private poseOf(position: readonly number[]): Pose | null {
    if (!this.solver) return null;
    const stands = this.solver.solve(Float64Array.from(position), this.last, this.last) && !this.solver.flipped;
    return stands ? ([...this.last] as unknown as Pose) : null;
  }

  private keep({ take, position }: BoardSays, t_s: number, pose: Pose | null): void {
    const before_s = this.count === 0 ? -Infinity : this.t_s[(this.count - 1) % ROOM]!;
    if (take !== this.take || t_s < before_s || t_s > before_s + GAP_S) {
      this.take = take;
      this.count = 0;
    } else if (t_s === before_s) return;
    const at = this.count++ % ROOM;
    this.t_s[at] = t_s;
    const legs = this.solver ? 6 : 0;
    let k = 0;
    for (const [column, samples] of this.samples) {
      const value = k < legs ? (pose?.[k] ?? NaN) : position[k]!;
      samples[at] = column.endsWith('_deg') ? toDeg(value) : value;
      k++;
    }
  }

  /** A column's course between two times of the take, oldest first, at most so many points: [s, mm or deg]. */
  course(column: string, from_s: number, to_s: number, points = 800): (readonly [number, number])[] {
    const samples = this.samples.get(column);
    if (!samples) return [];
    const first = this.from(from_s);
    const end = Math.min(this.count, this.from(to_s) + 1);
    const every = Math.max(1, Math.ceil((end - first) / points));
    const course: (readonly [number, number])[] = [];
    for (let n = first; n < end; n += every) {
      const value = samples[n % ROOM]!;
      if (!Number.isNaN(value)) course.push([this.t_s[n % ROOM]!, value]);
    }
    return course;
  }

  /** The first sample kept that is not before this time: by halving. */
  private from(t_s: number): number {
    let [low, high] = [Math.max(0, this.count - ROOM), this.count];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.t_s[middle % ROOM]! < t_s) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}
