/** What makers call things, and which key means it: for a key that nobody knows. */
import { either } from './words.ts';

interface Meant {
  /** Keys in the order of likelihood: what the group at hand knows of them is told. */
  readonly keys: readonly string[];
  /** Where such a key stands, for a group that knows none of them. */
  readonly place: string;
}

const meant = (place: string, ...keys: readonly string[]): Meant => ({ keys, place });

const TORQUE = meant('servos.NAME', 'stall_torque_nm', 'stall_torque_kgcm', 'stall_torque_ozin', 'force_n');
const KGCM = meant('servos.NAME', 'stall_torque_kgcm');
const SPEED = meant(
  'servos.NAME',
  'no_load_s_per_60deg',
  'no_load_speed_deg_s',
  'speed_deg_s',
  'speed_mm_s',
  'pose_speed',
);
const ACCEL = meant('joints.NAME or motion.leg', 'accel_deg_s2', 'accel_mm_s2');
const MASS = meant('an item of parts', 'mass_kg', 'crank_kg');
const HEIGHT = meant('platform', 'home_z_mm', 'length_mm', 'size_mm');
const HORN = meant('platform', 'crank_mm', 'arm_mm');
const RADIUS = meant('platform.base and platform.moving', 'radius_mm');
const PIN = meant('joints.NAME (pin 2 and up without it)', 'pin', 'power_pin');
const VOLTS = meant('supply', 'voltage_v', 'at_v');
const AMPS = meant('supply', 'current_a', 'stall_current_a');
const RATE = meant('motion', 'tick_hz', 'frame_hz');
const GEAR = meant('joints.NAME', 'gear_ratio');
const LIMITS = meant('joints.NAME or platform', 'limit_deg', 'limit_mm');
const PULSES = meant('servos.NAME', 'range_us');
const CENTRE = meant('servos.NAME', 'centre_us', 'pivot_mm');
const INERTIA = meant('an item of parts', 'inertia_kgmm2', 'inertia_kgm2', 'rotor_inertia_kgm2');
const PLACE = meant('an item of parts', 'at_mm');
const STOP = meant('board', 'stop');
const WOBBLE = meant('motion, as wobble: { cure: tolerant, hz, damping }', 'wobble');
const SENSE = meant('joints.NAME, as sense: -1', 'sense');
const PLAY = meant('joints.NAME', 'gear_play_deg');

const MEANT: ReadonlyMap<string, Meant> = new Map<string, Meant>([
  ...of(TORQUE, 'torque', 'servo_torque', 'stall_torque', 'torque_nm', 'strength', 'force'),
  ...of(KGCM, 'torque_kgcm', 'torque_kg_cm', 'kgcm', 'kg_cm', 'stall_torque_kg_cm', 'stall_torque_kgfcm'),
  ...of(SPEED, 'speed', 'servo_speed', 'velocity', 'max_speed'),
  ...of(meant('servos.NAME', 'no_load_s_per_60deg'), 'speed_s_60deg', 's_per_60deg', 'sec_60'),
  ...of(ACCEL, 'acceleration', 'accel', 'max_accel'),
  ...of(MASS, 'weight', 'mass', 'weight_kg', 'weight_g', 'mass_g'),
  ...of(HEIGHT, 'height', 'height_mm', 'home_height', 'home', 'home_mm'),
  ...of(HORN, 'horn', 'horn_mm', 'horn_length', 'arm', 'arm_length', 'servo_arm', 'crank', 'lever'),
  ...of(meant('platform', 'rod_mm'), 'rod', 'rods', 'rod_length', 'link', 'pushrod'),
  ...of(RADIUS, 'radius', 'diameter', 'diameter_mm', 'r_mm'),
  ...of(meant('platform.base and platform.moving', 'half_angle_deg'), 'angle', 'half_angle', 'spread'),
  ...of(meant('platform', 'moving'), 'top', 'top_plate', 'platform_plate'),
  ...of(meant('platform', 'base'), 'bottom', 'base_plate'),
  ...of(PIN, 'pins', 'gpio', 'channel', 'port'),
  ...of(VOLTS, 'volts', 'voltage', 'v'),
  ...of(AMPS, 'amps', 'current', 'amperage'),
  ...of(meant('servos.NAME', 'stall_current_a'), 'stall_current', 'stall_a'),
  ...of(RATE, 'fps', 'hz', 'rate', 'frequency', 'update_rate'),
  ...of(GEAR, 'gear', 'ratio', 'gearing', 'reduction'),
  ...of(PLAY, 'play', 'backlash', 'slop'),
  ...of(LIMITS, 'limits', 'min_deg', 'max_deg', 'angle_range', 'travel'),
  ...of(PULSES, 'pulse', 'pulses', 'pwm', 'min_us', 'max_us', 'pulse_range'),
  ...of(CENTRE, 'center', 'centre', 'center_us', 'neutral', 'trim', 'offset'),
  ...of(INERTIA, 'inertia', 'moment_of_inertia'),
  ...of(PLACE, 'position', 'pos', 'centre_of_mass', 'com'),
  ...of(STOP, 'estop', 'e_stop', 'emergency_stop', 'stop_pin'),
  ...of(WOBBLE, 'shaking', 'shake', 'vibration', 'ringing', 'shaper'),
  ...of(SENSE, 'reverse', 'reversed', 'invert', 'inverted', 'direction'),
]);

function of(what: Meant, ...words: readonly string[]): (readonly [string, Meant])[] {
  return words.map((word) => [word, what]);
}

/** Before what was likely meant, in every such message. */
export const LIKELY = 'likely meant: ';
/** Before the place in a rig file of a key that the group at hand has not. */
export const A_KEY_OF = ', a key of ';

/**
 * What a key was likely meant to be, in words; null: it is no word of this table.
 * @param known the keys of the group it stands in.
 */
export function likelyMeant(key: string, known: readonly string[]): string | null {
  const word = key.toLowerCase().replaceAll('-', '_');
  const it = MEANT.get(word);
  if (!it) return null;
  const here = it.keys.filter((name) => known.includes(name));
  const half = word.startsWith('diameter') ? ', half the diameter' : '';
  if (here.length > 0) return `${LIKELY}${either(here)}${half}`;
  return `${LIKELY}${it.keys[0] ?? ''}${half}${A_KEY_OF}${it.place}`;
}
