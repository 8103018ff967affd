/**
 * The header of a stream: which column means what on this rig. Does not look at rows.
 */
import { closest, distance } from 'fastest-levenshtein';
import type { Joint } from '../rig/rig.ts';
import { POSE_KEYS, toRad } from '../rig/rig.ts';
import type { ProblemList } from './problem.ts';

/** What a stream needs to know of a rig; a Rig is one. */
export interface StreamRig {
  readonly joints: readonly Pick<Joint, 'name' | 'kind'>[];
  readonly platform: object | null;
}

/** One column of the file. */
export interface Column {
  readonly name: string;
  /** Place in a frame's row of values: 0 time, 1 to 6 pose, then the rig's joints but legs; -1: not used. */
  readonly slot: number;
  /** From the file's unit to the frame's: 1, or rad per degree. */
  readonly scale: number;
  readonly isAngle: boolean;
}

/** Slots before the first joint's: the time and the six of the pose. */
export const FIRST_JOINT_SLOT = 1 + POSE_KEYS.length;

/** The rig's joints that may be columns, in the rig's order: all but the legs, which follow from the pose. */
export const streamJoints = (rig: StreamRig): string[] =>
  rig.joints.filter((joint) => joint.kind !== 'leg').map((joint) => joint.name);

/** Every column a stream for this rig may have, in the order of the slots. */
const knownColumns = (rig: StreamRig): string[] => [
  't_s',
  ...POSE_KEYS,
  ...streamJoints(rig).map((name) => `${name}_deg`),
];

/** The columns of a header row; what is wrong with it goes to `problems`. Null when the row is no header at all. */
export function readHeader(
  cells: readonly string[],
  line: number,
  rig: StreamRig,
  problems: ProblemList,
): Column[] | null {
  const names = cells.map((cell) => cell.trim());
  const refusal = notAHeader(names);
  if (refusal !== null) {
    problems.add('row', line, refusal);
    return null;
  }
  const known = knownColumns(rig);
  const seen = new Set<string>();
  const columns = names.map((name, index): Column => {
    const wrong = seen.has(name) ? `${name} stands twice in the header` : nameFault(name, index, known, rig);
    seen.add(name);
    if (wrong !== null) problems.add(name === '' ? 'row' : name, line, wrong);
    const isAngle = name.endsWith('_deg');
    return { name, slot: wrong === null ? known.indexOf(name) : -1, scale: isAngle ? toRad(1) : 1, isAngle };
  });
  if (!seen.has('t_s')) problems.add('t_s', line, 'there is no column t_s, the time of each frame in seconds');
  const poseColumn = POSE_KEYS.find((key) => seen.has(key));
  if (rig.platform === null && poseColumn !== undefined) {
    problems.add(poseColumn, line, `this rig has no platform: ${poseColumn} and its like move nothing`, 'warning');
  }
  return columns;
}

function notAHeader(names: readonly string[]): string | null {
  const first = names.join(',');
  if (first.includes('\0') || first.includes('\uFFFD')) return 'this is not UTF-8 text: export it as "CSV UTF-8"';
  if (first.includes('\r')) return 'lines end in carriage returns alone: export the file with line feeds';
  const separator = [';', '\t'].find((mark) => names.length === 1 && first.includes(mark));
  if (separator !== undefined) {
    const shown = separator === ';' ? 'semicolons' : 'tabs';
    return `columns are separated by ${shown} here: export the file with commas (and points in numbers)`;
  }
  if (names.every((name) => name !== '' && Number.isFinite(Number(name)))) {
    return 'the first row holds numbers: it must name the columns, such as t_s,x_mm,y_mm,z_mm,roll_deg,pitch_deg,yaw_deg';
  }
  return null;
}

function nameFault(name: string, index: number, known: readonly string[], rig: StreamRig): string | null {
  if (known.includes(name)) return null;
  if (name === '') return `column ${index + 1} has no name (a comma too many?)`;
  const legs = rig.joints.filter((joint) => joint.kind === 'leg').map((joint) => joint.name);
  if (legs.some((leg) => name === leg || name === `${leg}_deg` || name === `${leg}_mm`)) {
    return `${name}: legs cannot be asked for one by one; a stream moves them through the pose, x_mm to yaw_deg`;
  }
  const near = nearest(name, known);
  return `this rig has no column ${name}${near === null ? '' : `; nearest is ${near}`}. Known: ${known.join(', ')}`;
}

/** The known column most like a name, null when most of it differs; a unit that is wrong or missing counts for nothing. */
function nearest(name: string, known: readonly string[]): string | null {
  const bare = (column: string): string => column.replace(/_(s|ms|mm|cm|m|deg|rad)$/, '');
  const closestBare = closest(bare(name), known.map(bare));
  if (distance(bare(name), closestBare) > bare(name).length / 2) return null;
  return known.find((column) => bare(column) === closestBare) ?? null;
}
