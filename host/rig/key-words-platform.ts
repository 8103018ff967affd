/** The texts of the rig file's schema for the platform and the parts; see key-words.ts. */
import { type KeyWords, FOR_LENGTHS, words } from './key-words-common.ts';

const POSE = 'From home: drive it there in steps, or measure from the stop it rests on';

export const PLATFORM: Readonly<Record<string, KeyWords>> = {
  platform: words(
    'The six-legged platform: its drive, plates, legs, home and rest. Leave it out for a rig of joints only',
  ),
  'platform.drive': words('How the legs move: crank (six servos with horns and rods) or linear (six linear actuators)'),
  'platform.on': words('The name of the joint that carries the base plate, or ground'),
  mount: words(
    'Where the base plate sits on its carrier, and how it is turned; without it, level at the carrier’s origin',
  ),
  'mount.at_mm': words('Centre of the base plate in its carrier’s frame: x forward, y left, z up, mm', FOR_LENGTHS),
  rpy_deg: words(
    'Roll, pitch and yaw of the base plate on its carrier, deg; [0, 90, 0] lets it look forward',
    'With a digital level',
    '0 or 90 deg',
  ),
  base: words('The base plate: where the cranks’ axes, or the actuators’ lower pins, are'),
  moving: words('The moving plate: where the rods’, or actuators’, upper ends are'),
  radius_mm: words(
    'Radius of the circle through the six joints of the plate, mm',
    'Across the plate from one joint to the one opposite in the circle, centre to centre, with a caliper, and half of it; or from the short distance a and the long one b between neighbours: the root of (a² + ab + b²)/3',
  ),
  half_angle_deg: words(
    'Half the angle that a pair of joints (legs 1 and 2, 3 and 4, 5 and 6) spans, seen from the plate’s centre, deg',
    'From the distance d between the two joints of a pair: arcsin(d / (2 · radius_mm))',
    '10 to 20 deg on one plate and 40 to 50 deg on the other, so that close pairs of one lie over the gaps of the other',
  ),
  points_mm: words(
    'The six joints one by one, leg1 first, in the plate’s frame, mm; in place of radius_mm and half_angle_deg',
    'With a caliper from two edges of the plate, in mm',
    '15 to 600 mm from the centre',
  ),
  pivot_mm: words(
    'The point that turns of the pose go about, in the moving plate’s frame, mm',
    'From the middle of the moving plate’s joints to the point that should stay where it is, such as the neck',
    '0 to 60 mm along z',
  ),
  rest: words('The pose in which it is parked, from home'),
  'rest.x_mm': words('Forward of home, where it rests, mm', POSE, '0 mm'),
  'rest.y_mm': words('Left of home, where it rests, mm', POSE, '0 mm'),
  'rest.z_mm': words('Above home, where it rests, mm; below is negative', POSE, '-15 to 0 mm'),
  'rest.roll_deg': words('Roll where it rests, deg; positive leans right', POSE, '0 deg'),
  'rest.pitch_deg': words('Pitch where it rests, deg; positive looks down', POSE, '-10 to 10 deg'),
  'rest.yaw_deg': words('Yaw where it rests, deg; positive looks left', POSE, '0 deg'),
  'platform.servo': words('The servo class of all six legs: a name under servos'),
  crank_mm: words('Length of a crank (horn), from the servo’s axis to the centre of the rod’s end, mm', FOR_LENGTHS),
  rod_mm: words(
    'Length of a rod, from the centre of one end to the centre of the other, mm',
    'With a caliper, from the left edge of one bore to the left edge of the other; all six within 0.2 mm',
  ),
  crank_kg: words(
    'Mass of one crank (horn) with its screws, kg',
    'Six on a kitchen scale, divided by six',
    '0.002 to 0.02 kg',
  ),
  rod_kg: words('Mass of one rod with both ends, kg', 'Six on a kitchen scale, divided by six', '0.005 to 0.03 kg'),
  crank_azimuth_deg: words(
    'Which way the cranks point at angle 0: outward (the two of a pair away from each other), inward, or six angles from x toward y, deg',
    'With a protractor on the base plate, seen from above',
    'outward; single angles -180 to 180 deg',
  ),
  branch: words('Which of the two ways a crank reaches its rod: near (usual), or other, with the crank folded over'),
  rod_end_deg: words(
    'How far a rod end tilts before it binds, to each side, deg',
    'Tilt it by hand on a protractor until it stops',
    '15 to 30 deg; ball ends 25 to 40 deg',
  ),
  'platform.limit_deg': words(
    'Soft limits of every crank, lowest and highest, deg; 0 is level, positive up',
    'A little less than where something touches, moved by hand with the rods on',
    '-60 to 60 deg',
  ),
  stroke_mm: words(
    'Shortest and longest of an actuator, pin to pin, mm',
    'With a caliper, or from the data sheet',
    'strokes of 30 to 200 mm',
  ),
  limit_mm: words(
    'Soft limits of an actuator, pin to pin, mm, within stroke_mm',
    'stroke_mm less a margin at both ends',
    '2 to 5 mm inside the stroke',
  ),
  clearance: words(
    'What the platform’s bodies measure besides their joints, mm, for collisions and drawings; what is left out is taken as usual',
  ),
  servo_body_mm: words(
    'A servo’s body: along its crank at angle 0, square to the base plate, along its shaft, mm; taken as standing evenly about its shaft, inward of its crank',
    FOR_LENGTHS,
    '40 x 20 x 38 mm for a standard servo, 23 x 12 x 28 mm for a micro servo, turned as it is mounted',
  ),
  horn_thick_mm: words('Thickness of a horn along the shaft, mm', FOR_LENGTHS, '2 to 6 mm'),
  rod_thick_mm: words('Thickness of a rod with its ends, or of an actuator’s body, mm', FOR_LENGTHS, '4 to 10 mm'),
  axes_above_base_mm: words(
    'How high the servos’ axes are over the base plate’s face, mm',
    'From the plate to the middle of a shaft, with a caliper',
    '10 to 40 mm',
  ),
  plate_below_studs_mm: words(
    'How far the moving plate’s face is beneath the centres of the rod ends, mm; negative: the plate is above them',
    'With a caliper, at home',
    '0 to 15 mm',
  ),
  gap_mm: words('What must stay free between two bodies, mm', 'With a feeler where they come nearest', '1 to 5 mm'),
  home_z_mm: words(
    'Height of the moving plate’s joints over the base’s at home, mm; level: where the cranks stand level on average',
    'At home, from joint centre to joint centre, square to the base, in mm',
    'level; else 60 to 250 mm',
  ),
};

export const PARTS: Readonly<Record<string, KeyWords>> = {
  parts: words('Everything that weighs: head, plates, frame, servos that ride along'),
  'parts.*.name': words('A name for the part, for messages'),
  'parts.*.on': words('What carries it: moving, base, ground or the name of a joint'),
  'parts.*.mass_kg': words('Mass of the part, kg', 'On a kitchen or luggage scale', '0.05 to 3 kg'),
  'parts.*.at_mm': words(
    'Centre of mass in its carrier’s frame: x forward, y left, z off the plate, mm; with a mesh, where the mesh’s origin stands',
    'Where it balances on an edge, measured from the plate’s centre',
    'within 150 mm',
  ),
  shape: words('A plain shape of the same mass and size, from which its inertia follows, or its mesh; one of the five'),
  ellipsoid_shell: words('Hollow and round, such as the shell of a head'),
  ellipsoid: words('Solid and round'),
  box: words('A solid box'),
  cylinder: words('A solid cylinder or disc'),
  mesh: words(
    'A closed STL file in mm, in the rig file’s folder or below: inertia and centre of mass follow from it and mass_kg, as if it were of even density',
    'Exported from the CAD program along the carrier’s axes, hollow where the part is; at_mm is where the mesh’s origin stands on the carrier, [0, 0, 0] if it was drawn in the carrier’s frame',
    'head.stl',
  ),
  radii_mm: words('Half its size along x, y and z, mm', FOR_LENGTHS, '20 to 150 mm'),
  size_mm: words('Its whole size along x, y and z, mm', FOR_LENGTHS, '10 to 300 mm'),
  'cylinder.radius_mm': words('Radius, mm', 'Half the diameter, with a caliper', '5 to 150 mm'),
  length_mm: words('Length along its axis, or thickness of a disc, mm', FOR_LENGTHS, '2 to 300 mm'),
  'cylinder.along': words('Direction of its axis, of any length: [0, 0, 1] is z'),
  inertia_kgmm2: words(
    'Moments of inertia about its own centre of mass along x, y and z, kg·mm²; in place of shape',
    'From the CAD program, or by swinging it on two strings',
    '50 to 5000 kg·mm² for a head of 0.3 to 2 kg',
  ),
  fitted: words('Whether it is on the prop now; false leaves it out, for tests without it'),
};
