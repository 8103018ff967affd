/** `posewright check`: is the rig file right, and what does it say. */
import { PLUS_MINUS_NOTE } from '../../rig/terms.ts';
import type { Command } from 'commander';
import { rigSchemaJson } from '../../rig/read.ts';
import { type Joint, type Rig, toShown } from '../../rig/rig.ts';
import { lookAhead_us } from '../../rig/look-ahead.ts';
import { wobbleDelay_ms, wobbleFilter } from '../../rig/wobble.ts';
import { NOT_MEASURED } from '../../rig/typical.ts';
import { torqueWords } from '../../rig/torque.ts';
import { together } from '../../rig/words.ts';
import { type Done, type ExitCode, type Io, coloursOf, widthOf } from '../io.ts';
import { type Problem, type Row, labelled, printJson, printProblems, problemOf, refuse, table } from '../output.ts';
import { nightRows } from '../night-summary.ts';
import { type Unwritten, refusedPage, writeAll } from '../outputs.ts';
import { idleProblems } from '../night-problems.ts';
import { readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { type Summary, summarize } from '../rig-summary.ts';

interface Options {
  readonly json?: true;
  readonly schema?: true;
  readonly report?: string;
  readonly force?: true;
}

const HELP = `
Every mistake is reported at once, with its line and what would be right. Nothing moves, and
nothing is written but the page of --report: what the rig says, beside a drawing of it.

Examples:
  posewright check night-owl.yaml
  posewright check night-owl.yaml --report rig.html
  posewright check --schema > rig.schema.json   for an editor that completes and checks as you type`;

export function registerCheck(program: Command, io: Io, done: Done): void {
  program
    .command('check')
    .description('Reads a rig file, reports everything that is wrong with it, and summarizes what it says.')
    .argument('[rig]', 'the rig file (YAML); - for standard input')
    .option('--json', 'one JSON document: {ok, problems, summary}')
    .option('--report <file.html>', 'write a page: the rig as a labelled drawing, and what the file says')
    .option('--force', 'overwrite a report that exists already')
    .option('--schema', 'print the JSON Schema of rig files instead')
    .addHelpText('after', HELP)
    .action(async (path: string | undefined, options: Options) => {
      done(await check(path, options, io));
    });
}

/** What keeps the command line itself from being done; null: nothing. */
function refusal(path: string | undefined, { schema, report, force }: Options): Problem | null {
  if (schema)
    return report === undefined ? null : problemOf('--report', 'the schema has no page: ask for one of the two');
  if (path === undefined) return problemOf('check', 'which rig file? For example: posewright check night-owl.yaml');
  const fault = report === undefined ? null : refusedPage(report, force === true, [path]);
  return fault === null || report === undefined ? null : problemOf(report, fault);
}

async function check(path: string | undefined, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const wrong = refusal(path, options);
  if (wrong) return refuse(io, json, [wrong]);
  if (options.schema || path === undefined) {
    printJson(io, rigSchemaJson());
    return 0;
  }
  const reading = await readRigFile(path, io);
  const { rig } = reading;
  const problems = [...reading.problems, ...reading.advice, ...(rig ? idleProblems(rig, reading, path) : [])];
  const summary = rig && summarize(rig);
  const unwritten = rig && summary ? await writeReport(rig, summary, problems, options) : null;
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, { ok: rig !== null, problems, summary });
  else {
    printProblems(io, io.stderr, problems);
    if (rig && summary) io.stdout.write(words(shownName(path), rig, summary, options.report ?? null, io));
  }
  return rig ? 0 : 2;
}

/** Writes the page, where one is asked for, and loads what draws it only then; returns why it could not be. */
async function writeReport(
  rig: Rig,
  summary: Summary,
  problems: readonly Problem[],
  { report, force }: Options,
): Promise<Unwritten | null> {
  if (report === undefined) return null;
  const { renderCheckReport } = await import('../../report/check-report.ts');
  const text = renderCheckReport(
    rig,
    summaryRows(rig, summary),
    problems.map(({ path, line, message }) => ({ path, line, message })),
  );
  return writeAll([{ path: report, text }], force === true);
}

/** Up to `digits` decimals, without trailing zeros, and no minus before a zero. */
const short = (value: number, digits = 1): string => String(Number(value.toFixed(digits)) || 0);

function jointTable(rig: Rig): string {
  const range = (joint: Joint): string =>
    `${short(toShown(joint, joint.lo))} … ${short(toShown(joint, joint.hi))} ${joint.unit}`;
  const rate = (joint: Joint, value: number, per: string): string =>
    `${short(toShown(joint, value), 0)} ${joint.unit}/${per}`;
  const accel = (joint: Joint, value: number, gone: number): string =>
    `${rate(joint, value, 's²')}${Number.isFinite(gone) ? `, zero at ${rate(joint, gone, 's')}` : ''}`;
  const column = (head: string) => ({ head });
  return table(
    [
      { head: 'joint', align: 'left' },
      column('pin'),
      { head: 'servo', align: 'left' },
      ...['range', 'rest', 'speed', 'plus', 'minus'].map(column),
    ],
    rig.joints.map((joint) => [
      joint.name,
      String(joint.pin),
      joint.servo.name,
      range(joint),
      `${short(toShown(joint, joint.rest))} ${joint.unit}`,
      rate(joint, joint.speed, 's'),
      accel(joint, joint.plus, joint.plus_gone),
      accel(joint, joint.minus, joint.minus_gone),
    ]),
  );
}

const REST: Readonly<Record<Rig['rest'], string>> = {
  on_stop: 'it rests on a stop, where it needs no power',
  hanging: 'it hangs, and needs no power there',
  powered: 'it would fall without power: no unattended show',
};

function platformRows(rig: Rig, summary: Summary): (readonly [string, string])[] {
  const { platform } = rig;
  if (!platform) return [['platform', 'none: joints only']];
  const mount = platform.mounted ? '' : ', taken as level: the file gives no mount';
  const rest = Object.entries(summary.rest ?? {})
    .filter(([, value]) => short(value) !== '0')
    .map(([key, value]) => `${key.replace(/_.*/, '')} ${short(value)} ${key.replace(/.*_/, '')}`);
  return [
    [
      'platform',
      `${platform.drive === 'crank' ? 'six cranks and rods' : 'six linear actuators'}, on ${platform.on ?? 'the ground'}${mount}`,
    ],
    ['home', `${short(platform.home_z_mm, 2)} mm from base to moving plate`],
    ['rest', `${rest.length > 0 ? rest.join(', ') : 'at home'}; ${REST[rig.rest]}`],
  ];
}

/** What each class of servo gives, and whose it is; a torque in both units of data sheets. */
function servoRows({ servos }: Summary): (readonly [string, string])[] {
  const told = (value: number | null | undefined, say: (value: number) => string, what: string): string =>
    value === null || value === undefined ? `${what} unknown` : say(value);
  return servos.map(({ name, joints, ...servo }, i) => {
    const gives =
      'force_n' in servo
        ? [
            told(servo.force_n, (force) => `${short(force)} N`, 'force'),
            told(servo.speed_mm_s, (speed) => `${short(speed)} mm/s`, 'speed'),
          ]
        : [
            told(servo.stall_torque_nm, (torque) => `${torqueWords(torque)} stall torque`, 'stall torque'),
            told(servo.no_load_speed_deg_s, (speed) => `${short(speed, 0)} deg/s no-load speed`, 'speed'),
          ];
    const draws = told(servo.stall_current_a, (current) => `${short(current, 2)} A stall current`, 'current');
    return [i === 0 ? 'servos' : '', `${name}: ${[...gives, draws].join(', ')} (${together(joints)})`];
  });
}

function unsureWords({ unsure }: Summary): string {
  if (unsure.length === 0) return 'nothing is marked as unknown, assumed or estimated';
  const by = (from: string): string => {
    const paths = unsure.filter((figure) => figure.from === from).map((figure) => figure.path);
    return paths.length === 0 ? '' : `${from === 'estimate' ? 'estimated' : from}: ${paths.join(', ')}`;
  };
  return ['unknown', 'assumed', 'estimate']
    .map(by)
    .filter((text) => text !== '')
    .join('; ');
}

/** What is usual of figures that the file does not give. */
const typicalRows = ({ typical }: Summary): (readonly [string, string])[] =>
  typical.map(({ path, usual }, i) => [i === 0 ? 'not given' : '', `${path}: ${usual} ${NOT_MEASURED}`]);

/** What the wobble cure does to the prop, if there is one. */
function wobbleRows(rig: Rig): (readonly [string, string])[] {
  const filter = wobbleFilter(rig);
  if (!filter) return [];
  const { cure, hz, damping } = rig.motion.wobble;
  const names = filter.joints.map((i) => rig.joints[i]?.name ?? '');
  const all = names.length === rig.joints.length ? 'every joint' : together(names);
  return [
    [
      'wobble',
      `cure: ${cure} for ${short(hz ?? 0, 2)} Hz, damping ${short(damping ?? 0, 3)}, in ${all}; it delays the whole prop by ${short(wobbleDelay_ms(rig))} ms`,
    ],
  ];
}

/** What the playback delay is good for. */
function lookingAhead(motion: Rig['motion']): string {
  const ahead_ms = lookAhead_us(motion) / 1000;
  const jitter_ms = motion.playback_delay_ms - ahead_ms;
  if (ahead_ms === 0) return 'so that late frames still count; no look-ahead';
  return `${short(ahead_ms)} ms of look-ahead, ${short(jitter_ms)} ms so that late frames still count`;
}

/** What the file says, name by name. */
function summaryRows(rig: Rig, summary: Summary): readonly Row[] {
  const mass = summary.masses.map(
    ({ on, kg, unknown }) =>
      `${short(kg, 3)} kg on ${on}${unknown.length > 0 ? ` and the unknown ${unknown.join(', ')}` : ''}`,
  );
  const bars_kg = 6 * ((rig.platform?.crank_kg ?? 0) + (rig.platform?.rod_kg ?? 0));
  const bars = bars_kg > 0 ? [`${short(bars_kg, 3)} kg in cranks and rods`] : [];
  return [
    ...platformRows(rig, summary),
    [
      'motion',
      `${short(rig.motion.tick_hz)} ticks a second, played ${short(rig.motion.playback_delay_ms)} ms late: ${lookingAhead(rig.motion)}`,
    ],
    ...wobbleRows(rig),
    ...servoRows(summary),
    ...nightRows(summary.night),
    ...(summary.supply_watch === null ? [] : [['supply', summary.supply_watch] as const]),
    ['weight', mass.length + bars.length > 0 ? [...mass, ...bars].join('; ') : 'no parts are given'],
    ...(summary.no_pose_speed.length > 0
      ? [['no speed limit', `${summary.no_pose_speed.join(', ')}: only the joints' own speeds limit it`] as const]
      : []),
    ['unsure', unsureWords(summary)],
    ...typicalRows(summary),
  ];
}

function words(file: string, rig: Rig, summary: Summary, report: string | null, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const page: readonly Row[] = report === null ? [] : [['report', report]];
  const rows = [...summaryRows(rig, summary), ...page];
  const title = `${colours.bold(`${rig.name} is a valid rig`)} (${file})`;
  const next = `Next: posewright replay ${file} STREAM.csv plays a stream on it, in simulation.`;
  return `${title}\n\n${labelled(rows, widthOf(io.stdout))}\n\n${jointTable(rig)}\n${PLUS_MINUS_NOTE}\n\n${next}\n`;
}
