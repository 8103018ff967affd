/**
 * What every key of a rig file is, how it is measured and what it usually is: the texts of the JSON Schema. Beside the schema rather
 * than in it, so that both can be read. What a key allows is the schema's, and is added to these by describe.ts.
 *
 * By the end of the key's path: the longest that fits counts. `*` is any name, `leg` is leg1 … leg6.
 */
import { type KeyWords, FOR_LENGTHS, words } from './key-words-common.ts';
import { NIGHT } from './night/key-words.ts';
import { PARTS, PLATFORM } from './key-words-platform.ts';
import { GEAR_PLAY, typicalBySize } from './typical.ts';

const SHEET = 'From the data sheet, at the voltage of your supply';
const MOTION = 'Start low; `posewright tune` finds what the servos can keep';

const SERVOS: Readonly<Record<string, KeyWords>> = {
  servos: words('The kinds of servo, by names of your own; a joint names its class'),
  stall_torque_nm: words('Torque at which it stalls, N·m; or give it in kgf·cm or ozf·in', SHEET, '0.1 to 4 N·m'),
  stall_torque_kgcm: words('Torque at which it stalls, kgf·cm, as most data sheets have it', SHEET, '1.5 to 40 kgf·cm'),
  stall_torque_ozin: words('Torque at which it stalls, ozf·in', SHEET, '20 to 550 ozf·in'),
  no_load_speed_deg_s: words('Speed without load, deg/s; or give no_load_s_per_60deg', SHEET, '250 to 600 deg/s'),
  no_load_s_per_60deg: words(
    'Time for 60 degrees without load, s, as most data sheets have it',
    SHEET,
    '0.1 to 0.25 s',
  ),
  force_n: words('Force of a linear actuator at which it stalls, N', SHEET, '10 to 500 N'),
  'servos.*.speed_mm_s': words('Speed of a linear actuator without load, mm/s', SHEET, '5 to 60 mm/s'),
  'at_v.*.speed_mm_s': words('Speed of a linear actuator without load at this voltage, mm/s', SHEET, '5 to 60 mm/s'),
  stall_current_a: words(
    'Current of one stalled servo, A',
    `${SHEET}; or hold its horn for a moment, fused, with a meter in the line`,
    '0.6 to 1 A for a micro servo, 1.5 to 3 A for a standard one, 3 to 6 A for a large one',
  ),
  at_v: words(
    'The same figures at several voltages, such as 4.8 and 6.0 V: the supply’s voltage picks between them',
    SHEET,
    '4.8, 6.0 and 7.4 V',
  ),
  frame_hz: words(
    'Pulses a second that it takes, Hz',
    'From the data sheet',
    '50 Hz for analogue servos, up to 330 Hz for digital ones',
  ),
  'servos.*.centre_us': words(
    'Pulse width at its middle: angle 0 of a joint, mid-stroke of an actuator, us',
    'Hold this pulse, then put the horn on so that it stands at 0',
    '1500 us, 1520 us for some',
  ),
  us_per_deg: words(
    'How much wider the pulse is for a degree of the servo, us per degree',
    'Two pulses 500 us apart, the angle between them on a protractor: 500 / angle',
    '10 us per degree; 5.6 to 11 us per degree',
  ),
  us_per_mm: words(
    'How much wider the pulse is for a mm of the actuator, us per mm',
    'Two pulses 500 us apart, the way between them with a caliper: 500 / way',
    '5 to 50 us per mm',
  ),
  range_us: words(
    'Narrowest and widest pulse that it takes without running into its own stops, us',
    'Widen the pulse in small steps, rods off, until it no longer moves or hums; then 20 us back',
    '[600, 2400] us, [1000, 2000] us for some',
  ),
  deadband_us: words('Change of the pulse that it does not answer, us', 'From the data sheet', '2 to 8 us'),
  rotor_inertia_kgm2: words(
    'What its motor and gears add to what it must set going, at the output, kg·m². Left out, a motor time constant of 10 ms is taken',
    'Gears and all, from a step without load: time to 63 % of its speed · stall torque / no-load speed',
    typicalBySize('rotor_inertia_kgm2'),
  ),
  stiffness_nm_rad: words(
    'How stiffly it holds its place, N·m/rad. Left out, full torque at an error of 3 deg is taken',
    'A weight on the horn: m · 9.81 · arm in m / angle it sinks in rad',
    typicalBySize('stiffness_nm_rad'),
  ),
  friction_nm: words(
    'Dry friction at its output, N·m. Left out, none is taken',
    'A luggage scale on the horn, servo off, slowly: force in N · arm in m, just as it begins to turn',
    typicalBySize('friction_nm'),
  ),
  thermal_tau_s: words(
    'How slowly it warms up and cools down: its thermal time constant, s. Left out, 300 s is taken',
    'Hold a weight, measure the case every minute: the time to 63 % of the rise',
    '200 to 900 s; common practice',
  ),
  continuous_use: words(
    'Share of its stall torque to hold with for long (no unit)',
    'Your choice',
    '0.5 at most, less in a closed case',
  ),
  peak_use: words('Share of its stall torque to move with (no unit)', 'Your choice', '0.8'),
  spline_teeth: words(
    'Teeth of the shaft that the horn sits on',
    'Count them; 25 is usual, not measured',
    '25, 24, 23 or 21',
  ),
  no_pulse: words('What it does when pulses stop: limp, holds or unknown', 'Pull its signal wire, and push the horn'),
};

const JOINTS: Readonly<Record<string, KeyWords>> = {
  joints: words('Every joint by its name: leg1 to leg6 only where they differ from the others, and joints of your own'),
  'joints.leg': words('What differs at this leg; legs count from the pair at x, from its right to its left, and on'),
  servo: words('Its servo class: a name under servos'),
  pin: words('Number of the board’s pin that its pulses come out of', 'As it is wired'),
  sense: words(
    '1 when it turns the positive way as the pulse grows, else -1',
    'Widen the pulse a little and look: the crank must rise, or the axis turn the right-hand way',
  ),
  centre_us: words(
    'Pulse width at which this joint stands at 0 (mid-stroke for an actuator), us, where it differs from its class',
    'Adjust the pulse until it stands at 0 on the protractor',
    '1450 to 1550 us',
  ),
  'leg.limit_deg': words(
    'Soft limits of this crank, deg, within those of all legs',
    'Where something touches at this leg only',
    '-60 to 60 deg',
  ),
  walked_deg: words(
    'From where to where the joint was walked through, deg; until every joint has one, real boards move the prop slowly',
    'posewright bringup writes it: walk JOINT',
    'as limit_deg',
  ),
  walked_mm: words(
    'From where to where the actuator was walked through, mm; until every joint has one, real boards move the prop slowly',
    'posewright bringup writes it: walk JOINT',
    'as limit_mm',
  ),
  axis: words('The axis it turns about; without it, the joint is counted alone and carries nothing'),
  'axis.on': words('What carries the axis: ground, base, moving or another joint'),
  'axis.at_mm': words('A point of the axis in its carrier’s frame, mm', FOR_LENGTHS),
  'axis.along': words('Direction of the axis, right-hand rule: [0, -1, 0] looks up as it grows'),
  'joints.*.at_mm': words(
    'Where a joint without an axis sits and its load weighs, in the moving plate’s frame, mm',
    FOR_LENGTHS,
  ),
  load: words('What it moves, where no parts ride on it'),
  'load.mass_kg': words('Mass that it moves, kg', 'On a kitchen scale', '0.005 to 0.3 kg'),
  arm_mm: words(
    'From the axis to the centre of that mass, mm',
    'Where it balances on an edge, to the axis, with a ruler',
    '5 to 100 mm',
  ),
  arm_level_at_deg: words(
    'Joint angle at which that arm is level, deg',
    'By a level on the arm, reading the joint’s angle',
    '0 deg; 90 deg where it stands upright at 0',
  ),
  inertia_kgm2: words(
    'Inertia of that mass about the axis, kg·m². Left out, a point at the arm is taken',
    'mass · arm in m squared, and more for its size',
    '1e-6 to 1e-3 kg·m²',
  ),
  gear_ratio: words(
    'Turns of the servo for one of the joint (no unit)',
    'Teeth on the joint / teeth on the servo',
    '1 to 5',
  ),
  gear_efficiency: words(
    'Share of the torque that the gear passes on (no unit)',
    'A weight slowly up, then down: the lesser pull / the greater, and the root of it',
    '0.9 for one stage, 0.3 to 0.6 for a worm',
  ),
  gear_play_deg: words(
    'How far the joint can be moved with its servo held, deg, end to end',
    'A pointer on the joint, rocked by hand',
    GEAR_PLAY,
  ),
  'joints.*.limit_deg': words(
    'Soft limits of the joint, lowest and highest, deg',
    'A little less than where something touches',
    '-45 to 45 deg',
  ),
  rest_deg: words(
    'Where it is parked, deg; without it, at 0 or the limit nearest to it',
    'Where it rests without power',
    '0 deg',
  ),
  speed_deg_s: words(
    'Speed that it may have, deg/s',
    MOTION,
    '60 to 400 deg/s, at most 0.7 of the servo’s no-load speed',
  ),
  accel_deg_s2: words(
    'Acceleration that it may have, deg/s², both ways or { plus, minus }',
    MOTION,
    '500 to 4000 deg/s²',
  ),
  'accel_deg_s2.plus': words('Acceleration upward, toward larger angles, deg/s²', MOTION, '500 to 4000 deg/s²'),
  'accel_deg_s2.minus': words('Acceleration downward, toward smaller angles, deg/s²', MOTION, '500 to 4000 deg/s²'),
  accel_gone_at_deg_s: words(
    'Speeds in deg/s at which the acceleration has fallen to nothing, evenly from rest, as a servo’s torque does',
  ),
  'accel_gone_at_deg_s.plus': words(
    'Upward speed at which nothing of plus is left, deg/s',
    '`posewright tune` writes it',
    '300 to 600 deg/s',
  ),
  'accel_gone_at_deg_s.minus': words(
    'Downward speed at which nothing of minus is left, deg/s',
    '`posewright tune` writes it',
    '300 to 600 deg/s',
  ),
};

const MOTIONS: Readonly<Record<string, KeyWords>> = {
  motion: words('How it moves: ticks, delay, limits of pose and legs, wobble'),
  tick_hz: words('Ticks a second of the controller, Hz, a multiple of every frame_hz', 'Your choice', '200 Hz'),
  playback_delay_ms: words(
    'How late a stream is played, ms: look-ahead and spare time for late frames',
    'Your choice',
    '80 to 250 ms',
  ),
  look_ahead_ms: words(
    'How much of that delay looks ahead, ms, so that every joint can stop in time',
    '`posewright check` says how much it takes',
    '0 to 200 ms',
  ),
  hold_s: words('How long it holds without a stream before it settles by itself, s', 'Your choice', '10 s'),
  pose_speed: words('Speed limits of the pose; a component that is left out is limited by the joints alone'),
  x_mm_s: words('Speed forward and back, mm/s', MOTION, '40 to 150 mm/s'),
  y_mm_s: words('Speed left and right, mm/s', MOTION, '40 to 150 mm/s'),
  z_mm_s: words('Speed up and down, mm/s', MOTION, '40 to 150 mm/s'),
  roll_deg_s: words('Speed of roll, deg/s', MOTION, '45 to 120 deg/s'),
  pitch_deg_s: words('Speed of pitch, deg/s', MOTION, '45 to 120 deg/s'),
  yaw_deg_s: words('Speed of yaw, deg/s', MOTION, '45 to 120 deg/s'),
  'motion.leg': words('Speed and acceleration of the legs; they have no default, since a guess could break something'),
  speed_mm_s: words('Speed that an actuator may have, mm/s', MOTION, '5 to 50 mm/s'),
  accel_mm_s2: words(
    'Acceleration that an actuator may have, mm/s², both ways or { plus, minus }',
    MOTION,
    '50 to 500 mm/s²',
  ),
  'accel_mm_s2.plus': words('Acceleration as it grows longer, mm/s²', MOTION, '50 to 500 mm/s²'),
  'accel_mm_s2.minus': words('Acceleration as it grows shorter, mm/s²', MOTION, '50 to 500 mm/s²'),
  wobble: words('What keeps the prop from shaking after a move'),
  cure: words('none, or a filter against the wobble: exact (its frequency is known), tolerant, or broad (it varies)'),
  'wobble.hz': words('Frequency of the wobble, Hz', 'Swings counted in a slow-motion film / their time', '3 to 12 Hz'),
  damping: words(
    'Damping ratio of the wobble (no unit); 0 rings on for long',
    'From two swings n apart: ln(first / last) / (2π · n)',
    '0.02 to 0.15',
  ),
};

const AROUND: Readonly<Record<string, KeyWords>> = {
  rig: words('Name of the rig'),
  supply: words('The supply of the servos'),
  'supply.kind': words('mains or battery'),
  voltage_v: words('Voltage at the servos, V', 'With a meter at a servo’s plug, while they move', '5 to 8.4 V'),
  current_a: words(
    'Current that the supply can give, A',
    'From its plate',
    '5 to 30 A, or all stalled servos together',
  ),
  cells: words('Cells of the battery in series (a count)', 'From its label', '2 for 7.4 V'),
  low_v: words(
    'Voltage at the servos at which the prop settles, V',
    '3.2 V for each lithium cell; common practice',
    '6.4 V for two cells',
  ),
  fuse_a: words('The fuse next to the battery, A', 'From its label', '10 to 30 A'),
  '^rest': words(
    'What happens at rest without power: on_stop (it stands), hanging (it hangs) or powered (it would fall)',
    'Cut the power at rest, a hand below',
  ),
  audience: words('Where people are: bench, behind_barrier or within_reach'),
  board: words('The board, its link and its inputs; without it, only simulation is possible'),
  'board.kind': words('Which board: pico, f405 or native (this machine)'),
  link: words(
    'How the host reaches the board: usb, over the cable that powers a pico too (its default), or uart0, over a UART adapter of 3.3 V (every other board’s)',
  ),
  baud: words('Rate of uart0, baud; a link over USB has none', '', '500000 baud, the only one'),
  stop: words('The stop input: a normally closed switch to ground that settles the prop when it opens'),
  'stop.pin': words('Number of the pin that the stop switch is on', 'As it is wired'),
  category: words(
    'What a stop does (IEC 60204-1): 0 power off at once, 1 settle and then off, 2 settle and hold (no unit)',
  ),
  power_pin: words('Number of the pin that switches the servos’ supply, by a relay or a transistor', 'As it is wired'),
};

const FIGURE: Readonly<Record<string, KeyWords>> = {
  value: words('The figure itself, in the unit of its key'),
  from: words('Where it comes from: measured, sheet, estimate or assumed'),
  within_percent: words(
    'How far it may be off to each side, percent of the value',
    '',
    '1 to 5 percent measured, 10 to 30 percent estimated',
  ),
};

export const KEY_WORDS: ReadonlyMap<string, KeyWords> = new Map(
  [PLATFORM, PARTS, SERVOS, JOINTS, MOTIONS, AROUND, NIGHT, FIGURE].flatMap((group) => Object.entries(group)),
);
