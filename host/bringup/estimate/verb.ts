/**
 * `estimate` at the prop: the plate is moved, slowly, through the plan's poses, its height and both tilts are asked for at each, and a reading
 * that does not fit the others is asked for once more. Finds and tells; writes nothing.
 */
import type { Platform, Rig } from '../../rig/rig.ts';
import { counted, short } from '../../rig/words.ts';
import { type Refused, refused } from '../measurement.ts';
import type { Person, Question } from '../person.ts';
import { type Estimate, estimate } from './estimate.ts';
import { type Wanted, geometryFigures } from './figures.ts';
import { LEAST_FREEDOM } from './least-squares.ts';
import { DEFAULT_POSES, type PlannedPose, plan } from './plan.ts';
import { Poses, readingOf } from './readings.ts';
import type { TableRow } from './table.ts';

/** What it needs of the bench. */
export interface PlateBench {
  readonly rig: Rig;
  /** The whole plate to a pose, at no more than the slow speed, and a moment of standing there. Resolves leg1's … leg6's pulses, µs. */
  pose(person: Person, planned: PlannedPose): Promise<readonly number[]>;
  /** A number that is asked for until it is one that is allowed. */
  read(person: Person, question: Question, allowed: { readonly least: number; readonly most: number }): Promise<number>;
}

const ASKED = {
  height_mm: {
    id: 'estimate.height',
    unit: 'mm',
    text: 'Measure how high the plate’s pivot is above the base plane, square to it',
    within: 20,
  },
  tilt_x_deg: {
    id: 'estimate.tilt_x',
    unit: 'deg',
    text: 'Lay the level along the plate’s x, and read how far its x end points up, down with a minus',
    within: 15,
  },
  tilt_y_deg: {
    id: 'estimate.tilt_y',
    unit: 'deg',
    text: 'Lay the level along the plate’s y, and read how far its y end points up, down with a minus',
    within: 15,
  },
} as const;
type Asked = keyof typeof ASKED;
const NAMES = Object.keys(ASKED) as Asked[];

const CAUTION = 'keep fingers from between the plates: it is powered';
/** A reading that does not fit is asked for anew so often in all. */
const AGAIN = 3;

/**
 * @param read hears all that was read so far, after every pose.
 * @returns a refusal in words where it reaches too little, or the readings cannot be used.
 */
export async function estimateAt(
  bench: PlateBench,
  person: Person,
  n: number = DEFAULT_POSES,
  wanted: Wanted = {},
  read: (rows: readonly TableRow[]) => void = () => undefined,
): Promise<Estimate | Refused> {
  const { platform } = bench.rig;
  if (!platform) return refused('estimate', 'this rig has no platform, so there is no geometry to estimate');
  const poses = plan(bench.rig, n, wanted);
  const least = leastPoses(bench.rig, platform, wanted);
  if (poses.length < least)
    return refused(
      'estimate',
      `${counted(poses.length, 'pose')} tell too little: ${String(least)} or more are needed, and ${String(DEFAULT_POSES)} are usual`,
    );
  person.say(
    `The plate goes to ${String(poses.length)} poses, slowly; at each, its height and its two tilts are asked for. Zero the level on the base, and keep the base level.`,
  );
  const rows: TableRow[] = [];
  for (const [i, planned] of poses.entries()) {
    const pulses_us = await bench.pose(person, planned);
    const plate = [];
    for (const name of NAMES) plate.push({ name, value: await ask(bench, person, pulses_us, name, i + 1) });
    rows.push({ line: i + 1, pulses_us, plate, legs: [] });
    read(rows);
  }
  return settled(bench, person, poses, rows, wanted, read);
}

/** As many as the fit needs readings for. */
const leastPoses = (rig: Rig, platform: Platform, wanted: Wanted): number =>
  Math.ceil((geometryFigures(rig, platform, wanted).figures.length + LEAST_FREEDOM) / NAMES.length);

/** Asks for one reading, within what the rig's own geometry lets expect. */
function ask(
  bench: PlateBench,
  person: Person,
  pulses_us: readonly number[],
  name: Asked,
  at: number,
): Promise<number> {
  const { id, unit, text, within } = ASKED[name];
  const expected = expectedOf(bench.rig, pulses_us, name);
  const question = {
    id,
    joint: null,
    unit,
    text: `Pose ${String(at)}: ${text} (about ${short(expected)} ${unit}; ${CAUTION}).`,
  };
  return bench.read(person, question, { least: expected - within, most: expected + within });
}

function expectedOf(rig: Rig, pulses_us: readonly number[], name: Asked): number {
  const { figures, guess } = geometryFigures(rig, rig.platform!, {});
  const at = guess(figures.map((figure) => figure.at));
  const [pose] = new Poses(rig.platform!, rig.joints.slice(0, 6), [pulses_us]).at(at);
  if (!pose) throw new Error('the planned pose is out of the rig’s own reach');
  return readingOf(name, at, pose, {});
}

/** The estimate, after what did not fit has been read again; a reading that stays as it was is left to the words. */
async function settled(
  bench: PlateBench,
  person: Person,
  poses: readonly PlannedPose[],
  first: readonly TableRow[],
  wanted: Wanted,
  read: (rows: readonly TableRow[]) => void,
): Promise<Estimate | Refused> {
  let rows = first;
  for (let again = 0; ; again++) {
    const found = estimate(bench.rig, rows, wanted);
    const odd = 'problem' in found ? null : found.geometry?.odd;
    const planned = odd && poses[odd.line - 1];
    if (!odd || !planned || again === AGAIN) return found;
    const name = odd.name as Asked;
    person.say(
      `At pose ${String(odd.line)} ${name} was ${short(odd.value, 2)}, and by the others it would be ${short(odd.instead, 2)}.`,
    );
    const pulses_us = await bench.pose(person, planned);
    const value = await ask(bench, person, pulses_us, name, odd.line);
    if (value === odd.value) return found;
    rows = rows.map((row) =>
      row.line === odd.line ? { ...row, plate: row.plate.map((it) => (it.name === name ? { name, value } : it)) } : row,
    );
    read(rows);
  }
}
