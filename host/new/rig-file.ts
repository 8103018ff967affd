/** The rig file of a new prop: the answers, what follows from them, and beside each figure where it comes from. */
import { usualLink } from '../rig/links.ts';
import { rigSchemaJson } from '../rig/read.ts';
import { short } from '../rig/words.ts';
import type { Answered } from './answers.ts';
import { limitsOf, middleHeight_mm, ringsOf, strokeLimits_mm, turningOf } from './derived.ts';
import type { Answers, Key } from './questions.ts';
import type { Ring } from './ring.ts';

/** The schema of rig files, beside the rig, for editors. */
export const SCHEMA_FILE = 'rig.schema.json';
/** First line of a rig file: by it an editor finds the schema. */
export const SCHEMA_HOOK = `# yaml-language-server: $schema=./${SCHEMA_FILE}`;

export const schemaText = (): string => `${JSON.stringify(rigSchemaJson(), null, 2)}\n`;

const sig = (value: number, digits = 3): string => String(Number(value.toPrecision(digits)));
const list = (values: readonly (number | string)[]): string => `[${values.map((value) => String(value)).join(', ')}]`;

const assumed = (value: number): string => `{ value: ${sig(value)}, from: assumed }`;

/** Writes figures with their source: what was answered, or else assumed. */
class Figures {
  private readonly typical: ReadonlySet<Key>;
  constructor(typical: ReadonlySet<Key>) {
    this.typical = typical;
  }
  of(key: Key, value: number, from: 'measured' | 'sheet' = 'measured'): string {
    return `{ value: ${sig(value, 6)}, from: ${this.typical.has(key) ? 'assumed' : from} }`;
  }
}

/** The whole text. `name`: of the rig, as it is. */
export function rigFile({ answers, typical }: Answered, name: string): string {
  const figures = new Figures(typical);
  return `${SCHEMA_HOOK}
# Lengths are in mm, angles in degrees, masses in kg; every key says its unit. x points where the character looks, y to its left, z up.
# from: measured or sheet is an answer; assumed is a typical value that nobody measured yet: replace it when you have.
rig: ${JSON.stringify(name)}

platform:
${platform(answers, figures)}
parts:                               # everything that weighs
${parts(answers, figures)}
servos:
${servos(answers, figures)}
joints:${joints(answers)}
motion:
${motion(answers)}
${supply(answers, figures)}
rest: ${answers.without_power.padEnd(30)} # without power: on_stop (it sinks onto a stop), hanging (still), powered (it would fall)
audience: bench                      # on the bench until it has been walked through
board: { kind: ${answers.board}, link: ${usualLink(answers.board)}, stop: { pin: 20, category: 1 }, power_pin: 21 }   # a stop button to pin 20; pin 21 switches the servos' supply
`;
}

/** From the base's frame, whose z points where the servos push, to the world. */
const TURNED = { flat: [0, 0, 0], upright: [0, 90, 0], hanging: [180, 0, 0] } as const;
const STANDS = {
  flat: 'the base lies flat, the head stands on it',
  upright: 'the base stands upright and its servos push forward, the way it looks',
  hanging: 'the base hangs upside down, the head below it',
} as const;

function platform(answers: Answers, figures: Figures): string {
  const { drive, base, tilt, tilt_to_base_mm: at } = answers;
  const rings = ringsOf(answers);
  const place = tilt === 'nod' ? [at[0], 0, at[1]] : [0, 0, 0];
  const ring = (key: 'base_ring_mm' | 'plate_ring_mm', { radius_mm, half_angle_deg }: Ring): string =>
    `{ radius_mm: ${figures.of(key, radius_mm)}, half_angle_deg: ${figures.of(key, half_angle_deg)} }`;
  const measured = (what: string, [shorter, longer]: readonly [number, number]): string =>
    `   # ${what}: ${sig(shorter, 5)} mm and ${sig(longer, 5)} mm from one to the next`;
  return `  drive: ${drive}
  on: ${tilt === 'nod' ? 'nod       ' : 'ground    '}                     # what carries it
  mount: { at_mm: ${list(place)}, rpy_deg: ${list(TURNED[base])} }   # ${STANDS[base]}
  base: ${ring('base_ring_mm', rings.base)}${measured('servo axes', answers.base_ring_mm)}; the near ones are a pair
  moving: ${ring('plate_ring_mm', rings.plate)}${measured('joints', answers.plate_ring_mm)}; the far ones are a pair
${drive === 'crank' ? crank(answers, figures) : linear(answers)}  servo: ${servoName(answers)}
`;
}

const servoName = ({ drive }: Answers): string => (drive === 'crank' ? 'neck' : 'stick');

const crank = (
  { horn_mm, rod_mm }: Answers,
  figures: Figures,
): string => `  crank_mm: ${figures.of('horn_mm', horn_mm)}   # axis to rod end
  rod_mm: ${figures.of('rod_mm', rod_mm)}   # middle of one end to middle of the other
  crank_kg: ${assumed(0.006)}   # one of six
  rod_kg: ${assumed(0.014)}     # one of six, with both its ends
  crank_azimuth_deg: outward         # at angle 0 the two cranks of a pair point away from each other; else inward
  rod_end_deg: ${assumed(25)}   # how far a rod end tilts before it binds
  home_z_mm: level                   # home is where the cranks are level
  limit_deg: [-60, 60]               # soft limits of every crank, 0 is level
`;

function linear(answers: Answers): string {
  const { limits, narrowed } = strokeLimits_mm(answers);
  const why = narrowed
    ? 'not all of the stroke: further out the plate could turn so far that it hangs loose'
    : 'clear of both ends';
  return `  stroke_mm: ${list(answers.stroke_mm)}   # pin to pin, all the way in and out
  limit_mm: ${list(limits.map((mm) => short(mm, 2)))}   # soft limits, ${why}
  home_z_mm: ${short(middleHeight_mm(answers), 2)}   # home is where they are half out: joints of the plate above those of the base
`;
}

/** Of one servo of the base, kg, by its stall torque in kgf·cm: common sizes (usual, not measured). */
const servoKg = (kgcm: number): number => (kgcm < 4 ? 0.012 : kgcm < 40 ? 0.06 : 0.15);
const STICK_KG = 0.15;

function parts(answers: Answers, figures: Figures): string {
  const { drive, base, head_g, head_size_mm: size, servo } = answers;
  const rings = ringsOf(answers);
  // In the plate's frame, whose z points away from the base.
  const local = base === 'upright' ? [size[2], size[1], size[0]] : size;
  const centre = [0, 0, short((local[2] ?? 0) / 2)];
  const radii = local.map((mm) => short(mm / 2));
  const six_kg = 6 * (drive === 'crank' ? servoKg(servo[0]) : STICK_KG);
  const disc = ({ radius_mm }: Ring, more_mm: number, thick_mm: number): string =>
    `shape: { cylinder: { radius_mm: ${short(radius_mm + more_mm)}, length_mm: ${String(thick_mm)} } }`;
  return `  - { name: head, on: moving, mass_kg: ${figures.of('head_g', head_g / 1000)}, at_mm: ${list(centre)}, shape: { ellipsoid_shell: { radii_mm: ${list(radii)} } } }   # with the plate; its middle half its size from it
  - { name: base servos, on: base, mass_kg: ${assumed(six_kg)}, at_mm: [0, 0, 0], ${disc(rings.base, 0, 40)} }   # all six
`;
}

function turning(name: string, key: 'servo' | 'tilt_servo' | 'face_servo', answers: Answers, figures: Figures): string {
  const [kgcm, s_per_60deg, stall_a] = answers[key];
  const { rotor_kgm2, stiffness_nm_rad, friction_nm } = turningOf(answers[key]);
  return `  ${name}:
    stall_torque_kgcm: ${figures.of(key, kgcm, 'sheet')}
    no_load_s_per_60deg: ${figures.of(key, s_per_60deg, 'sheet')}
    stall_current_a: ${figures.of(key, stall_a, 'sheet')}
    rotor_inertia_kgm2: ${assumed(rotor_kgm2)}   # at the horn, gears and all: 10 ms (of a motor's usual 5 to 20) · stall torque / no-load speed
    stiffness_nm_rad: ${assumed(stiffness_nm_rad)}   # full torque at 3 deg; to measure: a weight on the horn, degrees it sinks
    friction_nm: ${assumed(friction_nm)}   # a tenth of the stall torque
${pulses('us_per_deg: 10.0', 600, 2400)}`;
}

const pulses = (
  scale: string,
  from: number,
  to: number,
): string => `    frame_hz: 50                     # pulses a second
    centre_us: 1500
    ${scale.padEnd(32)} # by the sheet, or measure two positions
    range_us: [${String(from)}, ${String(to)}]           # what it takes without running into its own stops: measure
    deadband_us: ${assumed(4)}
`;

function stick({ stroke_mm, linear_servo: [force_n, mm_s, stall_a] }: Answers, figures: Figures): string {
  const key = 'linear_servo';
  return `  stick:
    force_n: ${figures.of(key, force_n, 'sheet')}
    speed_mm_s: ${figures.of(key, mm_s, 'sheet')}
    stall_current_a: ${figures.of(key, stall_a, 'sheet')}
${pulses(`us_per_mm: ${sig(1000 / (stroke_mm[1] - stroke_mm[0]), 5)}`, 1000, 2000)}`;
}

function servos(answers: Answers, figures: Figures): string {
  return [
    answers.drive === 'crank' ? turning('neck', 'servo', answers, figures) : stick(answers, figures),
    ...(answers.tilt === 'nod' ? [turning('tilt', 'tilt_servo', answers, figures)] : []),
    ...(answers.face.length > 0 ? [turning('face', 'face_servo', answers, figures)] : []),
  ].join('');
}

const NOD_RATIO = 3;

function joints(answers: Answers): string {
  const { tilt, face, head_size_mm: size, base } = answers;
  const first = tilt === 'nod' ? 9 : 8;
  const out_mm = base === 'upright' ? size[0] : size[2];
  const all = [
    ...(tilt === 'nod' ? [nod(answers)] : []),
    ...face.map((name, i) => faceJoint(name, first + i, short(out_mm / 2), answers)),
  ];
  const note = "   # pins 2 to 7 are the legs', in their order";
  if (answers.drive === 'linear') return `${all.length > 0 ? '' : ' {}'}${note}\n${all.join('')}`;
  const mirrored = [1, 3, 5].map((leg) => `  leg${String(leg)}: { sense: -1 }\n`).join('');
  return `${note}; of the two servos of a pair one turns the other way: try it, each leg alone\n${mirrored}${all.join('')}`;
}

function nod({ tilt_servo }: Answers): string {
  const { speed, accel } = limitsOf(turningOf(tilt_servo).no_load_deg_s / NOD_RATIO);
  return `  nod:
    servo: tilt
    pin: 8
    axis: { at_mm: [0, 0, 0], along: [0, -1, 0] }   # positive looks up
    gear_ratio: ${String(NOD_RATIO)}
    gear_efficiency: ${assumed(0.9)}
    gear_play_deg: ${assumed(0.3)}
    limit_deg: [-20, 20]
    rest_deg: 0
    speed_deg_s: ${sig(speed)}
    accel_deg_s2: ${sig(accel)}
`;
}

function faceJoint(name: string, pin: number, at_mm: string, { face_servo }: Answers): string {
  const { speed, accel } = limitsOf(turningOf(face_servo).no_load_deg_s);
  return `  ${name}:
    servo: face
    pin: ${String(pin)}
    at_mm: [0, 0, ${at_mm}]                 # where it sits above the plate
    limit_deg: [-20, 20]               # 0 is the middle of its servo
    speed_deg_s: ${sig(speed)}
    accel_deg_s2: ${sig(accel)}
    load: { mass_kg: ${assumed(0.01)}, arm_mm: ${assumed(15)}, inertia_kgm2: ${assumed(5e-6)} }   # what it moves: weigh it, and measure from its axis
`;
}

function motion(answers: Answers): string {
  const rotary = answers.drive === 'crank';
  const { speed, accel } = limitsOf(rotary ? turningOf(answers.servo).no_load_deg_s : answers.linear_servo[1]);
  const unit = rotary ? 'deg' : 'mm';
  return `  tick_hz: 200                       # the controller thinks 200 times a second
  playback_delay_ms: 210             # played this late:
  look_ahead_ms: 150                 # of that to see what comes, long enough for every joint to stop in
  pose_speed: { x_mm_s: 60, y_mm_s: 60, z_mm_s: 60, roll_deg_s: 90, pitch_deg_s: 90, yaw_deg_s: 90 }
  leg: { speed_${unit}_s: ${sig(speed)}, accel_${unit}_s2: ${sig(accel)} }   # a first guess: posewright tune finds what the servos keep
`;
}

/** A lithium cell, V; and where it is nearly empty (common practice). */
const CELL_V = 3.7;
const LOW_SHARE = 3.2 / CELL_V;

function supply({ supply: kind, supply_v_a: [volts, amps] }: Answers, figures: Figures): string {
  const key = 'supply_v_a';
  const given = `kind: ${kind}, voltage_v: ${figures.of(key, volts, 'sheet')}, current_a: ${figures.of(key, amps, 'sheet')}`;
  if (kind === 'mains') return `supply: { ${given} }`;
  const cells = Math.max(1, Math.round(volts / CELL_V));
  return `supply: { ${given}, cells: ${String(cells)}, low_v: ${short(LOW_SHARE * volts, 2)}, fuse_a: ${sig(amps)} }   # below low_v the prop settles: 3.2 of 3.7 V a cell`;
}
