/** Whether a joint asks for too much at an instant, seen as the controller's ticks see it (ticks.ts has the same rules). */
import type { Loads } from '../loads.ts';
import { MOST_HELD } from '../loads.ts';
import type { RigMotion } from '../motion.ts';
import { rotorAt } from '../../rig/rotor.ts';
import { ALLOWED } from '../ticks.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { PER_TICK, type Clock } from './clock.ts';
import type { Lone } from './lone.ts';

/** What is asked at an instant, as shares of the limits: 1 is at the limit. */
export interface Asked {
  /** Instant of the clock. */
  readonly at: number;
  readonly speed: number;
  readonly accel: number;
  /** Of the servo's peak use; 0: not known, or not looked at. */
  readonly torque: number;
}

/** What is left for moments between those that are looked at. */
const BETWEEN = 0.985;
/** What asks for too much is brought so far below that. */
const BELOW = 0.003;

export class Judge {
  private readonly lone: Lone;
  private readonly clock: Clock;
  private readonly motion: RigMotion;
  private readonly stream: StoredStream;
  /** Null: what the servo gives is not known, or nothing of it is asked for. */
  private readonly loads: Loads | null;
  private readonly between: number;
  private readonly rows: readonly [Float64Array, Float64Array, Float64Array];

  /** @param share of all limits that is kept to. */
  constructor(lone: Lone, clock: Clock, motion: RigMotion, loads: Loads, stream: StoredStream, share = 1) {
    this.between = BETWEEN * share;
    this.lone = lone;
    this.clock = clock;
    this.motion = motion;
    this.stream = stream;
    this.loads = loads.lines[lone.index] && weighs(lone, motion) ? loads : null;
    const row = (): Float64Array => new Float64Array(motion.axes.length);
    this.rows = [row(), row(), row()];
  }

  /** Every instant from `from` to `to` at which a tick comes, as the stream stands, that asks for too much. */
  atTicks(now: Float64Array, from: number, to: number): Asked[] {
    return this.tooMuch(now, Math.ceil(from / PER_TICK) * PER_TICK, to, PER_TICK, ALLOWED);
  }

  /** The same for ticks that may come at any moment: what lies before may be slowed yet. */
  anyTime(now: Float64Array, from: number, to: number): Asked[] {
    return this.tooMuch(now, from, to, 1, this.between);
  }

  /** What is asked for at most once it is softened, as a share of the limits. */
  get wanted(): number {
    return this.between - BELOW;
  }

  /** @param by instants from one look to the next; torque is looked at at ticks alone. */
  private tooMuch(now: Float64Array, from: number, to: number, by: number, allowed: number): Asked[] {
    const { tick_s } = this.clock;
    const { speed, plus, minus, plus_gone, minus_gone } = this.lone.bounds;
    const found: Asked[] = [];
    for (let at = from; at <= to; at += by) {
      const here = value(now, at);
      const rise = (value(now, at + PER_TICK) - here) / tick_s;
      const before = (here - value(now, at - PER_TICK)) / tick_s;
      const change = (rise - before) / tick_s;
      const fast = Math.abs(rise) / speed;
      const up = change / plus + Math.max(0, rise / plus_gone);
      const down = -change / minus + Math.max(0, -rise / minus_gone);
      const accel = Math.max(up, down);
      const torque = at % PER_TICK === 0 && (rise !== 0 || before !== 0) ? this.torque(now, at) : 0;
      if (!(Math.max(fast, accel, torque) <= allowed)) found.push({ at, speed: fast, accel, torque });
    }
    return found;
  }

  /** Share of the peak use; 0 where standing still takes as much, since no softer motion would help there. */
  private torque(now: Float64Array, at: number): number {
    const { loads, lone, rows, clock, motion, stream } = this;
    if (!loads) return 0;
    const k = motion.poseAxes + lone.index;
    for (const [r, row] of rows.entries()) {
      const instant = at + (r - 1) * PER_TICK;
      if (!motion.at(stream, clock.start_s + instant * clock.step_s, row)) return 0;
      row[k] = value(now, instant);
    }
    const { peak_use } = lone.joint.servo;
    const use = (): number => {
      loads.look(...rows, clock.tick_s, ALLOWED);
      return (loads.use[lone.index]! || 0) / peak_use;
    };
    const moving = use();
    if (moving <= ALLOWED) return moving;
    rows[0][k] = rows[2][k] = rows[1][k]!;
    return use() > MOST_HELD ? 0 : moving;
  }
}

/** Before its first instant and after its last a joint stands still. */
const value = (now: Float64Array, at: number): number => now[Math.max(0, Math.min(now.length - 1, at))]!;

/** Whether moving or holding the joint takes effort that is known. */
function weighs({ joint }: Lone, { rig }: RigMotion): boolean {
  const hasPart = joint.axis !== null && rig.parts.some(({ on, fitted }) => fitted && on === joint.name);
  return joint.load !== null || hasPart || rotorAt(joint) > 0;
}
