/** The drives of one candidate's legs and axes, chosen by its design: written into arrays, nothing is allocated. SI, at the joint's coordinate. */
import { stageEfficiency } from '../../rig/gear.ts';
import type { Joint } from '../../rig/rig.ts';
import type { AxisDesign, Design } from '../design.ts';
import type { Ask } from './ask.ts';
import { type Drive, driveAt } from './drives.ts';

export class Crew {
  /** Of each leg. */
  leg: Drive;
  price = 0;
  /** By axis. */
  readonly stall: Float64Array;
  readonly top: Float64Array;
  readonly rotor: Float64Array;
  readonly stiffness: Float64Array;
  readonly friction: Float64Array;
  readonly amps: Float64Array;
  /** From the joint's coordinate to the servo's output. */
  readonly toServo: Float64Array;
  /** By free counterweight, in the order of Ask.freeAxes: kg, and m from the axis. */
  readonly weight: Float64Array;
  readonly arm: Float64Array;
  private readonly ask: Ask;
  private readonly axes: readonly Joint[];
  /** By class, -1 first: the legs' drive; by axis and class, at 1:1. */
  private readonly legDrives: readonly Drive[];
  private readonly axisDrives: readonly (readonly Drive[])[];
  private readonly names: readonly string[];

  /** @param axes joints with an axis in space, by index; @param weighted joints with a free counterweight. */
  constructor(ask: Ask, axes: readonly number[], weighted: readonly string[]) {
    const { rig, classes } = ask;
    const drives = (joint: Joint): Drive[] =>
      [joint.servo, ...classes.map(({ servo }) => servo)].map((servo) => driveAt(joint, servo));
    const of = (): Float64Array => new Float64Array(axes.length);
    this.ask = ask;
    this.axes = axes.map((i) => rig.joints[i]!);
    this.names = weighted;
    this.legDrives = drives(rig.joints[0]!);
    this.leg = this.legDrives[0]!;
    this.axisDrives = this.axes.map(drives);
    [this.stall, this.top, this.rotor, this.stiffness, this.friction, this.amps, this.toServo] = [
      of(),
      of(),
      of(),
      of(),
      of(),
      of(),
      of(),
    ];
    [this.weight, this.arm] = [new Float64Array(weighted.length), new Float64Array(weighted.length)];
  }

  choose(design: Design): void {
    const { classes } = this.ask;
    this.leg = this.legDrives[design.servo + 1]!;
    this.price = design.servo < 0 ? 0 : 6 * classes[design.servo]!.price;
    for (let k = 0; k < this.axes.length; k++) {
      const designed = axisOf(design, this.axes[k]!.name);
      const servo = designed ? designed.servo : -1;
      if (servo >= 0) this.price += classes[servo]!.price;
      this.chooseAxis(k, this.axisDrives[k]![servo + 1]!, designed?.gear_ratio ?? this.axes[k]!.gear_ratio);
    }
    for (let w = 0; w < this.names.length; w++) {
      const counterweight = axisOf(design, this.names[w]!)?.counterweight;
      this.weight[w] = counterweight ? counterweight.kg : 0;
      this.arm[w] = counterweight ? counterweight.at_mm / 1000 : 0;
    }
  }

  /** How each figure goes with a gear ratio: servo-line.ts, stiffness.ts, rotor.ts. */
  private chooseAxis(k: number, drive: Drive, ratio: number): void {
    const joint = this.axes[k]!;
    const efficiency = stageEfficiency(joint, ratio);
    this.stall[k] = drive.stall * ratio * (efficiency / joint.gear_efficiency);
    this.top[k] = drive.top / ratio;
    this.rotor[k] = drive.rotor * ratio * ratio;
    this.stiffness[k] = drive.stiffness * ratio * ratio;
    this.friction[k] = drive.friction * ratio;
    this.amps[k] = drive.amps;
    this.toServo[k] = 1 / (ratio * efficiency);
  }
}

function axisOf({ axes }: Design, name: string): AxisDesign | null {
  for (let n = 0; n < axes.length; n++) if (axes[n]!.joint === name) return axes[n]!;
  return null;
}
