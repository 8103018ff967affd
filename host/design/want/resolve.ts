/**
 * A want file with the rig and the stream it names: units resolved, defaults filled in, and what cannot be told from the want file
 * alone checked: joints, parts and servo classes by name, sizes against the room.
 */
import { type Clearance, usualClearance } from '../../rig/clearance.ts';
import { readDocument } from '../../rig/document.ts';
import { type FigureChange, withFigures } from '../../rig/edit.ts';
import type { Problem, Say } from '../../rig/problem.ts';
import { listed, speaker } from '../../rig/read.ts';
import { plateRadius_mm } from '../../rig/plates.ts';
import { type Platform, type Rig, toRad } from '../../rig/rig.ts';
import { LEGS } from '../../rig/shape.ts';
import { either, short } from '../../rig/words.ts';
import { axisChoices } from './axes.ts';
import type { WantReading } from './read.ts';
import { type SizesFile, type TravelFile, USUAL, type WantFile } from './schema.ts';
import { servoChoices } from './servos.ts';
import { checkStrokes } from './strokes.ts';
import { lowestOf, sizesOf } from './sizes.ts';
import type { Better, Must, Room, ServoChoice, Sizes, Stock, Travel, Want } from './want.ts';

export interface Resolved {
  /** Null when a problem is an error. */
  readonly want: Want | null;
  /** All of the want file: those of reading it, too. */
  readonly problems: readonly Problem[];
}

/** Who writes into rig files here, for the comments beside figures. */
export const BY = 'posewright design';

/**
 * The given rig's text with what the want file fixes of it: rod ends, clearances, parts taken off.
 * @returns null: there is no place for them in it.
 */
export function baseText(file: WantFile, text: string): string | null {
  const { stock, clearance } = file;
  const changes: FigureChange[] = [];
  if (stock.rod_end_deg !== undefined) changes.push({ path: ['platform', 'rod_end_deg'], to: stock.rod_end_deg });
  const data = readDocument(text, '').document?.data ?? {};
  if (clearance !== undefined) {
    const given = (data['platform'] as { clearance?: object } | undefined)?.clearance;
    changes.push({ path: ['platform', 'clearance'], to: { ...given, ...defined(clearance) } });
  }
  const { parts } = data as { parts?: unknown };
  for (const { instead_of } of Object.values(file.axes ?? {})) {
    const at = Array.isArray(parts)
      ? parts.findIndex((part: { name?: unknown } | null) => part?.name === instead_of)
      : -1;
    if (instead_of !== undefined && at >= 0) changes.push({ path: ['parts', at, 'fitted'], to: false });
  }
  const fresh = changes.filter(({ path, to }) => !isThere(data, path, to));
  return fresh.length === 0 ? text : withFigures(text, fresh, BY);
}

/** Whether a file says just that; where a figure that is the same comes from stays said. */
export function isThere(data: unknown, path: FigureChange['path'], to: FigureChange['to']): boolean {
  const inside = (at: unknown, key: string | number): unknown =>
    typeof at === 'object' && at !== null ? (at as Readonly<Record<string | number, unknown>>)[key] : undefined;
  const now = path.reduce<unknown>(inside, data);
  const value = typeof to === 'number' ? (inside(now, 'value') ?? now) : now;
  return JSON.stringify(value) === JSON.stringify(to);
}

/**
 * @param base the given rig, read from `text` (baseText's).
 * @param follow the stream that the want file names, read for that rig.
 */
export function resolveWant(
  reading: WantReading,
  base: { readonly rig: Rig; readonly text: string },
  follow: Must['follow'],
): Resolved {
  const { file, document } = reading;
  if (!file || !document) return { want: null, problems: reading.problems };
  const found = [...reading.problems];
  const say = speaker(document, found);
  const want = wanted(file, base, follow, say);
  const wrong = found.some(({ severity }) => severity === 'error');
  return { want: wrong ? null : want, problems: listed(found.sort((a, b) => a.line - b.line)) };
}

function wanted(
  file: WantFile,
  { rig, text }: { readonly rig: Rig; readonly text: string },
  follow: Must['follow'],
  say: Say,
): Want | null {
  if (!rig.platform) {
    say.error(['from'], `found ${file.from}, a rig of joints only; allowed: a rig with a platform`);
    return null;
  }
  const data = readDocument(text, file.from).document?.data ?? {};
  const servos = servoChoices(file, data, rig, say);
  const leg_servos = servos.flatMap(({ name }, i) => (file.servos?.[name]?.legs === false ? [] : [i]));
  const axes = axisChoices(file, rig, servos, say);
  checkInstead(file, rig, say);
  const want: Want = {
    name: file.want,
    base: rig,
    base_text: text,
    own_limits: ownLimits(data),
    must: mustOf(file, follow),
    room: file.room,
    stock: stockOf(file, rig, say),
    clearance: clearanceOf(rig.platform, servos, leg_servos),
    firm: file.firm,
    margins: {
      heavier: file.margins.heavier_percent / 100,
      less_voltage: file.margins.less_voltage_percent / 100,
    },
    servos,
    leg_servos,
    axes,
    better: [...new Set(file.better ?? usualBetter(servos, takenOf(leg_servos, axes)))],
  };
  if (file.better) checkBetter(want, say);
  checkAsked(want, say);
  checkTaken(want, say);
  checkBodies(want, say);
  checkKept(want, rig.platform, say);
  checkStrokes(want, rig, say);
  return want;
}

/** Of a rig file's data. */
function ownLimits({ joints }: Readonly<Record<string, unknown>>): boolean[] {
  const of = (joints ?? {}) as Readonly<Record<string, { limit_deg?: unknown; limit_mm?: unknown } | undefined>>;
  return LEGS.map((leg) => (of[leg]?.limit_deg ?? of[leg]?.limit_mm) !== undefined);
}

/** What a counterweight stands in for is a part of the rig. */
function checkInstead({ axes = {} }: WantFile, { parts }: Rig, say: Say): void {
  for (const [joint, { instead_of: name }] of Object.entries(axes)) {
    if (name === undefined || parts.some((part) => part.name === name)) continue;
    const names = parts.map((part) => part.name);
    say.error(
      ['axes', joint, 'instead_of'],
      `found ${name}, which is no part of the given rig; allowed: ${either(names)}`,
    );
  }
}

/** A body that every class of the legs tells is not assumed, whatever stands for it meanwhile. */
function clearanceOf({ clearance }: Platform, servos: readonly ServoChoice[], legs: readonly number[]): Clearance {
  const all = usualClearance(clearance ?? {});
  if (legs.length === 0 || !legs.every((i) => servos[i]?.body_mm)) return all;
  return { ...all, assumed: all.assumed.filter((key) => key !== 'servo_body_mm') };
}

/** Without keys that hold nothing. */
const defined = <T extends object>(group: T): { readonly [K in keyof T]?: NonNullable<T[K]> } =>
  Object.fromEntries(Object.entries(group).filter(([, value]) => value !== undefined)) as {
    readonly [K in keyof T]?: NonNullable<T[K]>;
  };

function mustOf({ must }: WantFile, follow: Must['follow']): Must {
  const both = (given: TravelFile, unit: number): Travel => {
    const [minus, plus] = typeof given === 'number' ? [-given, given] : (given ?? [0, 0]);
    return { minus: minus === 0 ? 0 : minus * unit, plus: plus * unit };
  };
  const turn = toRad(1);
  return {
    travel: [
      both(must.x_mm, 1),
      both(must.y_mm, 1),
      both(must.z_mm, 1),
      both(must.roll_deg, turn),
      both(must.pitch_deg, turn),
      both(must.yaw_deg, turn),
    ],
    together: must.together,
    follow,
    spare_travel: must.spare_travel_percent / 100,
    built_within_mm: must.built_within_mm,
  };
}

/** Free plates are no smaller than this share of the room, and a pair's joints no nearer to a neighbour's (ours). */
const SMALLEST = 0.35;
const HALF_DEG = { from: 4, to: 56 };

function stockOf({ stock, room }: WantFile, { platform }: Rig, say: Say): Stock {
  const linear = platform?.drive === 'linear';
  const radius = (key: 'base_radius_mm' | 'plate_radius_mm'): Sizes => {
    const given = stock[key];
    if (given === undefined) return { lowest: SMALLEST * room[key], highest: room[key] };
    return within(sizesOf(given), key, room, say);
  };
  const cranks = (key: 'crank_mm' | 'rod_mm', now: number): Sizes | null => {
    const given = stock[key];
    if (linear && given !== undefined)
      say.error(['stock', key], 'found it beside a linear platform; allowed: stroke_mm');
    return linear ? null : sizesOf(given ?? now);
  };
  if (!linear && stock.stroke_mm !== undefined)
    say.error(['stock', 'stroke_mm'], 'found it beside a platform of cranks; allowed: crank_mm and rod_mm');
  stock.stroke_mm?.forEach(([shortest, longest], i) => {
    if (!(shortest < longest))
      say.error(
        ['stock', 'stroke_mm', i],
        `found [${short(shortest, 2)}, ${short(longest, 2)}]; allowed: the shortest first`,
      );
  });
  if (linear && stock.limit_deg !== undefined)
    say.error(['stock', 'limit_deg'], 'found it beside a linear platform; allowed: its strokes are its limits');
  const half = (given: SizesFile | undefined): Sizes => sizesOf(given ?? HALF_DEG, toRad(1));
  const keep_azimuths = stock.crank_azimuth === undefined && (stock.keep ?? []).includes('base');
  const height: SizesFile = { from: Math.min(5, room.height_mm), to: room.height_mm };
  return {
    base_radius_mm: radius('base_radius_mm'),
    plate_radius_mm: radius('plate_radius_mm'),
    base_half_rad: half(stock.base_half_angle_deg),
    plate_half_rad: half(stock.plate_half_angle_deg),
    crank_mm: cranks('crank_mm', platform?.crank_mm ?? NaN),
    rod_mm: cranks('rod_mm', platform?.rod_mm ?? NaN),
    stroke_mm: linear ? (stock.stroke_mm ?? (platform.stroke_mm ? [platform.stroke_mm] : [])) : null,
    home_z_mm: stock.home_z_mm !== undefined ? sizesOf(stock.home_z_mm) : linear ? sizesOf(height) : null,
    facing:
      linear || keep_azimuths ? ['outward'] : [...new Set(stock.crank_azimuth ?? (['outward', 'inward'] as const))],
    keep_azimuths,
    keep: [...new Set(stock.keep ?? [])],
    limit_rad: stock.limit_deg === undefined || linear ? null : sizesOf(stock.limit_deg, toRad(1)),
  };
}

/** Without what does not fit the room; an error where nothing does. */
function within(sizes: Sizes, key: 'base_radius_mm' | 'plate_radius_mm', room: Room, say: Say): Sizes {
  const most = room[key];
  const smallest = lowestOf(sizes);
  if (smallest > most) {
    say.error(
      ['room', key],
      `found ${short(most, 2)}; allowed: ${short(smallest, 2)} mm or more, the smallest in stock.${key}`,
    );
    return sizes;
  }
  if ('list' in sizes) return { list: sizes.list.filter((size) => size <= most) };
  return { lowest: smallest, highest: Math.min(sizes.highest, most) };
}

/** Places of the servo classes that something may have. */
const takenOf = (legs: readonly number[], axes: Want['axes']): number[] => [
  ...new Set([...legs, ...axes.flatMap((axis) => axis.servos)]),
];

/** Price counts where all that may be bought has one. */
function usualBetter(servos: readonly ServoChoice[], taken: readonly number[]): readonly Better[] {
  const priced = taken.length > 0 && taken.every((i) => servos[i]?.price !== null);
  return USUAL.filter((better) => better !== 'price' || priced);
}

/** Nothing to do is done by any design. */
function checkAsked({ must: { travel, follow } }: Want, say: Say): void {
  if (follow || travel.some(({ minus, plus }) => minus < 0 || plus > 0)) return;
  say.error(
    ['must'],
    'found nothing that is asked; allowed: a travel above 0, such as { yaw_deg: 14 }, or a stream to follow',
  );
}

/** Classes that nothing may have are none. */
function checkTaken({ servos, leg_servos, axes }: Want, say: Say): void {
  if (servos.length === 0 || takenOf(leg_servos, axes).length > 0) return;
  const allowed = 'a class for the legs, one that a joint of axes names, or no servos at all, to keep the given rig’s';
  say.error(['servos'], `found legs: false on every class, and no joint of axes that names one; allowed: ${allowed}`);
}

/** Prices must be there where they count. */
function checkBetter({ better, servos, leg_servos, axes }: Want, say: Say): void {
  if (!better.includes('price')) return;
  const at = ['better'];
  if (servos.length === 0)
    return say.error(
      at,
      'found price, but this file has no servo class; allowed: servos with prices, or better without price',
    );
  const without = takenOf(leg_servos, axes)
    .map((i): ServoChoice | undefined => servos[i])
    .find((choice) => choice?.price === null);
  if (without) say.error(['servos', without.name], 'price is missing, and price is named in better');
}

/** Six bodies evenly round a circle have their centres its radius apart: on a smaller one than a body is thick, or beneath it, there is no room. */
function checkBodies({ base, room, clearance }: Want, say: Say): void {
  if (base.platform?.drive !== 'crank') return;
  const body = clearance.servo_body_mm;
  const size = body.map((mm) => short(mm)).join(' x ');
  const check = (key: 'base_radius_mm' | 'height_mm', least: number, who: string): void => {
    if (room[key] >= least) return;
    const message = `found ${short(room[key], 2)}; allowed: ${short(least, 2)} mm or more, or ${who} of ${size} mm`;
    say.error(['room', key], `${message} have no room`);
  };
  check('base_radius_mm', Math.min(...body), 'six servo bodies');
  check('height_mm', Math.min(...body), 'servo bodies');
}

/** A plate that stays as it is must fit the room: nothing that is searched makes it smaller. */
function checkKept({ stock, room }: Want, platform: Platform, say: Say): void {
  for (const plate of stock.keep) {
    const radius_mm = plateRadius_mm(platform, plate === 'base' ? 'base' : 'moving');
    const key = `${plate}_radius_mm` as const;
    if (!(radius_mm <= room[key] + ROUNDED_MM))
      say.error(
        ['room', key],
        `found ${short(room[key], 2)}; allowed: ${short(radius_mm, 2)} mm or more, as far out as the joints of the ${plate} are that stock.keep keeps`,
      );
  }
}

/** Of a radius worked out from six points. */
const ROUNDED_MM = 1e-6;
