/**
 * What is asked of a joint, whatever servo it has: places to hold at, and every tick of a stream, at the joint's own coordinate
 * and without its servo's rotor and friction. Another servo or gear is then judged without working out the rig again.
 */
import { homePosture, type Posture, restPosture } from '../../physics/dynamics/places.ts';
import { frictionOf, overcome } from '../../physics/servo/servo-line.ts';
import type { Joint } from '../../rig/rig.ts';
import { rotorAt } from '../../rig/rotor.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { goesThere, ticksIn } from '../along.ts';
import type { Demand } from '../demand.ts';
import { HoldSearch, isLoose } from '../worst.ts';

/** A place to hold at: where it may stay for long (home, a rest that stays powered), at an end of its own range, or where holding takes most. */
export interface HeldAt {
  readonly where: 'home' | 'rest' | 'end' | 'worst';
  readonly at: Posture;
  /** Of the joint: rad or mm; N·m or N. */
  readonly q: number;
  readonly effort: number;
}

/** Arrays by tick, ticks out of reach left out; empty without a stream. rad, N·m and s, or mm and N. */
export interface Asked {
  /** Its index. */
  readonly joint: number;
  readonly holds: readonly HeldAt[];
  /** The plate comes to hang loose within the soft limits, so that there is no hardest place. */
  readonly loose: boolean;
  readonly t_s: Float64Array;
  readonly q: Float64Array;
  readonly rate: Float64Array;
  readonly accel: Float64Array;
  readonly effort: Float64Array;
}

/** SI per unit of the coordinate. */
const siOf = ({ unit }: Pick<Joint, 'unit'>): number => (unit === 'mm' ? 1e-3 : 1);

/** What a joint's own rotor and friction take at a rate and an acceleration, at its coordinate. */
export const ownEffort = (joint: Joint, rate: number, accel: number): number =>
  rotorAt(joint) * accel * siOf(joint) + overcome(frictionOf(joint), rate);

/** A joint alone at either end of its soft limits; legs go there together or not at all. */
const endsOf = ({ kind, lo, hi }: Joint): readonly number[] => (kind === 'leg' ? [] : [lo, hi]);

/** One joint's part of a stream, while it is walked along. */
class Track {
  private readonly values: readonly Float64Array[];
  private n = 0;

  constructor(ticks: number) {
    this.values = Array.from({ length: 5 }, () => new Float64Array(ticks));
  }

  add(demand: Demand, i: number, t_s: number): void {
    const joint = demand.rig.joints[i]!;
    const [rate, accel] = [demand.rate[i]!, demand.accel[i]!];
    const now = [t_s, demand.q[i]!, rate, accel, demand.effort[i]! - ownEffort(joint, rate, accel)];
    for (const [k, value] of now.entries()) this.values[k]![this.n] = value;
    this.n++;
  }

  get arrays(): Pick<Asked, 't_s' | 'q' | 'rate' | 'accel' | 'effort'> {
    const [t_s, q, rate, accel, effort] = this.values.map((value) => value.subarray(0, this.n));
    return { t_s: t_s!, q: q!, rate: rate!, accel: accel!, effort: effort! };
  }
}

function tracksAlong(demand: Demand, stream: StoredStream | null, joints: readonly number[]): Track[] {
  const first_s = stream?.time(0) ?? 0;
  const ticks = stream ? ticksIn(stream.time(stream.count - 1) - first_s, demand.dt_s) : 0;
  const tracks = joints.map(() => new Track(ticks));
  for (let k = 0; stream && k < ticks; k++) {
    const t_s = first_s + k * demand.dt_s;
    if (!demand.look(stream, t_s, k === 0) || !goesThere(demand)) continue;
    for (const [n, i] of joints.entries()) tracks[n]!.add(demand, i, t_s);
  }
  return tracks;
}

/** What is asked of these joints, by their indices: at home, at rest where that stays powered, at worst, and along the stream. */
export function askedOf(demand: Demand, stream: StoredStream | null, joints: readonly number[]): Asked[] {
  const { rig } = demand;
  const search = new HoldSearch(demand);
  const [home, rest] = [homePosture(rig), rig.rest === 'powered' ? restPosture(rig) : null];
  const isHeld = demand.hold(home);
  const homeEffort = [...demand.effort];
  const worst = joints.map((i) => search.worst(i));
  const loose = joints.map(
    (i, n) => rig.joints[i]!.kind === 'leg' && demand.hold(worst[n]!) && isLoose(demand, demand.effort, homeEffort),
  );
  const anyLoose = loose.includes(true);
  const tracks = tracksAlong(demand, stream, joints);
  return joints.map((i, n): Asked => {
    const held = (where: HeldAt['where'], at: Posture | null): HeldAt[] =>
      at && demand.hold(at) ? [{ where, at, q: at.q[i]!, effort: demand.effort[i]! }] : [];
    const isLooseHere = rig.joints[i]!.kind === 'leg' && anyLoose;
    return {
      joint: i,
      holds: [
        ...(isHeld ? held('home', home) : []),
        ...held('rest', rest),
        ...endsOf(rig.joints[i]!).flatMap((end) => held('end', { ...home, q: home.q.with(i, end) })),
        ...(isLooseHere ? [] : held('worst', worst[n]!)),
      ],
      loose: isLooseHere,
      ...tracks[n]!.arrays,
    };
  });
}
