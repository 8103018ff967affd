/** What the metal does behind the controller, and what share of their torque the joints use: fed with each telemetry frame. */
import type { Telemetry } from '../../../controller/messages.ts';
import { Demand } from '../../../physics/dynamics/demand.ts';
import { ForwardSolver, type MutablePose } from '../../../physics/kinematics/forward.ts';
import { Plant } from '../../../physics/plant/plant.ts';
import { shareOf } from '../../../physics/servo/servo-line.ts';
import { HOME, type Rig } from '../../../rig/rig.ts';
import { pulsedInto } from '../../../rig/pulse.ts';

/** Efforts come from places so far apart, as `load` and `replay` take them: nearer ones show the steps of the numbers, s. */
const EFFORT_S = 0.02;
/** Longer than this between two frames the prop was not watched: it is taken to stand where it is commanded, s. */
const MISSED_S = 0.5;

export class Metal {
  /** As commanded; live views. */
  readonly commanded: Float64Array;
  /** Where the metal has the joints, by its plant. */
  readonly metal: Float64Array;
  /** Share of its torque at its speed; NaN: unknown. */
  readonly use: Float64Array;
  /** As commanded; null: no platform, or the legs fit no pose. */
  pose: MutablePose | null;
  private readonly rig: Rig;
  private readonly plant: Plant;
  private readonly demand: Demand;
  private readonly solver: ForwardSolver | null;
  private readonly pulsed: Float64Array;
  private readonly last: MutablePose = [...HOME];
  private running = false;
  /** Since the last place that efforts were taken from, s. */
  private since_s = 0;

  constructor(rig: Rig) {
    this.rig = rig;
    this.plant = new Plant(rig);
    this.demand = new Demand(rig);
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
    this.pose = rig.platform ? [...HOME] : null;
    this.commanded = Float64Array.from(rig.joints, ({ rest }) => rest);
    this.metal = this.commanded.slice();
    this.use = new Float64Array(rig.joints.length);
    this.pulsed = this.commanded.slice();
  }

  /** The plate as the metal has it; null: no platform, or it has fallen. */
  get metalPose(): readonly number[] | null {
    return this.rig.platform ? this.plant.pose : null;
  }

  /** In words; null: all holds. */
  get fallen(): string | null {
    return this.plant.fallen ?? this.plant.lost;
  }

  telemetry(t: Telemetry): void {
    const { rig, commanded, pulsed, plant } = this;
    const frame_s = t.ticks / rig.motion.tick_hz;
    const isOn = rig.joints.some((_, i) => t.pulse_us[i]! > 0);
    for (let i = 0; i < commanded.length; i++) commanded[i] = t.position[i]!;
    pulsedInto(rig.joints, t, pulsed);
    if (!this.running || !isOn || frame_s > MISSED_S || this.fallen !== null) plant.start(pulsed);
    else if (frame_s > 0) plant.frame(pulsed, frame_s);
    this.running = true;
    plant.joints.forEach(({ position }, i) => (this.metal[i] = position));
    this.place();
    this.since_s += frame_s;
    if (this.since_s < EFFORT_S - 1e-6) return;
    if (this.demand.push(t.position, this.since_s)) this.share();
    this.since_s = 0;
  }

  private place(): void {
    if (!this.solver) return;
    const stands = this.solver.solve(this.commanded, this.last, this.last) && !this.solver.flipped;
    this.pose = stands ? [...this.last] : null;
  }

  private share(): void {
    const { effort, rate } = this.demand;
    this.rig.joints.forEach((joint, i) => {
      this.use[i] = shareOf(joint, effort[i]!, rate[i]!);
    });
  }
}
