/**
 * A take's way through the controller and the metal, frame by frame, faster than real time: as a replay plays it over a link without
 * faults, pulse for pulse. It can go on from any of its checkpoints.
 */
import type { Controller } from '../../../controller/controller.ts';
import { type Sender, STATES, sender } from '../../../controller/messages.ts';
import { Demand, type DemandState } from '../../../physics/dynamics/demand.ts';
import { ForwardSolver, type MutablePose } from '../../../physics/kinematics/forward.ts';
import { tiltSinesInto } from '../../../physics/kinematics/inverse.ts';
import { poseDistance } from '../../../physics/kinematics/pose-distance.ts';
import { Plant, type PlantState } from '../../../physics/plant/plant.ts';
import { shareOf } from '../../../physics/servo/servo-line.ts';
import { Asked } from '../../../replay/asked.ts';
import { TAIL_S } from '../../../replay/play-times.ts';
import { SecondLook } from '../../../replay/second-look.ts';
import { lookAhead_us } from '../../../rig/look-ahead.ts';
import { pulsedInto } from '../../../rig/pulse.ts';
import { HOME, type Rig } from '../../../rig/rig.ts';
import { wobbleDelay_ms } from '../../../rig/wobble.ts';
import { Clockwork } from './clockwork.ts';
import type { Rows } from './rows.ts';
import { TOLD, type Trace } from './trace.ts';

/** Frames from one checkpoint to the next: half a second. */
export const BLOCK = 25;
/** As a replay has it: from home to the first pose, and standing there, s. */
const [APPROACH_S, STANDING_S] = [3, 0.5];
const STEP_US = 20_000;
/** A prop that follows so nearly is looked for where it was asked to be (path-measure.ts). */
const [FOLLOWS_MM, FOLLOWS_RAD] = [0.1, 0.002];

/** All that decides what comes next, before a frame. */
export interface Checkpoint {
  readonly memory: Uint8Array;
  readonly n: number;
  /** Of the take's frames, the first that has not been sent. */
  readonly next: number;
  /** Null: the metal begins with the frame that comes. */
  readonly plant: PlantState | null;
  readonly demand: DemandState;
  readonly delivered: readonly number[];
  readonly follows: boolean;
  /** Until this time of the take a pose out of reach may be shown, s. */
  readonly until_s: number;
  readonly asked_s: number;
  readonly fallen: number;
}

export class Course {
  readonly rig: Rig;
  readonly clockwork: Clockwork;
  private readonly controller: Controller;
  private readonly roused: Uint8Array;
  private readonly legs: number;
  private readonly delay_us: number;
  private readonly standing_us: number;
  private readonly ahead_s: number;
  /** The controller's clock when it was roused, us. */
  private readonly clock_us: number;
  /** Instant of the take's first frame since then, and the tick of the first telemetry frame that shows it. */
  private readonly start_us: number;
  private readonly firstTick: number;
  private readonly plant: Plant;
  private readonly demand: Demand;
  private readonly solver: ForwardSolver | null;
  private readonly delivered: MutablePose = [...HOME];
  private readonly legPlaces = new Float64Array(6);
  private readonly sines = new Float64Array(12);
  private readonly command: Float64Array;
  private readonly startedAt: Float64Array;
  private readonly before_s: Float64Array;
  private rows: Rows | null = null;
  private asked: Asked | null = null;
  private send: Sender = sender();
  private second: SecondLook;
  private next = 0;
  private running = false;
  private follows = false;
  private until_s = -Infinity;
  private asked_s = NaN;
  private fallen = 0;

  /** @param wasm the bytes of controller.wasm */
  constructor(rig: Rig, wasm: Uint8Array<ArrayBuffer>) {
    const wobble_us = wobbleDelay_ms(rig) * 1000;
    this.rig = rig;
    this.clockwork = new Clockwork(rig, wasm);
    this.controller = this.clockwork.controller;
    this.roused = this.controller.snapshot();
    this.legs = rig.platform ? 6 : 0;
    this.delay_us = rig.motion.playback_delay_ms * 1000 + wobble_us;
    this.standing_us = STANDING_S * 1e6 + Math.ceil((2 * wobble_us) / STEP_US) * STEP_US;
    this.ahead_s = (lookAhead_us(rig.motion) + wobble_us) / 1e6;
    const { every } = this.clockwork;
    const ticks = (APPROACH_S + this.standing_us / 1e6) * rig.motion.tick_hz;
    // A tick before a telemetry frame, as in a replay: the metal then takes its commands at the same ticks.
    this.start_us = this.clockwork.at_us(Math.ceil(ticks / every) * every + every - 1);
    this.clock_us = this.clockwork.latest.now_us;
    this.firstTick = this.firstShown();
    this.plant = new Plant(rig);
    this.demand = new Demand(rig);
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
    this.command = new Float64Array(rig.joints.length);
    this.startedAt = new Float64Array(rig.joints.length);
    this.before_s = new Float64Array(rig.joints.length);
    this.second = new SecondLook(rig);
  }

  /** Frames that a take has here, what comes after its end included; and how many of them come before it. */
  frames({ stream }: Rows): { readonly count: number; readonly played: number } {
    const length_us = (stream.time(stream.count - 1) - stream.time(0)) * 1e6;
    const upTo = (us: number): number => {
      let f = Math.max(0, Math.floor((us * this.rig.motion.tick_hz) / 1e6 / this.clockwork.every) - 1);
      while (this.shown_us(f) <= us) f++;
      return f;
    };
    return { count: upTo(length_us + TAIL_S * 1e6), played: upTo(length_us) };
  }

  private firstShown(): number {
    const { clockwork, rig } = this;
    const { every } = clockwork;
    let n = Math.floor(((this.start_us + this.delay_us) * rig.motion.tick_hz) / 1e6 / every) * every;
    while (clockwork.at_us(n) - this.delay_us < this.start_us) n += every;
    return n;
  }

  /** Since the take's first frame, us: what frame f of the trace shows. */
  private shown_us(f: number): number {
    return this.clockwork.at_us(this.firstTick + f * this.clockwork.every) - this.delay_us - this.start_us;
  }

  /** Brings a take to the frame before its first: it has gone from home to its first pose and stands. */
  begin(rows: Rows): void {
    const { clockwork, controller } = this;
    this.take(rows, 0, NaN);
    controller.restore(this.roused);
    clockwork.n = 0;
    [this.running, this.follows, this.until_s, this.fallen] = [false, false, -Infinity, 0];
    HOME.forEach((value, k) => (this.delivered[k] = value));
    this.demand.resume({ pose: HOME, past: [] });
    const first = rows.stream.row(0);
    const home = first.map((value, k) =>
      k < 6 ? 0 : Number.isNaN(value) ? NaN : (this.rig.joints[this.legs + k - 6]?.home ?? 0),
    );
    this.send = sender();
    for (const [values, before_us] of [
      [home, APPROACH_S * 1e6 + this.standing_us],
      [first, this.standing_us],
    ] as const)
      controller.receive(this.send.pose(this.clock_us + this.start_us - before_us, values, this.legs));
    const end = this.firstTick - clockwork.every;
    while (clockwork.n < end) this.tick();
  }

  private take(rows: Rows, next: number, asked_s: number): void {
    this.rows = rows;
    this.next = next;
    this.asked_s = asked_s;
    this.asked = new Asked(this.rig, rows.stream);
    // What was asked half way since the frame before is asked of the frame before.
    if (!Number.isNaN(asked_s)) this.asked.look(asked_s, false);
    // Two frames of the approach came before the take's own.
    this.send = sender(255 + 2 + next);
  }

  checkpoint(): Checkpoint {
    const { controller, clockwork, next, follows, until_s, asked_s, fallen } = this;
    const plant = this.running ? this.plant.state() : null;
    // From here on it is as if it had been set back to here.
    if (plant) this.goOn(plant);
    return {
      memory: controller.snapshot(),
      n: clockwork.n,
      next,
      plant,
      demand: this.demand.state(),
      delivered: [...this.delivered],
      follows,
      until_s,
      asked_s,
      fallen,
    };
  }

  /** Goes on with a take from a checkpoint of one whose frames were the same up to the first that was not sent. */
  resume(rows: Rows, at: Checkpoint): void {
    this.controller.restore(at.memory);
    this.clockwork.n = at.n;
    this.take(rows, at.next, at.asked_s);
    this.running = at.plant !== null;
    if (at.plant) this.goOn(at.plant);
    this.demand.resume(at.demand);
    at.delivered.forEach((value, k) => (this.delivered[k] = value));
    [this.follows, this.until_s, this.fallen] = [at.follows, at.until_s, at.fallen];
  }

  private goOn(plant: PlantState): void {
    this.plant.resume(plant);
    this.second = new SecondLook(this.rig);
    this.second.start(this.startedAt);
    for (let i = 0; i < this.before_s.length; i++) this.before_s[i] = this.plant.joints[i]!.saturated_s;
  }

  /** The next frame, into place f of the trace. */
  frame(f: number, out: Trace): void {
    const { clockwork, rows } = this;
    for (let k = 0; k < clockwork.every; k++) this.tick();
    const first_s = rows!.stream.time(0);
    const shown_s = first_s + this.shown_us(f) / 1e6;
    out.t_s[f] = shown_s;
    this.tell(f, out);
    this.look(f, shown_s, out);
    this.metal(f, out);
    this.deliver(f, out);
    this.asked_s = shown_s;
  }

  /** One tick, after the frames that are due by it. */
  private tick(): void {
    const { stream } = this.rows!;
    const { clockwork } = this;
    const now_us = clockwork.at_us(clockwork.n + 1);
    const first_s = stream.time(0);
    const at_us = (k: number): number => this.start_us + (stream.time(k) - first_s) * 1e6;
    while (this.next < stream.count) {
      // A frame is sent two frames ahead of its own instant (replay/player.ts).
      const sent_us = this.next < 2 ? this.start_us - this.standing_us : at_us(this.next - 2);
      if (sent_us > now_us || this.controller.room() < LONGEST) break;
      const bytes = this.send.pose(Math.round(this.clock_us + at_us(this.next)), stream.row(this.next), this.legs);
      this.controller.receive(bytes);
      this.next++;
    }
    clockwork.tick();
  }

  /** What the controller tells. */
  private tell(f: number, { joints: n, joint, frame }: Trace): void {
    const t = this.clockwork.latest;
    for (const name of TOLD) {
      const [from, to] = [t[name], joint[name]];
      for (let i = 0, at = f * n; i < n; i++, at++) to[at] = from[i]!;
    }
    frame.ticks[f] = t.ticks;
    frame.starved[f] = t.starvedTicks;
    frame.unreachable[f] = t.unreachableTicks;
    frame.tripped[f] = STATES[t.state] === 'tripped' ? t.trip : 0;
  }

  /** What is asked. */
  private look(f: number, shown_s: number, out: Trace): void {
    const t = this.clockwork.latest;
    const asked = this.asked!;
    if (t.unreachable || t.unreachableTicks > 0) this.until_s = shown_s + this.ahead_s;
    const stop = asked.look(shown_s, shown_s <= this.until_s);
    out.frame.stop[f] = stop ? out.stopNumber(stop) : 0;
    out.pose.asked.set(asked.pose, 6 * f);
    out.joint.askedJoints.set(asked.joints, out.joints * f);
    out.joint.between.set(asked.between, out.joints * f);
  }

  /** What the metal does of it; the share of torque is that of the frame before. */
  private metal(f: number, { joints: n, joint: columns, pose, frame }: Trace): void {
    const { rig, plant, command, before_s } = this;
    const t = this.clockwork.latest;
    const frame_s = t.ticks / rig.motion.tick_hz;
    pulsedInto(rig.joints, t, command);
    if (!this.running) {
      this.running = true;
      this.startedAt.set(command);
      plant.start(command);
      this.second = new SecondLook(rig);
      this.second.start(command);
      before_s.fill(0);
    } else if (this.fallen === 0) {
      this.second.note(plant, command, frame_s);
      plant.frame(command, frame_s);
      if (plant.fallen !== null) this.fallen = this.second.fallsAgain() ? 1 : 2;
      else if (plant.lost !== null) this.fallen = 2;
    }
    frame.fallen[f] = this.fallen;
    const knows = this.demand.push(t.position, frame_s);
    plant.joints.forEach(({ joint, position, saturated_s }, i) => {
      const at = f * n + i;
      columns.metal[at] = position;
      columns.saturated_ms[at] = (saturated_s - before_s[i]!) * 1000;
      before_s[i] = saturated_s;
      columns.use[at] = knows ? shareOf(joint, this.demand.effort[i]!, this.demand.rate[i]!) : NaN;
    });
    pose.metalPose.set(plant.pose ?? NOWHERE, 6 * f);
  }

  /** What fell, or came apart, after a frame that says so. */
  get fell(): string | null {
    return this.plant.fallen ?? this.plant.lost;
  }

  /** Joints that the metal takes to follow exactly, by name: a figure of theirs is unknown. */
  get exact(): string[] {
    return this.plant.joints.filter(({ ideal }) => ideal).map(({ joint }) => joint.name);
  }

  /** Where the plate is by the joints as commanded; NaN: no pose fits. */
  private deliver(f: number, { pose, frame }: Trace): void {
    const { solver, delivered, legPlaces, rig } = this;
    frame.rodEnd[f] = 0;
    if (!solver || !rig.platform) return;
    const t = this.clockwork.latest;
    for (let i = 0; i < 6; i++) legPlaces[i] = t.position[i]!;
    const asked = this.asked!.pose;
    const found = solver.solve(legPlaces, this.follows ? asked : delivered, delivered) && !solver.flipped;
    pose.delivered.set(found ? delivered : NOWHERE, 6 * f);
    if (!found) return;
    const { mm, rad } = poseDistance(asked, delivered);
    this.follows = mm < FOLLOWS_MM && rad < FOLLOWS_RAD;
    if (rig.platform.rod_end_rad === null) return;
    tiltSinesInto(rig.platform, legPlaces, delivered, this.sines);
    frame.rodEnd[f] = Math.max(...this.sines);
  }
}

const NOWHERE = new Float64Array(6).fill(NaN);
/** No frame of a pose is longer, bytes. */
const LONGEST = 112;
