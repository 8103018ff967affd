/**
 * How much more weight a point takes before the first joint runs out: of what it may hold with for long, at the place asked
 * about and at the heaviest places that the soft limits allow, and of what it may move with along a stream. What a weight adds
 * to an effort grows with it in a straight line, so that each instant tells its own limit at once.
 */
import type { Posture } from '../physics/dynamics/places.ts';
import { available } from '../physics/servo/servo-line.ts';
import type { Joint, Part, Rig, Vec3 } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import { Demand } from './demand.ts';
import type { Room, Spare } from './result.ts';

/** Nobody adds more to a prop of this kind. */
export const MOST_SPARE_KG = 20;

export const PLATE = 'the plate’s centre';

/** A point fixed to something that moves. */
export interface Point {
  readonly at: string;
  readonly on: string;
  readonly at_mm: Vec3;
}

/** The plate's centre, and the place of each part on something that moves, in the order of the file. */
export function pointsOf(rig: Rig): Point[] {
  const plate: Point[] = rig.platform ? [{ at: PLATE, on: 'moving', at_mm: [0, 0, 0] }] : [];
  const moves = (on: string): boolean =>
    on === 'moving' || rig.joints.some(({ name, axis }) => name === on && axis !== null);
  const parts = rig.parts.filter(({ on }) => moves(on)).map(({ name, on, at_mm }) => ({ at: name, on, at_mm }));
  return [...plate, ...parts];
}

/** Instants at which a joint may run out. */
export interface Instants {
  readonly holds: readonly { readonly at: Posture; readonly words: (runsOut: Joint) => string }[];
  readonly stream: StoredStream | null;
  readonly hardest_s: readonly number[];
}

/** The name of the weight that is tried out; no part of a rig file has it, as theirs are not empty. */
const TRIED = '';
const TRIED_KG = 1;

/** A rig with a weight at a point, and the least weight found so far that is too much for holding and for moving. */
class Trial {
  readonly point: Point;
  readonly laden: Demand;
  readonly holding = new Least();
  readonly moving = new Least();

  constructor(rig: Rig, without: readonly string[], point: Point) {
    const nothing = { shape: null, inertia_kgmm2: [0, 0, 0], fitted: true } as const;
    const weight: Part = { name: TRIED, on: point.on, mass_kg: TRIED_KG, at_mm: point.at_mm, ...nothing };
    this.point = point;
    this.laden = new Demand({ ...rig, parts: [...rig.parts, weight] }, { without });
  }
}

class Least {
  kg = MOST_SPARE_KG;
  runs_out: string | null = null;
  when = '';
  because = 'what its servos can give is unknown';

  /** Shortens it by each joint's own limit at this instant; efforts are e0 + kg·e1. */
  consider(
    bare: Demand,
    laden: Demand,
    shareOf: (joint: Joint) => number,
    to: string,
    when: (joint: Joint) => string,
  ): void {
    const { joints } = bare.rig;
    for (let i = 0; i < joints.length; i++) {
      const joint = joints[i]!;
      const now = bare.effort[i]!;
      const more = (laden.effort[i]! - now) / TRIED_KG;
      const sign = more < 0 ? -1 : 1;
      const most = Math.abs(more) < NOTHING ? null : available(joint, bare.rate[i]!, sign);
      if (most === null) continue;
      if (this.runs_out === null) this.because = '';
      const share = shareOf(joint);
      const kg = Math.max(0, (share * most - now * sign) / Math.abs(more));
      if (!(kg < this.kg)) continue;
      this.kg = kg;
      this.runs_out = joint.name;
      this.when = when(joint);
      this.because = `${(100 * share).toFixed(0)} % of what ${joint.name} has is the most to ${to}`;
    }
  }

  get room(): Room {
    const { kg, runs_out, when, because } = this;
    return { kg: runs_out === null ? null : kg, runs_out, when, because };
  }
}

/** An effort per kg that is rounding, N·m or N. */
const NOTHING = 1e-9;

/** @param without parts left out of the rig throughout. */
export function spareOf(rig: Rig, without: readonly string[], { holds, stream, hardest_s }: Instants): Spare[] {
  const bare = new Demand(rig, { without });
  const trials = pointsOf(rig).map((point) => new Trial(rig, without, point));
  for (const { at, words } of holds) {
    if (!bare.hold(at)) continue;
    for (const { laden, holding } of trials)
      if (laden.hold(at)) holding.consider(bare, laden, ({ servo }) => servo.continuous_use, 'hold', words);
  }
  for (const t_s of stream ? hardest_s : []) {
    if (!stream || !bare.look(stream, t_s, true)) continue;
    for (const { laden, moving } of trials)
      if (laden.lookAs(bare))
        moving.consider(
          bare,
          laden,
          ({ servo }) => servo.peak_use,
          'move',
          () => `at ${t_s.toFixed(2)} s`,
        );
  }
  return trials.map(({ point: { at }, holding, moving }) => {
    const lesser = stream !== null && moving.kg < holding.kg ? moving.room : holding.room;
    return { at, ...lesser, holding: holding.room, moving: stream && moving.room };
  });
}
