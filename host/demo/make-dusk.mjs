// Writes host/demo/dusk.csv, twenty seconds of an owl at dusk, to standard output: node host/demo/make-dusk.mjs > host/demo/dusk.csv
//
// Every part is a sum of minimum-jerk moves (T. Flash, N. Hogan, "The coordination of arm movements", J. Neurosci. 5(7), 1985):
// how a limb goes from rest to rest. Peak speed is 1.875 of the mean, peak acceleration 5.77 · way / time². The platform and
// the face stay inside what the rig can do; the nod does not: at the two bobs and at the startle it is asked for a fifth more
// speed than it has, and more acceleration, as a puppeteer would.
// The jaw is left alone, so that the owl without its beak plays it too.

const FRAMES_PER_S = 50;
const LENGTH_S = 20;
const COLUMNS = ['x_mm', 'y_mm', 'z_mm', 'roll_deg', 'pitch_deg', 'yaw_deg', 'nod_deg', 'lid_deg', 'ears_deg'];

/** [column, from_s, for_s, by]: by how far that column goes, and when. The lid is 0 closed, 55 wide open; nod looks up. */
const MOVES = [
  // Asleep on its perch: it breathes, and the head sinks.
  ['z_mm', 0.2, 1.0, 1.2],
  ['z_mm', 1.2, 1.2, -1.2],
  ['nod_deg', 0.3, 1.3, -14],
  ['ears_deg', 0.3, 1.3, -12],

  // It wakes: one eye's breadth, then both, and up comes the head.
  ['lid_deg', 1.9, 0.5, 16],
  ['nod_deg', 2.2, 1.0, 18],
  ['lid_deg', 2.7, 0.4, 24],
  ['x_mm', 2.4, 1.0, 3],
  ['ears_deg', 2.3, 0.5, 20],

  // A slow look to its left, the head leaning into it, then across to its right.
  ['yaw_deg', 3.5, 1.0, 8],
  ['y_mm', 3.6, 1.0, 8],
  ['roll_deg', 3.7, 0.9, -7],
  ['yaw_deg', 5.1, 1.3, -16],
  ['y_mm', 5.1, 1.4, -16],
  ['roll_deg', 5.3, 1.1, 14],
  ['pitch_deg', 5.4, 0.8, 3],

  // To the middle, and a double blink.
  ['yaw_deg', 7.0, 0.7, 8],
  ['y_mm', 7.0, 0.8, 8],
  ['roll_deg', 7.0, 0.8, -7],
  ['pitch_deg', 7.1, 0.7, -3],
  ['lid_deg', 7.4, 0.24, -34],
  ['lid_deg', 7.66, 0.24, 34],
  ['lid_deg', 7.98, 0.24, -34],
  ['lid_deg', 8.24, 0.24, 34],

  // Something down there: it leans out and bobs twice to judge how far.
  ['x_mm', 8.7, 0.8, 5],
  ['nod_deg', 9.0, 0.2, -11],
  ['nod_deg', 9.28, 0.2, 11],
  ['nod_deg', 9.64, 0.2, -11],
  ['nod_deg', 9.92, 0.2, 11],

  // A twig snaps. Startled: back, up, eyes wide.
  ['nod_deg', 11.0, 0.18, 10.5],
  ['lid_deg', 11.0, 0.16, 13],
  ['ears_deg', 11.0, 0.24, 22],
  ['x_mm', 11.02, 0.42, -11],
  ['z_mm', 11.02, 0.42, 2.5],
  ['pitch_deg', 11.02, 0.42, -3],

  // A long stare. It settles a little, and blinks slowly once.
  ['nod_deg', 12.2, 1.4, -6.5],
  ['z_mm', 12.2, 1.6, -2.5],
  ['lid_deg', 12.6, 0.9, -13],
  ['ears_deg', 12.8, 0.8, -22],
  ['lid_deg', 13.7, 0.4, -36],
  ['lid_deg', 14.14, 0.5, 36],

  // Only the wind? The head tilts one way, then the other.
  ['roll_deg', 14.5, 0.7, 15],
  ['y_mm', 14.5, 0.8, -7],
  ['yaw_deg', 14.6, 0.8, 4],
  ['ears_deg', 14.5, 0.5, 9],
  ['ears_deg', 15.5, 0.6, -9],
  ['roll_deg', 15.9, 0.9, -28],
  ['y_mm', 15.9, 1.0, 14],
  ['yaw_deg', 16.0, 0.9, -8],

  // Only the wind. Back to the middle, the lids grow heavy, it sinks and is still.
  ['roll_deg', 17.4, 1.0, 13],
  ['y_mm', 17.4, 1.0, -7],
  ['yaw_deg', 17.4, 1.0, 4],
  ['x_mm', 17.6, 1.2, 3],
  ['pitch_deg', 17.6, 1.0, 3],
  ['lid_deg', 17.8, 0.9, -26],
  ['nod_deg', 17.9, 1.5, -8],
  ['ears_deg', 18.0, 1.2, -8],
  ['lid_deg', 18.9, 0.6, -14],
];

/** From 0 to 1 with speed and acceleration 0 at both ends. */
function minimumJerk(share) {
  const u = Math.min(Math.max(share, 0), 1);
  return u * u * u * (10 + u * (6 * u - 15));
}

const at = (column, t_s) =>
  MOVES.filter(([name]) => name === column).reduce(
    (sum, [, from_s, for_s, by]) => sum + by * minimumJerk((t_s - from_s) / for_s),
    0,
  );

/** Three decimals, a micrometre or a thousandth of a degree, and no -0. */
const figure = (value) => String(Math.round(value * 1000) / 1000 + 0);

const lines = ['# dusk: an owl wakes, looks about, is startled, and dozes off. Written by make-dusk.mjs.'];
lines.push(['t_s', ...COLUMNS].join(','));
for (let frame = 0; frame <= LENGTH_S * FRAMES_PER_S; frame += 1) {
  const t_s = frame / FRAMES_PER_S;
  lines.push([t_s, ...COLUMNS.map((column) => figure(at(column, t_s)))].join(','));
}
process.stdout.write(`${lines.join('\n')}\n`);
