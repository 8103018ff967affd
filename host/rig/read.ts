/**
 * Reads a rig file: text in, a rig or everything that is wrong with it out. Pure; files and printing are the caller's.
 */
import * as z from 'zod';
import { advise } from './advice.ts';
import { adviseCentres } from './centring.ts';
import { type SchemaNode, describe } from './describe.ts';
import { type RigDocument, readDocument } from './document.ts';
import { buildAxis, buildLegs, checkPlaces, checkPulses } from './joints.ts';
import { adviseFacing } from './facing.ts';
import { BAUD, usualLink } from './links.ts';
import { adviseLookAhead, checkLookAhead, defaultLookAhead_ms } from './look-ahead.ts';
import { checkNames } from './names.ts';
import { buildNight } from './night/night.ts';
import { checkNight } from './night/names.ts';
import { buildPlatform } from './geometry.ts';
import type { ReadMesh } from './mesh/part-mesh.ts';
import { buildParts } from './parts.ts';
import { plainText, shortText } from './plain-text.ts';
import type { Path, Problem, Say } from './problem.ts';
import type { Board, Joint, Motion, Platform, Rig, Servo, Supply } from './rig.ts';
import { toRad } from './rig.ts';
import { type BoardFile, type MotionFile, type SupplyFile, rigSchema } from './schema.ts';
import { type ServoClass, buildServo } from './servo.ts';
import { type Groups, checkShape, isLeg } from './shape.ts';
import { Sources } from './sources.ts';
import { adviseSpeeds } from './speeds.ts';
import { checkStands } from './stands.ts';
import { adviseSwitches } from './switches.ts';
import { adviseUnusual } from './usual.ts';
import { checkWobble } from './wobble.ts';

export type { Problem } from './problem.ts';

/** Where a rig's other files come from. Without `mesh`, a part with a mesh is an error. */
export interface RigFiles {
  readonly mesh?: ReadMesh;
}

export interface RigReading {
  /** Null when a problem is an error. */
  readonly rig: Rig | null;
  /** The classes of the file, whether a joint has them or not. */
  readonly servos: readonly Servo[];
  /** In the order of the file's lines. */
  readonly problems: readonly Problem[];
  /** What is right, and yet told to whoever asks about the file: warnings. */
  readonly advice: readonly Problem[];
  /** The line of a key, or of the nearest one around it that is there; 0: the whole file. */
  readonly lineOf: (path: Path) => number;
}

const WANT_WORDS =
  'this is a want file, not a rig: "posewright design" reads it, and the rig is the file that its from names';

/** Whether these are the keys of a want file. */
export const isWant = (data: Readonly<Record<string, unknown>>): boolean =>
  data['want'] !== undefined && data['rig'] === undefined;

/**
 * The rig in a YAML text, and all that is wrong with it at once.
 * @param file its name, for messages about the whole file.
 * @param files what hands out the files that it names.
 */
export function readRig(text: string, file = 'this file', files: RigFiles = {}): RigReading {
  const { document, problems } = readDocument(text, file);
  if (!document) return { rig: null, servos: [], problems: listed(problems), advice: [], lineOf: () => 0 };
  const lineOf = (path: Path): number => document.lineOf(path);
  if (isWant(document.data)) {
    const problem = { path: 'want', line: lineOf(['want']), message: WANT_WORDS, severity: 'error' as const };
    return { rig: null, servos: [], problems: listed([...problems, problem]), advice: [], lineOf };
  }
  const found = [...problems];
  const say = speaker(document, found);
  const { faults, groups } = checkShape(document.data);
  for (const { path, message } of faults) say.error(path, message);
  checkNames(document.data, say);
  const { rig, servos } = buildRig(document.data, groups, files, say);
  adviseUnusual(document.data, say);
  const sorted = found.sort((a, b) => a.line - b.line);
  if (!rig || sorted.some(({ severity }) => severity === 'error'))
    return { rig: null, servos: [], problems: listed(sorted), advice: [], lineOf };
  const advice: Problem[] = [];
  const tell = speaker(document, advice);
  adviseLookAhead(rig, tell);
  if (rig.platform) adviseFacing(rig.platform, tell);
  adviseCentres(rig.joints, tell);
  adviseSpeeds(rig.joints, tell);
  adviseSwitches(rig, tell);
  return { rig, servos, problems: sorted, advice, lineOf };
}

/** So many are listed. */
const LISTED = 100;
/** What quotes a file, which may be one word of 200,000 characters, is told up to so many. */
const LONGEST = { path: 200, message: 1000 };
const cut = (text: string, longest: number): string => (text.length > longest ? `${text.slice(0, longest)}…` : text);
const short = (problem: Problem): Problem => ({
  ...problem,
  path: cut(problem.path, LONGEST.path),
  message: cut(problem.message, LONGEST.message),
});

/** The first hundred and how many more there are, errors before warnings; still in the order of the file's lines. */
export function listed(sorted: readonly Problem[]): readonly Problem[] {
  if (sorted.length <= LISTED) return sorted.map(short);
  const errors = sorted.filter(({ severity }) => severity === 'error');
  const shown = errors.slice(0, LISTED).map(short);
  const more = sorted.length - shown.length;
  const line = errors[LISTED]?.line ?? 0;
  return [...shown, { path: 'file', line, message: `and ${String(more)} more`, severity: 'error' }];
}

/** The JSON Schema (draft 2020-12) of rig files, for editors. Rules between keys are not in it. */
export const rigSchemaJson = (): unknown => ({
  title: 'A rig of posewright',
  ...describe(z.toJSONSchema(rigSchema, { io: 'input' }) as SchemaNode),
});

/** Of a key path that is told. */
const LONGEST_PATH = 120;

/** Turns paths into text and lines; a fault found twice is told once. */
export function speaker(document: RigDocument, found: Problem[]): Say {
  const told = new Set(found.map(({ path, message }) => `${path}\n${message}`));
  const tell = (severity: Problem['severity'], path: Path, message: string): void => {
    const problem: Problem = {
      path: shortText(pathText(path, document.data), LONGEST_PATH) || 'file',
      line: document.lineOf(path),
      message: plainText(message),
      severity,
    };
    const key = `${problem.path}\n${message}`;
    if (!told.has(key)) found.push(problem);
    told.add(key);
  };
  return {
    error: (path, message) => {
      tell('error', path, message);
    },
    warning: (path, message) => {
      tell('warning', path, message);
    },
  };
}

/** `parts.beak.mass_kg`: items of a list go by their names, or else by their place, from 1. */
function pathText(path: Path, data: unknown): string {
  let at: unknown = data;
  const words = path.map((step) => {
    at = typeof at === 'object' && at !== null ? (at as Record<string | number, unknown>)[step] : undefined;
    if (typeof step === 'string') return step;
    const name = typeof at === 'object' && at !== null ? (at as { name?: unknown }).name : undefined;
    return typeof name === 'string' ? name : String(step + 1);
  });
  return words.join('.');
}

/** Builds what can be built, and says what is wrong with it; null where a group is missing or wrong. */
function buildRig(
  data: Readonly<Record<string, unknown>>,
  groups: Groups,
  files: RigFiles,
  say: Say,
): Pick<RigReading, 'rig' | 'servos'> {
  const sources = new Sources();
  const supply = groups.supply && supplyOf(groups.supply, sources);
  const voltage_v = data['supply'] !== undefined && !supply ? undefined : (supply?.voltage_v ?? null);
  const servos = new Map(
    [...groups.servos].map(([name, file]) => [name, buildServo(name, file, voltage_v, sources, say)]),
  );
  const platform = groups.platform && buildPlatform(groups.platform, sources, say);
  const legs = legsOf(data, groups, platform, servos, sources);
  if (platform) checkStands(platform, legs, say);
  const axes = axesOf(data, groups, servos, sources, say);
  const joints = [...legs, ...axes].filter((joint) => joint !== undefined);
  checkPulses(joints, (joint) => limitPath(groups, joint), say);
  const parts = buildParts(groups.parts, files.mesh, sources, say);
  const { name, motion, rest, audience } = groups;
  if (name === null || motion === null || rest === null || audience === null) return { rig: null, servos: [] };
  const rig: Rig = {
    name,
    platform,
    parts,
    joints,
    motion: motionOf(motion, joints.length),
    supply,
    rest,
    audience,
    board: groups.board && boardOf(groups.board),
    night: groups.night && buildNight(groups.night, joints, platform !== null),
    sources: sources.map,
  };
  checkLookAhead(rig, say);
  checkWobble(rig, say);
  if (groups.night) checkNight(groups.night, rig, say);
  advise(rig, say);
  return { rig, servos: [...servos.values()].map(({ servo }) => servo) };
}

/** Keys of a group in the file, in its order. */
const keysOf = (value: unknown): string[] => (typeof value === 'object' && value !== null ? Object.keys(value) : []);

function legsOf(
  data: Readonly<Record<string, unknown>>,
  groups: Groups,
  platform: Platform | null,
  servos: ReadonlyMap<string, ServoClass>,
  sources: Sources,
): (Joint | undefined)[] {
  const file = groups.platform;
  const servo = servos.get(file?.servo ?? '');
  if (!platform || !file || !servo) return [];
  const wrong = new Set(keysOf(data['joints']).filter((name) => isLeg(name) && !groups.legs.has(name)));
  return buildLegs({ platform, file, servo, entries: groups.legs, wrong, motion: groups.motion }, sources);
}

function axesOf(
  data: Readonly<Record<string, unknown>>,
  groups: Groups,
  servos: ReadonlyMap<string, ServoClass>,
  sources: Sources,
  say: Say,
): (Joint | undefined)[] {
  const first = data['platform'] === undefined ? 0 : 6;
  const names = keysOf(data['joints']).filter((name) => !isLeg(name));
  return names.map((name, i) => {
    const file = groups.axes.get(name);
    if (!file) return undefined;
    checkPlaces(name, file, say);
    const servo = servos.get(file.servo);
    return servo && buildAxis(name, first + i, file, servo, sources);
  });
}

/** Where the soft limits of a joint stand in the file. */
function limitPath({ legs }: Groups, { name, kind, unit }: Joint): Path {
  const key = `limit_${unit}` as const;
  return kind === 'leg' && legs.get(name)?.[key] === undefined ? ['platform', key] : ['joints', name, key];
}

function motionOf(file: MotionFile, joints: number): Motion {
  const { pose_speed: at, wobble } = file;
  const turns = [at.roll_deg_s, at.pitch_deg_s, at.yaw_deg_s].map((deg_s) =>
    deg_s === undefined ? null : toRad(deg_s),
  );
  return {
    tick_hz: file.tick_hz,
    playback_delay_ms: file.playback_delay_ms,
    look_ahead_ms: file.look_ahead_ms ?? defaultLookAhead_ms(file, joints),
    hold_s: file.hold_s,
    pose_speed: [at.x_mm_s ?? null, at.y_mm_s ?? null, at.z_mm_s ?? null, ...turns],
    wobble: { cure: wobble.cure, hz: wobble.hz ?? null, damping: wobble.damping ?? null },
  };
}

const supplyOf = (file: SupplyFile, sources: Sources): Supply => ({
  kind: file.kind,
  voltage_v: sources.take('supply.voltage_v', file.voltage_v),
  current_a: sources.take('supply.current_a', file.current_a),
  cells: file.cells ?? null,
  low_v: file.low_v ?? null,
  fuse_a: file.fuse_a ?? null,
});

function boardOf({ kind, link = usualLink(kind), stop, power_pin }: BoardFile): Board {
  return { kind, link, baud: link === 'usb' ? null : BAUD, stop: stop ?? null, power_pin: power_pin ?? null };
}
