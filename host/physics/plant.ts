/**
 * What the metal does when the controller has spoken: forward dynamics of the rig under gravity, each joint driven by a servo
 * with a position loop of its own, bounded by its torque and speed. A model to compare limits on, not a promise: rods are rigid,
 * the servo line is straight, and what no data sheet tells is assumed (`assumptions` says it in words).
 *
 * A command is taken once a servo frame and ramped to over that frame, so joints come one frame late: a constant that is no
 * error. Fixed step, semi-implicit Euler: rates first, then places with the new rates. Weight and mass matrix are taken anew every
 * millisecond. The tests halve the step and find a first-order method's convergence.
 */
import { type Joint, type Pose, type Rig, HOME, toShown } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import { ForwardSolver, type MutablePose } from './forward.ts';
import { Mechanism } from './mechanism.ts';
import { LOOP_DAMPING, type PlantServo, asked, given, plantServo } from './plant-servo.ts';
import { factorSymmetric, solveFactored } from './solve-symmetric.ts';
import { FULL_TORQUE_AT_DEG, stiffnessOf } from './stiffness.ts';

export const STEP_S = 0.25e-3;
/** Weight and mass matrix change little within a millisecond. */
const REFRESH_S = 1e-3;
/** Shorter than this at the servo line is a rotor that settles between its teeth, and moves nothing (ours). */
const LASTS_S = 2e-3;
/** Teeth are so much stiffer than the servo's loop, and a rotor weighs at least such a share of its load (assumed). */
const TEETH = 20;
const LEAST_ROTOR = 0.05;
/** A rotor of its own is quick: in a step its loop may take at most this share of its speed. */
const MOST_DAMPED = 0.5;
/** Friction turns around within so much speed, joint units a second per unit of range. */
const FRICTION_WITHIN = 0.02;

/** What a joint does, in its own units: rad or mm, s, N·m or N. */
export interface PlantJoint {
  readonly joint: Joint;
  position: number;
  velocity: number;
  /** The servo's place: the joint's, but for the play of its gear. */
  rotor: number;
  /** Where the ramp of the command is now, and how fast it goes. */
  command: number;
  commandRate: number;
  /** What the servo gives, and what its loop would ask for. */
  effort: number;
  asked: number;
  /** How far its load alone hangs it from its command at rest, give or take `loose`: half its dead band, and its friction. */
  hangs: number;
  loose: number;
  /** Seconds at the servo line since `start`. */
  saturated_s: number;
  /** Follows its command exactly, because its servo's figures or its inertia are not known. */
  readonly ideal: boolean;
}

interface State extends PlantJoint {
  servo: PlantServo | null;
  rotorRate: number;
  rotorInertia: number;
  play: number;
  friction: number;
  /** How long it has been at the servo line without a break. */
  atLine_s: number;
  from: number;
  to: number;
  ideal: boolean;
}

export interface PlantOptions {
  readonly step_s?: number;
}

export class Plant {
  /** What it takes for granted, one sentence each. */
  readonly assumptions: readonly string[];
  /** Null: the platform came apart or stands in a singular pose, and nothing after that is an answer. */
  pose: Pose | null = HOME;

  private readonly states: State[];
  private readonly rig: Rig;
  private readonly mechanism: Mechanism;
  private readonly solver: ForwardSolver | null;
  private step_s: number;
  private refreshSteps = 1;
  private readonly q: Float64Array;
  private readonly v: Float64Array;
  private readonly still: Float64Array;
  private readonly bias: Float64Array;
  private readonly push: Float64Array;
  /** SI per unit of the coordinate: 1e-3 for mm. */
  private readonly unit: Float64Array;
  private readonly matrix: Float64Array;
  private readonly column: Float64Array;
  /** n×n: acceleration of i per effort at j. */
  private readonly inverse: Float64Array;
  private steps = 0;

  constructor(rig: Rig, { step_s = STEP_S }: PlantOptions = {}) {
    const n = rig.joints.length;
    this.rig = rig;
    this.step_s = step_s;
    this.mechanism = new Mechanism(rig);
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
    [this.q, this.v, this.still, this.bias, this.push] = [0, 0, 0, 0, 0].map(() => new Float64Array(n)) as [
      Float64Array,
      Float64Array,
      Float64Array,
      Float64Array,
      Float64Array,
    ];
    this.unit = Float64Array.from(rig.joints, ({ unit }) => (unit === 'mm' ? 1e-3 : 1));
    this.matrix = new Float64Array(n * n);
    this.inverse = new Float64Array(n * n);
    this.column = new Float64Array(n);
    this.states = rig.joints.map((joint) => stateOf(joint));
    this.start(rig.joints.map(({ home }) => home));
    this.assumptions = assumptionsOf(rig, this.states);
  }

  /** A live view, in the rig's order. */
  get joints(): readonly PlantJoint[] {
    return this.states;
  }

  /** At rest at these places, held by its servos: a load sags a little at once. */
  start(places: ArrayLike<number>): void {
    this.pose = HOME;
    this.steps = 0;
    this.states.forEach((s, i) => {
      const at = places[i]!;
      Object.assign(s, { position: at, rotor: at, command: at, from: at, to: at });
      Object.assign(s, { velocity: 0, rotorRate: 0, commandRate: 0, effort: 0, asked: 0, saturated_s: 0, atLine_s: 0 });
    });
    this.refresh();
    const mass = this.mechanism.mass;
    const n = this.states.length;
    this.states.forEach((s, i) => {
      const inertia = mass[n * i + i]!;
      s.servo = inertia > 0 ? plantServo(s.joint, inertia, this.rig.motion.wobble.damping ?? LOOP_DAMPING) : null;
      s.ideal = s.servo === null;
      const rotor = s.joint.gear_ratio ** 2 * (s.joint.servo.rotor_inertia_kgm2 ?? 0);
      s.rotorInertia = Math.max(rotor, LEAST_ROTOR * inertia);
      if (!s.servo) return;
      // It hangs in its loop, and in its gear, by what it carries.
      const held = this.bias[i]!;
      s.rotor -= held / s.servo.stiffness + Math.sign(held) * s.servo.deadBand;
      const slack = s.play > 0 ? s.play / 2 + Math.abs(held) / (TEETH * s.servo.stiffness) : 0;
      s.position = s.rotor - Math.sign(held) * slack;
      while (s.play > 0 && s.servo.damping * this.step_s > MOST_DAMPED * s.rotorInertia) this.step_s /= 2;
    });
    this.refreshSteps = Math.max(1, Math.round(REFRESH_S / this.step_s));
    this.refresh();
  }

  /** One servo frame of so many seconds toward new commands, in the joints' own coordinates. */
  frame(commands: ArrayLike<number>, frame_s: number): void {
    const steps = Math.max(1, Math.round(frame_s / this.step_s));
    this.states.forEach((s, i) => {
      s.from = s.to;
      s.to = commands[i]!;
      s.commandRate = (s.to - s.from) / (steps * this.step_s);
    });
    for (let k = 1; k <= steps && this.pose; k++) {
      for (const s of this.states) s.command = s.from + ((s.to - s.from) * k) / steps;
      this.step();
    }
  }

  private step(): void {
    if (this.steps++ % this.refreshSteps === 0) this.refresh();
    if (!this.pose) return;
    const h = this.step_s;
    const n = this.states.length;
    for (let i = 0; i < n; i++) this.push[i] = this.drive(this.states[i]!) - this.bias[i]!;
    for (let i = 0; i < n; i++) {
      const s = this.states[i]!;
      if (s.ideal) {
        s.velocity = s.commandRate;
        s.position = s.rotor = s.command;
        continue;
      }
      let a = 0;
      for (let j = 0; j < n; j++) a += this.inverse[n * i + j]! * this.push[j]!;
      s.velocity += a * h;
      s.position += s.velocity * h;
      if (s.play === 0) s.rotor = s.position;
    }
  }

  /** Rate within which friction turns around: so fast at least that it never shakes a rotor of its own within a step. */
  private slowest({ joint, friction, rotorInertia }: State): number {
    return Math.max(FRICTION_WITHIN * (joint.hi - joint.lo), (friction * this.step_s) / (MOST_DAMPED * rotorInertia));
  }

  /** Effort on the joint; moves the rotor where the gear has play. */
  private drive(s: State): number {
    if (!s.servo) return 0;
    const separate = s.play > 0;
    const [at, rate] = separate ? [s.rotor, s.rotorRate] : [s.position, s.velocity];
    s.asked = asked(s.servo, s.command - at, s.commandRate - rate);
    s.effort = given(s.joint, s.asked, rate);
    this.countAtLine(s);
    const rub = s.friction * Math.tanh(rate / this.slowest(s));
    if (!separate) return s.effort - rub;
    const contact = teeth(s);
    s.rotorRate += ((s.effort - rub - contact) / s.rotorInertia) * this.step_s;
    s.rotor += s.rotorRate * this.step_s;
    return contact;
  }

  /** Counts time at the servo line, from its beginning, once it has lasted. */
  private countAtLine(s: State): void {
    if (s.asked === s.effort) {
      s.atLine_s = 0;
      return;
    }
    const before = s.atLine_s;
    s.atLine_s += this.step_s;
    if (s.atLine_s >= LASTS_S) s.saturated_s += before < LASTS_S ? s.atLine_s : this.step_s;
  }

  /** Pose, weight, centrifugal efforts and the inverse of the mass matrix at the present place. */
  private refresh(): void {
    this.states.forEach((s, i) => {
      this.q[i] = s.position;
      this.v[i] = s.velocity;
    });
    if (this.solver) {
      const next: MutablePose = [...(this.pose ?? HOME)];
      const stands = this.solver.solve(this.q, this.pose ?? HOME, next) && !this.solver.flipped;
      this.pose = stands ? next : null;
    }
    if (!this.pose || !this.mechanism.at(this.q, this.pose)) {
      this.pose = null;
      return;
    }
    this.mechanism.efforts(this.v, this.still, this.bias);
    this.states.forEach((s, i) => {
      s.hangs = s.servo ? this.bias[i]! / s.servo.stiffness : 0;
      s.loose = s.servo ? s.servo.deadBand + s.friction / s.servo.stiffness : 0;
    });
    this.invert();
  }

  private invert(): void {
    const { matrix, column, unit, states, inverse } = this;
    const { mass } = this.mechanism;
    const n = states.length;
    for (let i = 0; i < n; i++) {
      const s = states[i]!;
      // In SI it is symmetric.
      for (let j = 0; j <= i; j++) matrix[n * i + j] = mass[n * i + j]! / unit[j]!;
      // One that follows exactly is held: the others feel what it weighs, and it feels nothing of them.
      for (let j = 0; j < i; j++) if (s.ideal || states[j]!.ideal) matrix[n * i + j] = 0;
      if (s.play > 0) matrix[n * i + i]! -= s.joint.gear_ratio ** 2 * (s.joint.servo.rotor_inertia_kgm2 ?? 0);
      // A joint of no inertia is left out of the sums.
      if (!(matrix[n * i + i]! > 0)) matrix[n * i + i] = 1;
    }
    factorSymmetric(matrix, n);
    for (let j = 0; j < n; j++) {
      column.fill(0);
      column[j] = 1;
      solveFactored(matrix, column, n);
      for (let i = 0; i < n; i++) inverse[n * i + j] = column[i]! / unit[i]!;
    }
  }
}

function stateOf(joint: Joint): State {
  return {
    joint,
    position: 0,
    velocity: 0,
    command: 0,
    commandRate: 0,
    effort: 0,
    asked: 0,
    hangs: 0,
    loose: 0,
    saturated_s: 0,
    ideal: false,
    servo: null,
    rotor: 0,
    rotorRate: 0,
    rotorInertia: 0,
    play: joint.gear_play_rad ?? 0,
    friction: joint.servo.drive === 'rotary' ? (joint.servo.friction_nm ?? 0) * joint.gear_ratio : 0,
    atLine_s: 0,
    from: 0,
    to: 0,
  };
}

/** What the teeth push with: nothing within the play, and never a pull. */
function teeth({ rotor, rotorRate, position, velocity, play, servo, rotorInertia }: State): number {
  if (!servo) return 0;
  const apart = rotor - position;
  const pressed = Math.abs(apart) - play / 2;
  if (pressed <= 0) return 0;
  const stiffness = TEETH * servo.stiffness;
  const side = Math.sign(apart);
  const push = stiffness * pressed + Math.sqrt(stiffness * rotorInertia) * side * (rotorRate - velocity);
  return side * Math.max(0, push);
}

const nameAll = (states: readonly State[]): string => states.map(({ joint }) => joint.name).join(', ');

function assumptionsOf(rig: Rig, states: readonly State[]): string[] {
  const said = [
    'servos take their pulse once a frame and move evenly to it; that frame is a constant delay and no error',
    'rods and frames do not bend, and the torque a servo can give falls in a straight line with its speed',
  ];
  const loose = states.filter(({ joint, ideal }) => !ideal && stiffnessOf(joint)?.assumed);
  if (loose.length > 0)
    said.push(
      `a servo gives its full torque ${short(FULL_TORQUE_AT_DEG, 1)} deg off its place (assumed: measure stiffness_nm_rad)`,
    );
  if (rig.motion.wobble.damping === null)
    said.push(`each servo's loop is damped to ${String(LOOP_DAMPING)} of critical (assumed)`);
  else
    said.push(`each servo's loop is damped as motion.wobble says, ${short(rig.motion.wobble.damping, 3)} of critical`);
  const ideal = states.filter((s) => s.ideal);
  if (ideal.length > 0)
    said.push(`${nameAll(ideal)}: taken to follow exactly, since servo torque or inertia is unknown`);
  return said;
}

/** How far the servo is behind its command, in the unit that files and messages show; the play of a gear comes on top. */
export const behind = ({ joint, command, rotor }: PlantJoint): number => toShown(joint, command - rotor);

/** The same beyond what its load hangs it at rest, which no limit changes; not signed. */
export const beyondRest = ({ joint, command, rotor, hangs, loose }: PlantJoint): number =>
  toShown(joint, Math.max(0, Math.abs(command - rotor - hangs) - loose));
