/**
 * What the metal does when the controller has spoken: forward dynamics of the rig under gravity, each joint driven by a servo
 * with a position loop of its own, bounded by its torque and speed. A model to compare limits on, not a promise: rods are rigid,
 * the servo line is straight, and what no data sheet tells is assumed (`assumptions` says it in words).
 *
 * A command is taken once a servo frame and ramped to over that frame, so joints come one frame late: a constant that is no
 * error. Fixed step: rates first, implicitly (end-rates.ts), then places with the new rates; the loops see the command of the
 * step's beginning, as they see the places. Weight and mass matrix are taken anew every millisecond.
 */
import { type Joint, type Pose, type Rig, HOME } from '../../rig/rig.ts';
import { short, together } from '../../rig/words.ts';
import { ForwardSolver, type MutablePose } from '../kinematics/forward.ts';
import { Mechanism } from '../dynamics/mechanism.ts';
import { type LoopDamping, loopDamping } from './damping.ts';
import { EndRates } from './end-rates.ts';
import { DrivenJoint, type JointState, type PlantJoint } from './joint.ts';
import { plantServo } from './servo.ts';
import { stiffnessWords } from '../servo/stiffness.ts';

/** Taken where no other is asked for. */
export const STEP_S = 0.25e-3;
/** Weight and mass matrix change little within a millisecond. */
export const REFRESH_S = 1e-3;
/** Looks at where it hangs at rest: each brings it nearer as long as its servos hold it. */
const HANGS = 12;

/** What falls when its legs no longer hold it. */
export const PLATE = 'the plate';

export interface PlantOptions {
  readonly step_s?: number;
  /** How often weight and mass matrix are taken anew. */
  readonly refresh_s?: number;
}

/** Where all that moves is, and how fast. */
export interface PlantState {
  readonly pose: Pose | null;
  readonly joints: readonly JointState[];
}

export class Plant {
  /** What it takes for granted, one sentence each. */
  readonly assumptions: readonly string[];
  /** Null: something has fallen, or is lost. */
  pose: Pose | null = HOME;
  /**
   * What has fallen, after which nothing is an answer: PLATE, where its legs no longer hold it or one has been turned past where
   * its servo turns, or the name of another joint that has. Null: nothing.
   */
  fallen: string | null = null;
  /** The joint whose place was no number any more, by name: the sum came apart, which says nothing of the prop. Null: none. */
  lost: string | null = null;

  private readonly driven: readonly DrivenJoint[];
  private readonly mechanism: Mechanism;
  private readonly solver: ForwardSolver | null;
  private readonly damping: LoopDamping;
  private readonly step_s: number;
  private readonly refreshSteps: number;
  private readonly q: Float64Array;
  private readonly v: Float64Array;
  private readonly still: Float64Array;
  private readonly bias: Float64Array;
  private readonly rates: EndRates;
  private steps = 0;

  constructor(rig: Rig, { step_s = STEP_S, refresh_s = REFRESH_S }: PlantOptions = {}) {
    const n = rig.joints.length;
    this.step_s = step_s;
    this.refreshSteps = Math.max(1, Math.round(refresh_s / step_s));
    this.mechanism = new Mechanism(rig);
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
    this.damping = loopDamping(rig);
    [this.q, this.v, this.still, this.bias] = [
      new Float64Array(n),
      new Float64Array(n),
      new Float64Array(n),
      new Float64Array(n),
    ];
    this.driven = rig.joints.map((joint) => new DrivenJoint(joint));
    this.rates = new EndRates(
      this.driven,
      Float64Array.from(rig.joints, ({ unit }) => (unit === 'mm' ? 1e-3 : 1)),
    );
    this.start(rig.joints.map(({ home }) => home));
    this.assumptions = assumptionsOf(this.driven, this.damping);
  }

  state(): PlantState {
    return { pose: this.pose, joints: this.driven.map((joint) => joint.state()) };
  }

  /** Goes on from there, as a plant of the same rig that was started at the same places. */
  resume({ pose, joints }: PlantState): void {
    this.pose = pose;
    this.fallen = this.lost = null;
    this.steps = 0;
    this.rates.reset();
    this.driven.forEach((joint, i) => {
      joint.resume(joints[i]!);
    });
  }

  /** A live view, in the rig's order. */
  get joints(): readonly PlantJoint[] {
    return this.driven;
  }

  /** At rest at these places, held by its servos: a load sags a little at once. */
  start(places: ArrayLike<number>): void {
    this.pose = HOME;
    this.fallen = this.lost = null;
    this.steps = 0;
    this.rates.reset();
    this.driven.forEach((joint, i) => {
      joint.place(places[i]!);
    });
    this.refresh();
    const mass = this.mechanism.mass;
    const n = this.driven.length;
    this.driven.forEach((driven, i) => {
      const inertia = mass[n * i + i]!;
      const servo = inertia > 0 ? plantServo(driven.joint, inertia, this.damping.lead_s[i]) : null;
      driven.hold(servo, this.bias[i]!, inertia);
    });
    this.refresh();
    // What it carries changes with where it hangs: soft servos hang far, and would begin with a swing.
    for (let k = 0; k < HANGS && this.pose; k++) {
      this.driven.forEach((driven, i) => {
        driven.hang(this.bias[i]!);
      });
      this.refresh();
    }
  }

  /**
   * One servo frame of so many seconds toward new commands, in the joints' own coordinates. Ends early where something falls.
   * @param onStep called after each step, with the seconds since the frame began.
   */
  frame(commands: ArrayLike<number>, frame_s: number, onStep?: (into_s: number) => void): void {
    const steps = Math.max(1, Math.round(frame_s / this.step_s));
    this.driven.forEach((joint, i) => {
      joint.aim(commands[i]!, steps * this.step_s);
    });
    for (let k = 1; k <= steps; k++) {
      this.step();
      for (const joint of this.driven) joint.ramp(k / steps);
      if (!this.pose) return;
      onStep?.(k * this.step_s);
    }
  }

  private step(): void {
    if (this.steps++ % this.refreshSteps === 0) this.refresh();
    if (!this.pose) return;
    this.rates.step(this.bias, this.step_s);
  }

  /** Pose, weight, centrifugal efforts and the inverse of the mass matrix at the present place. */
  private refresh(): void {
    const { driven } = this;
    for (let i = 0; i < driven.length; i++) {
      const joint = driven[i]!;
      this.q[i] = joint.position;
      this.v[i] = joint.velocity;
      if (!joint.isLost) continue;
      this.pose = null;
      this.lost = joint.joint.name;
      return;
    }
    const next: MutablePose = [...(this.pose ?? HOME)];
    const stands = !this.solver || (this.solver.solve(this.q, this.pose ?? HOME, next) && !this.solver.flipped);
    const gone = this.goneJoint();
    if (gone || !stands || !this.mechanism.at(this.q, next)) {
      this.pose = null;
      this.fallen = gone && gone.kind !== 'leg' ? gone.name : PLATE;
      return;
    }
    this.pose = next;
    this.mechanism.efforts(this.v, this.still, this.bias);
    for (let i = 0; i < driven.length; i++) driven[i]!.carry(this.bias[i]!);
    this.rates.weigh(this.mechanism.mass, this.step_s);
  }

  private goneJoint(): Joint | null {
    for (const { isGone, joint } of this.driven) if (isGone) return joint;
    return null;
  }
}

function assumptionsOf(joints: readonly DrivenJoint[], { words }: LoopDamping): string[] {
  const said = [
    'servos take their pulse once a frame and move to it at an even rate; that frame is a constant delay, not an error',
    'rods and frames do not bend, and the torque a servo can give falls in a straight line with its speed',
  ];
  said.push(...stiffnessWords(joints.flatMap(({ joint, ideal }) => (ideal ? [] : [joint]))), ...words);
  // Play parts a rotor from its load: how light it is then matters.
  const light = joints.filter(({ assumedRotor }) => assumedRotor !== null);
  if (light.length > 0)
    said.push(
      `within the play of its gear the rotor of ${together(light.map(({ joint }) => joint.name))} is taken to weigh ${short(100 * light[0]!.assumedRotor!)} % of what it moves (assumed: by the file it is lighter)`,
    );
  const ideal = joints.filter((joint) => joint.ideal).map(({ joint }) => joint.name);
  if (ideal.length > 0)
    said.push(`${ideal.join(', ')}: taken to follow exactly, since servo torque or inertia is unknown`);
  return said;
}
