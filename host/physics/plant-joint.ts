/**
 * One joint of the plant: its servo with rotor, dead band, friction and torque-speed line, the gear's play behind it, and its load's
 * place. What the load does under the effort is the plant's business (plant.ts). Units of the joint: rad or mm, s, N·m or N.
 */
import { type Joint, toShown } from '../rig/rig.ts';
import { type PlantServo, asked, given } from './plant-servo.ts';

/** Shorter than this at the servo line is a rotor that settles between its teeth, and moves nothing (ours). */
const LASTS_S = 2e-3;
/** Teeth are so much stiffer than the servo's loop, and a rotor weighs at least such a share of its load (assumed). */
const TEETH = 20;
const LEAST_ROTOR = 0.05;
/** A rotor of its own is quick: in a step its loop may take at most this share of its speed. */
const MOST_DAMPED = 0.5;
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

/** Inertia of the servo's rotor at the joint, behind its gear; unknown counts as none. */
export const rotorOf = ({ servo, gear_ratio }: Joint): number =>
  servo.drive === 'rotary' ? (servo.rotor_inertia_kgm2 ?? 0) * gear_ratio ** 2 : 0;

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
  private servo: PlantServo | null = null;
  private readonly play: number;
  private readonly friction: number;
  private readonly lowest: number;
  private readonly highest: number;
  private rotorRate = 0;
  private rotorInertia = 0;
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
    return !this.ideal && !(this.position >= this.lowest && this.position <= this.highest);
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
    this.rotorInertia = Math.max(rotorOf(this.joint), LEAST_ROTOR * inertia);
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
    const isLighter = this.isLoose && !this.ideal && this.rotorInertia > rotorOf(this.joint);
    return isLighter ? LEAST_ROTOR : null;
  }

  /** The longest step in which its rotor's loop stays calm, s. */
  get longestStep_s(): number {
    const { servo, rotorInertia } = this;
    return this.isLoose && servo && servo.damping > 0 ? (MOST_DAMPED * rotorInertia) / servo.damping : Infinity;
  }

  /** A new command, to be ramped to within so many s. */
  aim(to: number, within_s: number): void {
    this.from = this.to;
    this.to = to;
    this.commandRate = (to - this.from) / within_s;
    if (this.commandRate !== 0) this.heading = Math.sign(this.commandRate);
  }

  /** The ramp at a share of it. */
  ramp(share: number): void {
    this.command = this.from + (this.to - this.from) * share;
  }

  /** Exactly at its command. */
  follow(): void {
    this.velocity = this.commandRate;
    this.position = this.rotor = this.command;
  }

  /** Its load goes so fast now. */
  move(velocity: number, step_s: number): void {
    this.velocity = velocity;
    this.position += velocity * step_s;
    if (!this.isLoose) this.rotor = this.position;
  }

  /** Effort on the load in this step; moves the rotor where the gear has play. */
  drive(step_s: number): number {
    const { servo } = this;
    if (!servo) return 0;
    const rate = this.speed;
    this.asked = asked(servo, this.command - this.rotor, this.commandRate - rate);
    this.effort = given(this.joint, this.asked, rate);
    this.countAtLine(step_s);
    const rub = this.friction * Math.tanh(rate / this.slowest(step_s));
    if (!this.isLoose) return this.effort - rub;
    const contact = this.teeth(servo);
    this.rotorRate += ((this.effort - rub - contact) / this.rotorInertia) * step_s;
    this.rotor += this.rotorRate * step_s;
    return contact;
  }

  /** Rate within which friction turns around: so fast at least that it never shakes a rotor of its own within a step. */
  private slowest(step_s: number): number {
    const { joint, friction, rotorInertia } = this;
    return Math.max(FRICTION_WITHIN * (joint.hi - joint.lo), (friction * step_s) / (MOST_DAMPED * rotorInertia));
  }

  /** Counts time at the servo line, from its beginning, once it has lasted. */
  private countAtLine(step_s: number): void {
    if (this.asked === this.effort) {
      this.atLine_s = 0;
      return;
    }
    const before = this.atLine_s;
    this.atLine_s += step_s;
    if (this.atLine_s >= LASTS_S) this.saturated_s += before < LASTS_S ? this.atLine_s : step_s;
  }

  /** What the teeth push with: nothing within the play, and never a pull. */
  private teeth({ stiffness: loop }: PlantServo): number {
    const apart = this.rotor - this.position;
    const pressed = Math.abs(apart) - this.play / 2;
    if (pressed <= 0) return 0;
    const stiffness = TEETH * loop;
    const side = Math.sign(apart);
    const damping = Math.sqrt(stiffness * this.rotorInertia);
    return side * Math.max(0, stiffness * pressed + damping * side * (this.rotorRate - this.velocity));
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
