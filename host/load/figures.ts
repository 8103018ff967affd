/**
 * The figures of a rig that its load rests on, each with where it comes from, how far it may be off, and the rig as it would
 * be with that figure changed.
 */
import { assumedShape, shapeInertia } from '../physics/dynamics/inertia.ts';
import type { Joint, Part, Platform, PointLoad, Rig, Servo, Source } from '../rig/rig.ts';
import { rotorOf } from '../rig/rotor.ts';
import { servoClasses } from '../rig/servo-classes.ts';

export interface Figure {
  /** Key path in the rig file, as far as the figure has one of its own. */
  readonly path: string;
  readonly from: Source['from'];
  readonly within_percent: number;
  /** The file does not say how far it may be off. */
  readonly taken: boolean;
  /** The rig with the figure multiplied by `factor`. */
  readonly changed: (factor: number) => Rig;
}

/** Where the file does not say. */
export const WITHIN_PERCENT = 10;

/** What stands for a figure that the file does not give may be half or twice as much (ours: time constants of 5 to 20 ms). */
const ASSUMED_WITHIN_PERCENT = 100;

type Change = Pick<Figure, 'path' | 'changed'> & { readonly assumed?: true };

/** All figures that are known and not 0; legs' geometry is left to `reach`. */
export function figuresOf(rig: Rig): Figure[] {
  const changes = [
    ...partFigures(rig),
    ...shapesAssumed(rig),
    ...platformFigures(rig),
    ...servoFigures(rig),
    ...rotorsAssumed(rig),
    ...jointFigures(rig),
  ];
  return changes.map(({ path, changed, assumed }): Figure => {
    if (assumed) return { path, from: 'assumed', within_percent: ASSUMED_WITHIN_PERCENT, taken: false, changed };
    const source = sourceOf(rig, path);
    return {
      path,
      from: source?.from ?? 'given',
      within_percent: source?.within_percent ?? WITHIN_PERCENT,
      taken: (source?.within_percent ?? null) === null,
      changed,
    };
  });
}

/** A servo's torque and speed stand under one of several keys, and in rows by voltage. */
function sourceOf({ sources }: Rig, path: string): Source | undefined {
  const found = sources.get(path);
  if (found) return found;
  const [group = '', name = '', key = ''] = path.split('.');
  if (group !== 'servos') return undefined;
  const stem = STEMS[key];
  if (stem === undefined) return undefined;
  for (const [other, source] of sources)
    if (other.startsWith(`servos.${name}.`) && stem.some((part) => other.endsWith(part))) return source;
  return undefined;
}

const STEMS: Readonly<Record<string, readonly string[]>> = {
  stall_torque: ['.stall_torque_nm', '.stall_torque_kgcm', '.stall_torque_ozin'],
  no_load_speed: ['.no_load_speed_deg_s', '.no_load_s_per_60deg'],
  force_n: ['.force_n'],
  speed_mm_s: ['.speed_mm_s'],
};

function partFigures(rig: Rig): Change[] {
  return rig.parts.flatMap((part, i) => {
    const { mass_kg } = part;
    if (mass_kg === null || mass_kg === 0 || !part.fitted) return [];
    const changed = (factor: number): Rig => {
      const inertia = part.inertia_kgmm2;
      const heavier: Part = { ...part, mass_kg: mass_kg * factor, inertia_kgmm2: inertia && scaled(inertia, factor) };
      return { ...rig, parts: rig.parts.with(i, heavier) };
    };
    return [{ path: `parts.${part.name}.mass_kg`, changed }];
  });
}

/** The balls that stand for parts without a shape. */
function shapesAssumed(rig: Rig): Change[] {
  return rig.parts.flatMap((part, i) => {
    const { name, mass_kg, shape, inertia_kgmm2, fitted } = part;
    if (mass_kg === null || mass_kg === 0 || shape || inertia_kgmm2 || !fitted) return [];
    const round_kgmm2 = shapeInertia(assumedShape(mass_kg), mass_kg)[0] * 1e6;
    const changed = (factor: number): Rig => {
      const other: Part = { ...part, inertia_kgmm2: scaled([round_kgmm2, round_kgmm2, round_kgmm2], factor) };
      return { ...rig, parts: rig.parts.with(i, other) };
    };
    return [{ path: `parts.${name}.shape`, changed, assumed: true }];
  });
}

const scaled = ([x, y, z]: readonly [number, number, number], by: number): [number, number, number] => [
  x * by,
  y * by,
  z * by,
];

function platformFigures(rig: Rig): Change[] {
  const { platform } = rig;
  if (!platform) return [];
  return (['crank_kg', 'rod_kg'] as const).flatMap((key) => {
    const value = platform[key];
    if (value === null || value === 0) return [];
    const changed = (factor: number): Rig => {
      const other: Platform = { ...platform, [key]: value * factor };
      return { ...rig, platform: other };
    };
    return [{ path: `platform.${key}`, changed }];
  });
}

/** By drive: a torque's key depends on its unit, and is said without. */
const SERVO_FIGURES = {
  rotary: [
    ['stall_torque', 'stall'],
    ['no_load_speed', 'no_load_speed'],
    ['rotor_inertia_kgm2', 'rotor_inertia_kgm2'],
    ['friction_nm', 'friction_nm'],
  ],
  linear: [
    ['force_n', 'stall'],
    ['speed_mm_s', 'no_load_speed'],
  ],
} as const;

/** The rig with other figures in one servo class. */
function withServo(rig: Rig, { name }: Servo, change: Partial<Servo>): Rig {
  const joints = rig.joints.map((joint) =>
    joint.servo.name === name ? { ...joint, servo: { ...joint.servo, ...change } } : joint,
  );
  return { ...rig, joints };
}

function servoFigures(rig: Rig): Change[] {
  return servoClasses(rig.joints).flatMap((servo) =>
    SERVO_FIGURES[servo.drive].flatMap(([name, key]) => {
      const value = servo[key];
      if (value === null || value === 0) return [];
      const changed = (factor: number): Rig => withServo(rig, servo, { [key]: value * factor });
      return [{ path: `servos.${servo.name}.${name}`, changed }];
    }),
  );
}

/** What stands for rotors that the file does not give. */
function rotorsAssumed(rig: Rig): Change[] {
  return servoClasses(rig.joints).flatMap((servo) => {
    const rotor = rotorOf(servo);
    if (!rotor?.assumed) return [];
    const changed = (factor: number): Rig => withServo(rig, servo, { rotor_inertia_kgm2: rotor.inertia * factor });
    return [{ path: `servos.${servo.name}.rotor_inertia_kgm2`, changed, assumed: true }];
  });
}

const LOAD_FIGURES = ['mass_kg', 'arm_mm', 'inertia_kgm2'] as const;

function jointFigures(rig: Rig): Change[] {
  const swap = (i: number, change: Partial<Joint>): Rig => ({
    ...rig,
    joints: rig.joints.with(i, { ...rig.joints[i]!, ...change }),
  });
  return rig.joints.flatMap(({ name, gear_ratio, gear_efficiency, load }, i) => [
    ...(gear_ratio === 1
      ? []
      : [
          {
            path: `joints.${name}.gear_efficiency`,
            changed: (factor: number) => swap(i, { gear_efficiency: Math.min(1, gear_efficiency * factor) }),
          },
        ]),
    ...LOAD_FIGURES.flatMap((key) => {
      const value = load?.[key] ?? 0;
      if (!load || value === 0) return [];
      const changed = (factor: number): Rig => {
        const other: PointLoad = { ...load, [key]: value * factor };
        return swap(i, { load: other });
      };
      return [{ path: `joints.${name}.load.${key}`, changed }];
    }),
  ]);
}
