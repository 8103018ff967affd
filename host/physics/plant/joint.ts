/**
 * One joint of the plant: its servo with rotor, dead band, friction and torque-speed line, the gear's play behind it, and its load's
 * place. What the load does under the effort is the plant's business (plant.ts). Units of the joint: rad or mm, s, N·m or N.
 */
import { type Joint, toShown } from '../../rig/rig.ts';
import { rotorAt } from '../../rig/rotor.ts';
import { type PlantServo, springOf } from './servo.ts';
import { Friction, LoopInLine, Teeth } from './straight-pieces.ts';

/** Shorter than this at the servo line is a rotor that settles between its teeth, and moves nothing (ours). */
const LASTS_S = 2e-3;
/** Teeth are so much stiffer than the servo's loop, and a rotor weighs at least such a share of its load (assumed). */
const TEETH = 20;
const LEAST_ROTOR = 0.05;
/** What the end of a step counts for in the rates that efforts are taken at (end-rates.ts). */
export const THETA = 2 / 3;
/** Friction turns around within so much speed, joint units a second per unit of range. */
const FRICTION_WITHIN = 0.02;
/** Beyond the places of its shortest and longest pulse by such a share of what lies between, no servo stands (ours). */
const BEYOND_PULSES = 0.1;

/** What a joint does. */
export interface PlantJoint {
  readonly joint: Joint;
  position: number;
  velocity: number;
  /** The servo's place: the joint's, but for the play of its gear. */
  rotor: number;
  /** The servo's own speed. */
  readonly speed: number;
  /** Where the ramp of the command is now, and how fast it goes. */
  readonly command: number;
  readonly commandRate: number;
  /** 1 or -1: which way it goes, or last went; 0: nowhere yet. */
  readonly heading: number;
  /** What the servo gives, and what its loop would ask for. */
  readonly effort: number;
  readonly asked: number;
  /**
   * How far its load sags it below its command, accelerations apart: what the joint must give where it is now and as fast as the
   * prop moves now, over the stiffness of its loop. Give or take `loose`: half its dead band, and its friction.
   */
  readonly hangs: number;
  readonly loose: number;
  /** Seconds at the servo line since the plant's start, counted step by step. */
  readonly saturated_s: number;
  /** Follows its command exactly, because its servo's figures or its inertia are not known. */
  readonly ideal: boolean;
}

/** All of a joint that changes while it moves. */
export interface JointState {
  readonly position: number;
  readonly velocity: number;
  readonly rotor: number;
  readonly rotorRate: number;
  readonly command: number;
  readonly commandRate: number;
  readonly heading: number;
  readonly aimed: number;
  readonly saturated_s: number;
  readonly atLine_s: number;
}

export class DrivenJoint implements PlantJoint {
  readonly joint: Joint;
  /** Its gear has play: the rotor has a place of its own. */
  readonly isLoose: boolean;
  position = 0;
  velocity = 0;
  rotor = 0;
  command = 0;
  commandRate = 0;
  heading = 0;
  effort = 0;
  asked = 0;
  hangs = 0;
  loose = 0;
  saturated_s = 0;
  /** Of a rotor of its own, effort per acceleration. */
  rotorInertia = 0;
  private servo: PlantServo | null = null;
  private readonly play: number;
  private readonly friction: number;
  private readonly loop: LoopInLine;
  private readonly rub: Friction;
  private readonly teeth = new Teeth();
  /** Of the loop, by its error at the step's beginning; of the teeth by how far they are pressed, and on which side. */
  private held = 0;
  private pressed = 0;
  private side = 0;
  private bite = 0;
  private readonly lowest: number;
  private readonly highest: number;
  private rotorRate = 0;
  /** How long it has been at the servo line without a break. */
  private atLine_s = 0;
  private from = 0;
  private to = 0;

  constructor(joint: Joint) {
    const { centre, centre_us, sense, us_per_unit, range_us, gear_play_rad, servo, gear_ratio } = joint;
    const ends = range_us.map((us) => centre + (us - centre_us) / (sense * us_per_unit));
    const [low, high] = [Math.min(...ends), Math.max(...ends)];
    this.joint = joint;
    this.play = gear_play_rad ?? 0;
    this.isLoose = this.play > 0;
    this.friction = servo.drive === 'rotary' ? (servo.friction_nm ?? 0) * gear_ratio : 0;
    this.loop = new LoopInLine(joint);
    this.rub = new Friction(this.friction, FRICTION_WITHIN * (joint.hi - joint.lo));
    this.lowest = low - BEYOND_PULSES * (high - low);
    this.highest = high + BEYOND_PULSES * (high - low);
  }

  get ideal(): boolean {
    return this.servo === null;
  }

  get speed(): number {
    return this.isLoose && this.servo ? this.rotorRate : this.velocity;
  }

  /** Whether it is where its servo cannot turn to: its load has taken it there. */
  get isGone(): boolean {
    return !this.ideal && (this.position < this.lowest || this.position > this.highest);
  }

  /** Whether its place is no number any more. */
  get isLost(): boolean {
    return !Number.isFinite(this.position + this.velocity + this.rotor);
  }

  state(): JointState {
    const { position, velocity, rotor, rotorRate, command, commandRate, heading, to, saturated_s, atLine_s } = this;
    return { position, velocity, rotor, rotorRate, command, commandRate, heading, aimed: to, saturated_s, atLine_s };
  }

  /** Goes on from there, held by its servo as it is now. */
  resume({ aimed, ...state }: JointState): void {
    Object.assign(this, state);
    this.to = aimed;
  }

  /** At rest there, without a servo so far. */
  place(at: number): void {
    this.servo = null;
    this.position = this.rotor = this.command = this.from = this.to = at;
    this.velocity = this.rotorRate = this.commandRate = this.heading = this.effort = this.asked = 0;
    this.saturated_s = this.atLine_s = 0;
  }

  /**
   * Its servo begins to hold it: it hangs in its loop, and in its gear, by what it carries.
   * @param held effort that holds it, @param inertia of all that it moves, its rotor included.
   */
  hold(servo: PlantServo | null, held: number, inertia: number): void {
    this.servo = servo;
    this.rotorInertia = Math.max(rotorAt(this.joint), LEAST_ROTOR * inertia);
    this.hang(held);
  }

  /** At rest where this load hangs it from its command. */
  hang(held: number): void {
    const { servo } = this;
    if (!servo) return;
    this.rotor = this.command - held / servo.stiffness - Math.sign(held) * servo.deadBand;
    const slack = this.isLoose ? this.play / 2 + Math.abs(held) / (TEETH * servo.stiffness) : 0;
    this.position = this.rotor - Math.sign(held) * slack;
  }

  /** What this load sags it by, from now on. */
  carry(held: number): void {
    const { servo } = this;
    this.hangs = servo ? held / servo.stiffness : 0;
    this.loose = servo ? servo.deadBand + this.friction / servo.stiffness : 0;
  }

  /** Share of what it moves that its rotor is taken to weigh behind play, since it is lighter by the file; null: as the file has it. */
  get assumedRotor(): number | null {
    const isLighter = this.isLoose && !this.ideal && this.rotorInertia > rotorAt(this.joint);
    return isLighter ? LEAST_ROTOR : null;
  }

  /** What of all that it moves is a rotor of its own, effort per acceleration. */
  get apart(): number {
    return this.isLoose ? rotorAt(this.joint) : 0;
  }

  /** What must stand beside every inertia for its spring to be stable at such a step, effort per acceleration. */
  leastInertia(step_s: number): number {
    return (this.servo?.stiffness ?? 0) * (step_s / 2) ** 2;
  }

  /** A new command, to be ramped to within so many s. */
  aim(to: number, within_s: number): void {
    this.from = this.to;
    this.to = to;
    this.commandRate = (to - this.from) / within_s;
    if (this.commandRate !== 0) this.heading = Math.sign(this.commandRate);
  }

  /** The ramp at a share of it; without a servo of which the figures are known the joint is exactly there. */
  ramp(share: number): void {
    this.command = this.from + (this.to - this.from) * share;
    if (this.servo) return;
    this.velocity = this.commandRate;
    this.position = this.rotor = this.command;
  }

  /** Takes what a step begins with: errors and pressed teeth. */
  begin(step_s: number): void {
    const { servo } = this;
    if (!servo) return;
    this.held = springOf(servo, this.command - this.rotor) + servo.damping * this.commandRate;
    if (!this.isLoose) return;
    const apart = this.rotor - this.position;
    const stiffness = TEETH * servo.stiffness;
    const damping = Math.sqrt(stiffness * this.rotorInertia);
    const deep = Math.abs(apart) - this.play / 2;
    this.side = deep > 0 ? Math.sign(apart) : 0;
    // K·(h/2)² between rotor and load, as long as their teeth touch.
    this.bite = damping + (stiffness * step_s) / (4 * THETA);
    this.pressed = this.side * stiffness * deep + damping * (this.rotorRate - this.velocity);
  }

  /**
   * Looks at all that acts on it for such changes of rate of its load and of its servo.
   * @returns whether something stands on another straight piece than at the last look.
   */
  look(load: number, rotor: number): boolean {
    const { servo, loop, rub, teeth } = this;
    if (!servo) return false;
    const rate = this.speed + rotor;
    const isLoop = loop.look(rate, this.held, servo.damping);
    const isRub = this.friction > 0 && rub.look(rate);
    const isTeeth = this.isLoose && teeth.look(rotor - load, this.side, this.pressed, this.bite);
    return isLoop || isRub || isTeeth;
  }

  /** By the last look, what drives the servo's side and how that falls with its rate; the teeth the same, by rotor less load. */
  get driveEffort(): number {
    return this.loop.effort + this.rub.effort;
  }

  get driveSlope(): number {
    return this.loop.slope + this.rub.slope;
  }

  get teethEffort(): number {
    return this.teeth.effort;
  }

  get teethSlope(): number {
    return this.teeth.slope;
  }

  /** The step ends: rates changed by so much, and places go on with the new ones. */
  end(load: number, rotor: number, step_s: number): void {
    if (!this.servo) return;
    this.velocity += load;
    this.position += this.velocity * step_s;
    this.rotorRate += rotor;
    this.rotor = this.isLoose ? this.rotor + this.rotorRate * step_s : this.position;
    this.asked = this.loop.asked;
    this.effort = this.loop.effort;
    this.countAtLine(step_s);
  }

  /** Counts time at the servo line, from its beginning, once it has lasted. */
  private countAtLine(step_s: number): void {
    if (this.loop.side === 0) {
      this.atLine_s = 0;
      return;
    }
    const before = this.atLine_s;
    this.atLine_s += step_s;
    if (this.atLine_s >= LASTS_S) this.saturated_s += before < LASTS_S ? this.atLine_s : step_s;
  }
}

/** How far the servo is behind its command, in the unit that files and messages show; the play of a gear comes on top. */
export const behind = ({ joint, command, rotor }: PlantJoint): number => toShown(joint, command - rotor);

/** The same beyond what its load hangs it at rest, which no limit changes. */
export function beyondRest({ joint, command, rotor, hangs, loose }: PlantJoint): number {
  const off = command - rotor - hangs;
  return toShown(joint, Math.sign(off) * Math.max(0, Math.abs(off) - loose));
}

/**
 * How far the servo runs ahead of its command, the way that the command goes or last went, beyond what its load hangs it at rest; 0
 * while it is behind or comes back. In the unit that files and messages show.
 */
export const ahead = ({ joint, command, heading, rotor, speed, hangs, loose }: PlantJoint): number =>
  heading * speed > 0 ? toShown(joint, Math.max(0, heading * (rotor - command + hangs) - loose)) : 0;
