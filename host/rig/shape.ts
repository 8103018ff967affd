/**
 * The shape of a rig file: holds it against the schema, and hands out every group of keys that is right in itself, so that
 * one wrong group does not hide what is wrong between the others.
 */
import type { z } from 'zod';
import { BETWEEN_KEYS } from './fields.ts';
import { withPlaces } from './key-places.ts';
import type { Path } from './problem.ts';
import {
  type AxisFile,
  type BoardFile,
  type LegFile,
  type MotionFile,
  type NightFile,
  type PartFile,
  type PlatformFile,
  type ServoFile,
  type SupplyFile,
  groups,
  rigSchema,
} from './schema.ts';

type Raw = Readonly<Record<string, unknown>>;
type Issue = z.core.$ZodIssue;

/** What the file holds, group by group, with defaults filled in; null: absent, or wrong in itself. */
export interface Groups {
  readonly name: string | null;
  readonly platform: PlatformFile | null;
  /** By their place in the list. */
  readonly parts: ReadonlyMap<number, PartFile>;
  readonly servos: ReadonlyMap<string, ServoFile>;
  readonly legs: ReadonlyMap<string, LegFile>;
  readonly axes: ReadonlyMap<string, AxisFile>;
  readonly motion: MotionFile | null;
  readonly supply: SupplyFile | null;
  readonly rest: 'on_stop' | 'hanging' | 'powered' | null;
  readonly audience: 'bench' | 'behind_barrier' | 'within_reach' | null;
  readonly board: BoardFile | null;
  readonly night: NightFile | null;
}

export interface Fault {
  readonly path: Path;
  readonly message: string;
}

/** Everything that is wrong with single keys and groups, and the groups. */
export function checkShape(data: Raw): { faults: Fault[]; groups: Groups } {
  const result = rigSchema.safeParse(data);
  const issues = result.success ? [] : result.error.issues;
  return { faults: issues.flatMap((issue) => faultsOf(issue)), groups: groupsOf(withoutUnknown(data, issues)) };
}

/**
 * An issue in the schema's words; unknown keys each on its own, and of a choice only the way that was meant.
 * @param schema of the whole file, for keys that belong in another place of it.
 */
export function faultsOf(issue: Issue, schema: z.ZodType = rigSchema): Fault[] {
  const path = issue.path as Path;
  if (issue.code === 'unrecognized_keys') {
    const messages = issue.message.split(BETWEEN_KEYS);
    return issue.keys.map((key, i) => ({ path: [...path, key], message: withPlaces(messages[i] ?? '', key, schema) }));
  }
  if (issue.code === 'invalid_union') {
    const meant = issue.errors.filter((ways) => !ways.some(isOtherKind));
    if (meant.length === 1)
      return (meant[0] ?? []).flatMap((inner) => faultsOf({ ...inner, path: [...path, ...inner.path] }, schema));
  }
  return [{ path, message: issue.message }];
}

/** The value is of another kind altogether, rather than wrong in a detail. */
const isOtherKind = (issue: Issue): boolean =>
  issue.path.length === 0 && (issue.code === 'invalid_type' || issue.code === 'invalid_value');

function withoutUnknown(data: Raw, issues: readonly Issue[]): Raw {
  const copy = structuredClone(data) as Record<string, unknown>;
  for (const { path } of issues
    .filter((issue) => issue.code === 'unrecognized_keys')
    .flatMap((issue) => faultsOf(issue))) {
    const group = path.slice(0, -1).reduce<unknown>(child, copy);
    if (isGroup(group)) Reflect.deleteProperty(group, path.at(-1) ?? '');
  }
  return copy;
}

const isGroup = (value: unknown): value is Raw => typeof value === 'object' && value !== null && !Array.isArray(value);

const child = (value: unknown, key: PropertyKey): unknown =>
  typeof value === 'object' && value !== null ? (value as Record<PropertyKey, unknown>)[key] : undefined;

function groupsOf(data: Raw): Groups {
  const read = <T>(schema: z.ZodType<T>, value: unknown): T | null => schema.safeParse(value).data ?? null;
  const each = <T>(
    schema: z.ZodType<T>,
    value: unknown,
    wanted: (key: string) => boolean = () => true,
  ): Map<string, T> => {
    const entries = isGroup(value) ? Object.entries(value).filter(([key]) => wanted(key)) : [];
    return new Map(
      entries.flatMap(([key, given]) => {
        const made = read(schema, given);
        return made === null ? [] : [[key, made] as const];
      }),
    );
  };
  const joints = data['joints'];
  const parts: unknown = data['parts'];
  return {
    name: read(groups.rig, data['rig']),
    platform: read(groups.platform, data['platform']),
    parts: new Map(
      (Array.isArray(parts) ? parts : []).flatMap((given, i) => {
        const made = read(groups.part, given);
        return made === null ? [] : [[i, made] as const];
      }),
    ),
    servos: each(groups.servo, data['servos']),
    legs: each(groups.leg, joints, isLeg),
    axes: each(groups.axisJoint, joints, (key) => !isLeg(key)),
    motion: read(groups.motion, data['motion'] ?? {}),
    supply: read(groups.supply, data['supply']),
    rest: read(groups.rest, data['rest']),
    audience: read(groups.audience, data['audience'] ?? 'bench'),
    board: read(groups.board, data['board']),
    night: read(groups.night, data['night']),
  };
}

export const LEGS = ['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6'] as const;
export const isLeg = (name: string): boolean => (LEGS as readonly string[]).includes(name);
