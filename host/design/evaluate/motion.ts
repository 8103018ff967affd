/** A sampled stream as instants: how plate and axes go at every tick, by differences from tick to tick, as finely as anything is asked. */
import { withinLimits } from '../../physics/dynamics/beyond.ts';
import type { Pose, Rig, Vec3 } from '../../rig/rig.ts';
import { type Mat3, mulMat, rpyMatrix, transpose } from '../../rig/rotation.ts';
import type { SampledStream } from './ask.ts';
import { type Instant, Instants, type StandIns, putInstant } from './instants.ts';

const MM = 1e-3;

/** All ticks of a stream. */
export function instantsAlong(stands: StandIns, stream: SampledStream): Instants {
  const out = new Instants(stream.ticks, stands);
  for (let n = 0; n < stream.ticks; n++) putInstant(stands, instantAt(stands.rig, stream, n), out, n);
  return out;
}

function instantAt(rig: Rig, { rows, size, dt_s }: SampledStream, n: number): Instant {
  const [before, here, after] = [0, 1, 2].map((k) => rows.subarray((n + k) * size, (n + k + 1) * size)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const [first, second] = [turned(before, here), turned(here, after)];
  const joints = rig.joints.length;
  const others = { q: new Float64Array(joints), v: new Float64Array(joints), a: new Float64Array(joints) };
  for (let i = 6; i < joints; i++) goOther(rig, i, before, here, after, dt_s, others);
  const speed = (k: number): number => ((after[k]! - before[k]!) * MM) / (2 * dt_s);
  const bend = (k: number): number => ((after[k]! - 2 * here[k]! + before[k]!) * MM) / dt_s ** 2;
  return {
    pose: [...here.subarray(0, 6)] as unknown as Pose,
    twist: Float64Array.from([0, 1, 2, 3, 4, 5], (k) =>
      k < 3 ? speed(k) : (second[k - 3]! + first[k - 3]!) / (2 * dt_s),
    ),
    rate: Float64Array.from([0, 1, 2, 3, 4, 5], (k) =>
      k < 3 ? bend(k) : (second[k - 3]! - first[k - 3]!) / dt_s ** 2,
    ),
    others,
  };
}

/** A joint that the stream leaves alone stands at home; one that is asked beyond its soft limits stands at them (load/demand.ts). */
function goOther(
  { joints }: Rig,
  i: number,
  before: Float64Array,
  here: Float64Array,
  after: Float64Array,
  dt_s: number,
  out: { q: Float64Array; v: Float64Array; a: Float64Array },
): void {
  const joint = joints[i]!;
  const at = (row: Float64Array): number => (Number.isNaN(row[i]!) ? joint.home : row[i]!);
  const [p, q, r] = [at(before), at(here), at(after)];
  out.q[i] = q;
  if (Math.min(p, q, r) < joint.lo || Math.max(p, q, r) > joint.hi) {
    out.q[i] = withinLimits(joint, q);
    return;
  }
  out.v[i] = (r - p) / (2 * dt_s);
  out.a[i] = (r - 2 * q + p) / dt_s ** 2;
}

/** The turn from one pose to another as a vector: along its axis, as long as its angle (below half a turn). */
function turned(from: Float64Array, to: Float64Array): Vec3 {
  const R = (row: Float64Array): Mat3 => rpyMatrix([row[3]!, row[4]!, row[5]!]);
  const m = mulMat(R(to), transpose(R(from)));
  const [x, y, z] = [(m[7] - m[5]) / 2, (m[2] - m[6]) / 2, (m[3] - m[1]) / 2];
  const sine = Math.hypot(x, y, z);
  const cosine = (m[0] + m[4] + m[8] - 1) / 2;
  const scale = sine > 1e-12 ? Math.atan2(sine, cosine) / sine : 1;
  return [x * scale, y * scale, z * scale];
}
