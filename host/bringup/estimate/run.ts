/** The verb `estimate`: from the prop or a table to figures of the rig, told first, with the readings kept so that they can be fitted again. */
import type { FigureChange } from '../../rig/edit.ts';
import type { JointFigures } from '../../rig/joint-edit.ts';
import type { Problem } from '../../rig/problem.ts';
import type { Rig } from '../../rig/rig.ts';
import { capital, short, together } from '../../rig/words.ts';
import type { Refused } from '../measurement.ts';
import type { Person } from '../person.ts';
import type { Bench } from '../session/bench.ts';
import type { RigChange } from '../session/rig-text.ts';
import { type Shown, type VerbDone, VerbEnded, type VerbWords } from '../verb.ts';
import { carriedOver } from '../verbs/walked-over.ts';
import { type Estimate, estimate } from './estimate.ts';
import { DEFAULT_POSES } from './plan.ts';
import { type TableRow, readTable, tableText } from './table.ts';
import { estimateAt } from './verb.ts';

export async function runEstimate(bench: Bench, person: Person, words: VerbWords): Promise<VerbDone> {
  const { table } = words.estimate;
  const { found, readings } = table === null ? await atProp(bench, person, words) : fromTable(bench, table, words);
  if ('problem' in found) throw new VerbEnded(found.problem);
  for (const sentence of found.words) person.say(`${capital(sentence)}.`);
  const changes = changesOf(bench, person, found.changes);
  if (changes.length === 0) person.say('The readings tell nothing better than the rig says it: nothing is written.');
  return { ...shownOf(bench.rig, found), changes, ...(readings === null ? {} : { readings }) };
}

interface Worked {
  readonly found: Estimate | Refused;
  /** The file that keeps the readings; null: none does. */
  readonly readings: string | null;
}

function fromTable(bench: Bench, path: string, { estimate: { points, centres, zero } }: VerbWords): Worked {
  if (!bench.files) throw new VerbEnded('there are no files here to read a table from');
  const { rows, problems } = readTable(bench.files.read(path), bench.rig, points);
  if (!rows) throw new VerbEnded(`${path}: ${problems.slice(0, 3).map(problemWords).join('; ')}`);
  return { found: estimate(bench.rig, rows, { centres, zero, points }), readings: null };
}

const problemWords = ({ line, message }: Problem): string => (line > 0 ? `line ${String(line)}: ${message}` : message);

/** What was read is kept even where it ends early. */
async function atProp(bench: Bench, person: Person, words: VerbWords): Promise<Worked> {
  refuseUnwalked(bench.rig);
  const { poses, centres, zero } = words.estimate;
  let rows: readonly TableRow[] = [];
  const keep = (): string | null =>
    bench.files && rows.length > 0 ? bench.files.keepReadings(tableText(bench.rig, rows)) : null;
  const tell = (kept: string | null): string | null => {
    if (kept !== null) person.say(`What was read is in ${kept}: "estimate table=${kept}" fits it again.`);
    return kept;
  };
  try {
    const found = await estimateAt(bench, person, poses ?? DEFAULT_POSES, { centres, zero }, (read) => (rows = read));
    return { found, readings: tell(keep()) };
  } catch (error) {
    if (error instanceof Error) tell(keep());
    throw error;
  }
}

/** The whole plate goes far out: only where every leg is known to go. */
function refuseUnwalked({ platform, joints }: Rig): void {
  const left = platform ? joints.filter(({ kind, walked }) => kind === 'leg' && !walked).map(({ name }) => name) : [];
  if (left.length > 0)
    throw new VerbEnded(
      `${together(left)} ${left.length === 1 ? 'has' : 'have'} not been walked: walk each leg first, so that the plate goes only where nothing binds`,
    );
}

/** A leg's figures together, with its walk carried over to them; the platform's as they are. */
function changesOf(bench: Bench, person: Person, found: readonly FigureChange[]): RigChange[] {
  const ofLegs = new Map<string, Record<string, JointFigures['figures'][string]>>();
  const others: FigureChange[] = [];
  for (const change of found) {
    const [group, joint, key] = change.path.map(String);
    if (group === 'joints' && joint !== undefined && key !== undefined)
      ofLegs.set(joint, { ...ofLegs.get(joint), [key]: change.to as JointFigures['figures'][string] });
    else others.push(change);
  }
  const legs = [...ofLegs].map(([joint, figures]) => ({
    joint,
    figures: { ...figures, ...carriedOver(bench, person, bench.joint(joint), figures) },
  }));
  return [...legs, ...others];
}

/** Every figure that is written, as the rig says it and as it is found. */
function shownOf({ joints }: Rig, { changes, geometry }: Estimate): Pick<VerbDone, 'before' | 'after'> {
  const before: Record<string, Shown[string]> = {};
  const after: Record<string, Shown[string]> = {};
  for (const { path, to } of changes) {
    const key = path.join('.');
    const value = typeof to === 'object' && 'value' in to ? to.value : to;
    if (typeof value !== 'number') continue;
    after[key] = value;
    const joint = joints.find(({ name }) => name === path[1]);
    const figure = geometry?.figures.find((it) => it.path?.join('.') === key);
    before[key] = figure ? Number(short(figure.at, 4)) : joint ? legFigure(joint, String(path[2])) : null;
  }
  return { before, after };
}

function legFigure(joint: Rig['joints'][number], key: string): number | null {
  if (key === 'centre_us') return joint.centre_us;
  if (key === 'sense') return joint.sense;
  const per = joint.us_per_unit / joint.gear_ratio;
  return Number((joint.unit === 'deg' ? (per * Math.PI) / 180 : per).toFixed(4));
}
