/**
 * A prop as it really is, and the hands and eyes beside it: servos and geometry of its own, which the rig knows nothing of. It sees the
 * pulses measured at the pins and nothing else of the board; it answers what it is asked as a person reads it.
 *
 * Readings: angles to 0.1 degree (a printed protractor under a pointer 150 mm long: 0.26 mm at its tip), heights to 0.1 mm (a caliper),
 * tilts to 0.05 degree (a digital inclinometer). Common practice.
 */
import { type Person, type Question, SettleAsked } from '../../../host/bringup/person.ts';
import { poseFromHome } from '../../../host/physics/kinematics/forward.ts';
import { type Platform, type Pose, toDeg, toRad } from '../../../host/rig/rig.ts';
import { rpyMatrix } from '../../../host/rig/rotation.ts';
import type { TrueServo } from './true-servo.ts';

export interface SeenPulse {
  readonly pin: number;
  readonly width_us: number;
  /** When it ended, session time. */
  readonly at_us: number;
}

/** What a joint is in truth; legs first, in their order. */
export interface TrueJoint {
  readonly name: string;
  readonly pin: number;
  readonly servo: TrueServo;
}

/** Somebody hears a servo strain when it is asked for this much beyond its stop, and presses the key so much later (ours; reaction time: a quarter of a second, common practice). */
export const HEARD_DEG = 0.5;
const REACTION_US = 250_000;

const DEG_STEP = 0.1;
const HEIGHT_STEP_MM = 0.1;
const TILT_STEP_DEG = 0.05;
const read = (value: number, step: number): string => (Math.round(value / step) * step).toFixed(2);

export class TrueProp implements Person {
  readonly joints: readonly TrueJoint[];
  readonly platform: Platform | null;
  readonly pulses: SeenPulse[] = [];
  readonly said: string[] = [];
  readonly asked: Question[] = [];
  /** Pressed at the next step or question. */
  settleNow = false;
  /** Whether whoever stands beside says that it binds. */
  attentive = true;
  /** Called before each question is answered; what it returns is typed instead of the truth. */
  instead: (question: Question) => string | undefined = () => undefined;
  /** Called whenever the person has looked on. */
  looked: () => void = () => undefined;
  /** Lets the board go on alone for so many us, whatever it is told meanwhile; set by what it hangs on. */
  wait: (for_us: number) => Promise<void> = () => Promise.resolve();
  now_us = 0;
  private readonly byPin: ReadonlyMap<number, TrueServo>;
  private strainedSince_us = NaN;
  private saysBinds = false;

  constructor(joints: readonly TrueJoint[], platform: Platform | null) {
    this.joints = joints;
    this.platform = platform;
    this.byPin = new Map(joints.map(({ pin, servo }) => [pin, servo]));
  }

  servo(name: string): TrueServo {
    const joint = this.joints.find((one) => one.name === name);
    if (!joint) throw new Error(`the prop has no ${name}`);
    return joint.servo;
  }

  /** A pulse was measured at a pin; pins without a servo (the power switch, a lamp) are none of its business. */
  pulse(pin: number, width_us: number, at_us: number): void {
    const servo = this.byPin.get(pin);
    if (!servo) return;
    this.pulses.push({ pin, width_us, at_us });
    servo.pulse(width_us, at_us);
  }

  /** The session has come to an instant. */
  at(now_us: number): void {
    this.now_us = now_us;
    const strains = this.joints.some(({ servo }) => servo.strain_deg(now_us) > HEARD_DEG);
    if (!strains) this.strainedSince_us = NaN;
    else if (Number.isNaN(this.strainedSince_us)) this.strainedSince_us = now_us;
    if (now_us - this.strainedSince_us >= REACTION_US) {
      this.saysBinds = true;
      this.strainedSince_us = now_us;
    }
    this.looked();
  }

  say(words: string): void {
    this.said.push(words);
  }

  ask(question: Question): Promise<string> {
    this.asked.push(question);
    const typed = this.instead(question);
    if (this.settles()) return Promise.reject(new SettleAsked());
    return Promise.resolve(typed ?? this.truthOf(question));
  }

  binds(): boolean {
    const said = this.saysBinds && this.attentive;
    this.saysBinds = false;
    return said;
  }

  settles(): boolean {
    const pressed = this.settleNow;
    this.settleNow = false;
    return pressed;
  }

  /** The pose in which the true cranks hold the true plate, from its own home. */
  get pose(): Pose {
    if (!this.platform) throw new Error('the prop has no platform');
    const legs = this.joints.slice(0, 6).map(({ servo }) => toRad(servo.reading_deg(this.now_us)));
    const found = poseFromHome(this.platform, legs);
    if (!found) throw new Error(`the plate came apart at ${legs.map((at) => toDeg(at).toFixed(1)).join(', ')} deg`);
    return found.pose;
  }

  private truthOf({ id, joint, text, unit }: Question): string {
    if (id === 'centre.refit') return this.refit(joint ?? '', text);
    if (unit === null) return '';
    if (id === 'centre.reading' || id === 'scale.reading')
      return read(this.servo(joint ?? '').reading_deg(this.now_us), DEG_STEP);
    if (id === 'estimate.height') return read(this.height_mm, HEIGHT_STEP_MM);
    if (id === 'estimate.tilt_x') return read(this.tilts_deg[0], TILT_STEP_DEG);
    if (id === 'estimate.tilt_y') return read(this.tilts_deg[1], TILT_STEP_DEG);
    throw new Error(`nobody knows what to answer to ${id}: ${text}`);
  }

  private refit(joint: string, text: string): string {
    const told = /(\d+) (?:tooth|teeth)\D* (plus|minus)/.exec(text);
    if (!told) throw new Error(`how many teeth, and which way: ${text}`);
    this.servo(joint).refit(Number(told[1]) * (told[2] === 'plus' ? 1 : -1));
    return '';
  }

  /** Height of the pivot over the base plane, mm. */
  private get height_mm(): number {
    return this.platform!.home_z_mm + this.platform!.pivot_mm[2] + this.pose[2];
  }

  /** Angles of the plate's x and y axes above the base plane, deg: a level laid along each. Base level, not on its side. */
  private get tilts_deg(): readonly [number, number] {
    const turn = rpyMatrix([this.pose[3], this.pose[4], this.pose[5]]);
    return [toDeg(Math.asin(turn[6])), toDeg(Math.asin(turn[7]))];
  }
}
