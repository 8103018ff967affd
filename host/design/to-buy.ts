/** What of a design is bought or made to size, in words: cranks, rods, servos, and for each joint that is designed besides, what it gets. */
import { short, together } from '../rig/words.ts';
import type { Design } from './design.ts';
import { type Judged, axisHolds } from './judge.ts';
import type { Want } from './want/want.ts';

/** What changes at a joint that is no leg. */
export interface AxisWords {
  readonly joint: string;
  /** Empty: it has none, or none is designed. */
  readonly counterweight: string;
  readonly gear: string;
  readonly servo: string;
  /** What its servo holds at the hardest place, in the given rig and in this one: as `load` says. */
  readonly holds: string;
}

export interface ToBuy {
  /** Empty on a linear platform. */
  readonly crank: string;
  /** On a linear platform its actuators, pin to pin. */
  readonly rod: string;
  /** Of the legs. */
  readonly servo: string;
  readonly axes: readonly AxisWords[];
}

/** What is not looked at of a counterweight, without a stop. */
export const WEIGHTS =
  'a counterweight counts as a point, and nothing is checked of its room: neither the room asked nor other bodies';

interface Written {
  readonly design: Design;
  readonly judged: Judged;
}

export function toBuy(want: Want, { design, judged }: Written, before_nm: Readonly<Record<string, number>>): ToBuy {
  const { joints, platform } = judged.rig;
  const stroke = platform?.stroke_mm;
  return {
    crank: stroke ? '' : `${short(design.crank_mm)} mm`,
    rod: stroke ? stroke.map((length) => short(length)).join(' … ') + ' mm' : `${short(design.rod_mm)} mm`,
    servo: `6 × ${joints[0]?.servo.name ?? ''}`,
    axes: design.axes.map(({ joint: name, counterweight }): AxisWords => {
      const choice = want.axes.find(({ joint }) => joint === name);
      const joint = joints.find((own) => own.name === name);
      const weight =
        counterweight && counterweight.kg > 0
          ? `${short(counterweight.kg, 2)} kg at ${short(counterweight.at_mm)} mm`
          : '';
      return {
        joint: name,
        counterweight: weight,
        gear: choice?.gear_ratio ? short(joint?.gear_ratio ?? NaN, 2) : '',
        servo: (choice?.servos.length ?? 0) > 0 ? (joint?.servo.name ?? '') : '',
        holds: `${torque(before_nm[name])} → ${torque(judged.axis_hold_nm[name])}`,
      };
    }),
  };
}

const torque = (nm: number | undefined): string =>
  nm === undefined || !(nm < Infinity) ? '?' : `${nm.toFixed(2)} N·m`;

/** What the servos of the joints that are designed hold at the hardest place in the given rig, N·m. */
export function givenHolds({ base, axes }: Want): Record<string, number> {
  const off = new Set(axes.map(({ instead_of }) => instead_of));
  const given = { ...base, parts: base.parts.map((part) => (off.has(part.name) ? { ...part, fitted: true } : part)) };
  return axisHolds(given, axes);
}

/** Of which servos a price is. */
export function pricedWords({ leg_servos, axes }: Want): string {
  const bought = axes.filter(({ servos }) => servos.length > 0).map(({ joint }) => joint);
  return `price of ${together([...(leg_servos.length > 0 ? ['legs'] : []), ...bought])}`;
}
