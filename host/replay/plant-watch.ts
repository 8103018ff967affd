/**
 * What the metal does behind a replay: the plant is driven by the pulses of each telemetry frame, as servos are, and what it
 * does is held against its command. Beside it stands the torque that the commanded motion needs, and what the servo has at that
 * speed, neither of which depends on the plant's assumptions.
 */
import type { Telemetry } from '../controller/messages.ts';
import { Demand } from '../physics/dynamics/demand.ts';
import { type PlantJoint, ahead, behind, beyondRest } from '../physics/plant/joint.ts';
import { PLATE, Plant } from '../physics/plant/plant.ts';
import { unlikelyFigures } from '../physics/dynamics/unlikely.ts';
import { available, currentOf, effortUnit, useOf } from '../physics/servo/servo-line.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import { Envelope } from './envelope.ts';
import type { MetalAnswer, MetalJoint, TorqueTrace } from './result.ts';
import { SecondLook } from './second-look.ts';
import { pulsedInto } from '../rig/pulse.ts';

/** Standing so long the servo's own lag is over, and what is left is wobble; it is looked at until then, s. */
const [SETTLED_S, WATCHED_S] = [0.06, 0.8];

/** A prop that is told nothing new and hardly moves (rad or mm in a servo frame) for so long, s, stands still from then on. */
const [STILL, STILL_S] = [1e-7, 0.1];

class JointWatch {
  saturated_s = 0;
  use: number | null = 0;
  error = 0;
  errorAt_s = 0;
  beyond = 0;
  overrun = 0;
  wobble = 0;
  readonly needed = new Envelope();
  readonly available = new Envelope();
  readonly off = new Envelope();
  private stood_s = 0;
  private low = Infinity;
  private high = -Infinity;

  /** What the plant does after a step of so many s, which ends at at_s. */
  step(at_s: number, state: PlantJoint, step_s: number): void {
    const error = Math.abs(behind(state));
    if (error > this.error) {
      this.error = error;
      this.errorAt_s = at_s;
    }
    this.saturated_s = state.saturated_s;
    const overrun = ahead(state);
    if (overrun > this.overrun) this.overrun = overrun;
    const beyond = beyondRest(state);
    if (Math.abs(beyond) > Math.abs(this.beyond)) this.beyond = beyond;
    this.swing(state, step_s);
  }

  private swing({ joint, position, commandRate }: PlantJoint, step_s: number): void {
    // A pulse is whole microseconds: one that stays the same stands still.
    this.stood_s = commandRate === 0 ? this.stood_s + step_s : 0;
    if (this.stood_s < SETTLED_S || this.stood_s > WATCHED_S) {
      this.low = Infinity;
      this.high = -Infinity;
      return;
    }
    const shown = toShown(joint, position);
    this.low = Math.min(this.low, shown);
    this.high = Math.max(this.high, shown);
    this.wobble = Math.max(this.wobble, (this.high - this.low) / 2);
  }
}

export class PlantWatch {
  private readonly rig: Rig;
  private readonly plant: Plant;
  private readonly second: SecondLook;
  private readonly demand: Demand;
  private readonly watches: JointWatch[];
  private readonly command: Float64Array;
  private readonly told: Float64Array;
  /** Where the last frame that was simulated left the joints. */
  private readonly left: Float64Array;
  /** How long nothing has been told and nothing has moved. */
  private still_s = 0;
  private running = false;
  private falls: MetalAnswer['falls'] = null;
  private unsure: MetalAnswer['unsure'] = null;
  private peak_a: number | null = 0;

  constructor(rig: Rig) {
    const n = rig.joints.length;
    this.rig = rig;
    this.plant = new Plant(rig);
    this.second = new SecondLook(rig);
    this.demand = new Demand(rig);
    this.watches = rig.joints.map(() => new JointWatch());
    this.command = new Float64Array(n);
    this.told = new Float64Array(n);
    this.left = new Float64Array(n);
  }

  /** A telemetry frame while the stream plays. */
  telemetry(t: Telemetry, at_s: number): void {
    const { joints } = this.rig;
    pulsedInto(joints, t, this.command);
    const frame_s = t.ticks / this.rig.motion.tick_hz;
    if (!this.running) {
      this.running = true;
      this.plant.start(this.command);
      this.second.start(this.command);
    } else if (frame_s > 0) this.run(at_s, frame_s);
    this.need(t, at_s, frame_s);
  }

  private run(at_s: number, frame_s: number): void {
    if (this.falls || this.unsure) return;
    const { plant, watches } = this;
    this.second.note(plant, this.command, frame_s);
    const began_s = at_s - frame_s;
    let before_s = 0;
    if (!this.standsStill()) {
      const places = plant.joints.map(({ position, saturated_s }) => [position, saturated_s] as const);
      plant.frame(this.command, frame_s, (into_s) => {
        for (let i = 0; i < watches.length; i++)
          watches[i]!.step(began_s + into_s, plant.joints[i]!, into_s - before_s);
        before_s = into_s;
      });
      const isStill = plant.joints.every(({ position, saturated_s }, i) => {
        const [place, saturated] = places[i]!;
        return Math.abs(position - place) <= STILL && saturated_s === saturated;
      });
      this.still_s = isStill ? this.still_s + frame_s : 0;
      this.left.set(plant.joints.map(({ position }) => position));
    }
    plant.joints.forEach(({ joint, position, command }, i) => {
      watches[i]!.off.add(at_s, toShown(joint, position - command));
    });
    this.judge(began_s + before_s);
  }

  /** Whether the frame to come changes nothing, so that an hour at rest costs no more than its motion. Takes note of the command. */
  private standsStill(): boolean {
    const { told, command, left, plant } = this;
    const isAsLeft = plant.joints.every(({ position }, i) => position === left[i] && command[i] === told[i]);
    if (isAsLeft) return this.still_s >= STILL_S;
    told.set(command);
    this.still_s = 0;
    return false;
  }

  /** What has come of the frame: a fall counts when it comes at a finer step as well. */
  private judge(at_s: number): void {
    const { fallen, lost } = this.plant;
    const what = fallen ?? lost;
    if (what === null) return;
    if (fallen !== null && this.second.fallsAgain()) this.falls = { what, at_s };
    else this.unsure = { what, at_s, look_at: unlikelyFigures(this.rig) };
  }

  /** Torque that the commanded motion needs, a frame ago: its rates come from the frames around it. */
  private need(t: Telemetry, at_s: number, frame_s: number): void {
    const { rig, demand } = this;
    if (!demand.push(t.position, frame_s)) return;
    rig.joints.forEach((joint, i) => {
      this.tell(joint, i, Math.max(0, at_s - frame_s));
    });
    const now_a = currentOf(rig.joints, demand.effort);
    this.peak_a = now_a === null || this.peak_a === null ? null : Math.max(this.peak_a, now_a);
  }

  private tell(joint: Joint, i: number, at_s: number): void {
    const needed = this.demand.effort[i]!;
    const rate = this.demand.rate[i]!;
    const watch = this.watches[i]!;
    watch.needed.add(at_s, needed);
    const most = available(joint, rate, needed < 0 ? -1 : 1);
    if (most !== null) watch.available.add(at_s, needed < 0 ? -most : most);
    const used = useOf(joint, needed, rate);
    if (used.use === null) watch.use = null;
    else if (watch.use !== null) watch.use = Math.max(watch.use, used.use);
  }

  /** What it came to at the i-th joint. */
  joint(i: number): MetalJoint {
    const w = this.watches[i]!;
    const { name, kind } = this.rig.joints[i]!;
    const isFallen = this.falls?.what === (kind === 'leg' ? PLATE : name);
    return {
      falls_at_s: isFallen ? (this.falls?.at_s ?? null) : null,
      saturated_ms: w.saturated_s * 1000,
      peak_use: w.use,
      tracking_error: w.error,
      tracking_error_at_s: w.errorAt_s,
      beyond_rest: Math.abs(w.beyond),
      pushes: w.beyond < 0 ? -1 : 1,
      overrun: w.overrun,
      wobble: w.wobble,
    };
  }

  answer(): MetalAnswer {
    return {
      falls: this.falls,
      unsure: this.unsure,
      peak_a: this.peak_a,
      taken_exact: this.plant.joints.filter(({ ideal }) => ideal).map(({ joint }) => joint.name),
      rests_on: [...this.plant.assumptions, ...this.demand.mechanism.gaps.map(({ words }) => words)],
    };
  }

  torques(): TorqueTrace[] {
    return this.watches.map(({ needed, available: most, off }, i) => ({
      name: this.rig.joints[i]!.name,
      unit: effortUnit(this.rig.joints[i]!),
      needed: needed.data(),
      available: most.data(),
      off: off.data(),
    }));
  }
}
