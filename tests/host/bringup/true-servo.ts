/**
 * A servo as it really is, whatever its rig says: fed with the widths measured at its pin, read off at its horn. It knows its own
 * neutral pulse, scale, sense, dead band, speed and stops, and on which spline tooth its horn sits. No torque, no load.
 */

/** Angles in degrees of the horn, plus along the joint's plus; the servo's output and its horn turn alike. */
export interface ServoTruth {
  /** The pulse that brings its output to the middle. */
  readonly neutral_us: number;
  readonly us_per_deg: number;
  /** 1: a wider pulse turns it toward the joint's plus. */
  readonly sense: 1 | -1;
  /** Where the horn stands when the output is in its middle, before anybody moves the horn. */
  readonly horn_deg: number;
  /** Teeth of the spline that the horn sits on. */
  readonly spline_teeth: number;
  /**
   * So far a pulse must go back before the horn follows: dead band and friction together, as play between pulse and horn. Of hobby servos
   * 2 to 8 us (common practice).
   */
  readonly dead_us: number;
  readonly speed_deg_s: number;
  /** Where it binds. */
  readonly binds_deg: readonly [number, number];
  /** Where the horn stood when the power came on. */
  readonly stood_deg: number;
}

const clamp = (value: number, lo: number, hi: number): number => Math.max(lo, Math.min(hi, value));
/** A servo goes on for so long after its last pulse, and is limp then: two and a half frames at 50 Hz (ours). */
const PULSES_STOP_US = 50_000;

export class TrueServo {
  readonly truth: ServoTruth;
  private horn_deg: number;
  /** The pulse that the horn is at, dead band and all. */
  private held_us: number;
  private now_deg: number;
  private last_us = NaN;

  constructor(truth: ServoTruth) {
    this.truth = truth;
    this.horn_deg = truth.horn_deg;
    this.now_deg = truth.stood_deg;
    this.held_us = this.pulseAt(truth.stood_deg);
  }

  /** The pulse that brings the horn to an angle, were there no dead band. */
  pulseAt(deg: number): number {
    const { neutral_us, us_per_deg, sense } = this.truth;
    return neutral_us + sense * us_per_deg * (deg - this.horn_deg);
  }

  /** Where the horn would stand with that pulse, dead band and stops left out. */
  askedBy(pulse_us: number): number {
    const { neutral_us, us_per_deg, sense } = this.truth;
    return this.horn_deg + (sense * (pulse_us - neutral_us)) / us_per_deg;
  }

  /** One pulse ended. Widths in us, times in us of the same clock. */
  pulse(width_us: number, at_us: number): void {
    const { dead_us, speed_deg_s } = this.truth;
    const dt_s = this.isPulsing(at_us) ? (at_us - this.last_us) / 1e6 : 0;
    const step_deg = speed_deg_s * dt_s;
    this.now_deg += clamp(this.rests_deg - this.now_deg, -step_deg, step_deg);
    this.held_us = clamp(this.held_us, width_us - dead_us / 2, width_us + dead_us / 2);
    this.last_us = at_us;
  }

  isPulsing(at_us: number): boolean {
    return at_us - this.last_us < PULSES_STOP_US;
  }

  /** Where the pulse brings the horn once it has had time. */
  get rests_deg(): number {
    return clamp(this.askedBy(this.held_us), ...this.truth.binds_deg);
  }

  /** What somebody who waits until it stands still reads: limp, it stays where it is. */
  reading_deg(at_us: number): number {
    if (this.isPulsing(at_us)) this.now_deg = this.rests_deg;
    return this.now_deg;
  }

  /** How far the pulse asks beyond where it binds, degrees: above 0 it strains, and is heard. */
  strain_deg(at_us: number): number {
    const asked = this.askedBy(this.held_us);
    return this.isPulsing(at_us) ? Math.abs(asked - clamp(asked, ...this.truth.binds_deg)) : 0;
  }

  /** The horn is taken off and put on again so many teeth further toward plus; it keeps standing where it was turned to. */
  refit(teeth: number): void {
    const by_deg = (360 / this.truth.spline_teeth) * teeth;
    this.horn_deg += by_deg;
    this.now_deg += by_deg;
  }
}
