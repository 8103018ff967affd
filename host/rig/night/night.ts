/** The night of a rig: its shows' starts and sounds, the board's pins for them, and the life between them. Lengths mm, angles rad. */
import { type Joint, POSE_KEYS, toRad } from '../rig.ts';
import type { NightFile } from './schema.ts';

/** How far one value of a frame goes to either side: pose 0 to 5, joint j of the rig 6 + j; mm or rad. */
export interface Amount {
  readonly place: number;
  readonly by: number;
}

export interface NightInput {
  readonly name: string;
  readonly pin: number;
  readonly kind: 'edge' | 'level';
  /** Closed at rest. */
  readonly inverted: boolean;
  readonly by: 'attendant' | 'visitor';
}

export interface NamedPin {
  readonly name: string;
  readonly pin: number;
}

export interface NightShow {
  /** Of its stream. */
  readonly name: string;
  /** Names of an input and of a sound; null: none. */
  readonly start: string | null;
  readonly sound: string | null;
  readonly sound_ms: number;
  /** How long the player takes from its line's closing to its sound. */
  readonly sound_lead_ms: number;
  /** When the sound is heard, from the show's first frame; null: when its stream says so, or else at once. */
  readonly sound_at_s: number | null;
}

export interface Night {
  /** Null: there is none. */
  readonly light_pin: number | null;
  readonly warn_pin: number | null;
  readonly button_pin: number | null;
  readonly warn_s: number;
  readonly cross_s: number;
  readonly debounce_ms: number;
  readonly loop: boolean;
  readonly pause_s: number;
  readonly idle: {
    readonly look: readonly Amount[];
    readonly breath: readonly Amount[];
    /** By place in a frame; rad. */
    readonly lids: readonly { readonly place: number; readonly open: number; readonly shut: number }[];
  } | null;
  readonly inputs: readonly NightInput[];
  readonly analog: readonly NamedPin[];
  readonly sounds: readonly NamedPin[];
  readonly shows: readonly NightShow[];
  /** Each so long after the one before, the first after power. */
  readonly schedule: readonly { readonly after_s: number; readonly show: string }[];
}

const POSE = POSE_KEYS.length;

/** Columns of a stream that a rig of these joints can have, each with its place in a frame. */
export const columnPlaces = (joints: readonly Pick<Joint, 'name' | 'kind'>[], hasPlatform: boolean) =>
  new Map<string, number>([
    ...(hasPlatform ? POSE_KEYS.map((key, place) => [key, place] as const) : []),
    ...joints.flatMap(({ name, kind }, j) => (kind === 'leg' ? [] : [[`${name}_deg`, POSE + j] as const])),
  ]);

const pinsOf = (pins: Readonly<Record<string, number>>): NamedPin[] =>
  Object.entries(pins).map(([name, pin]) => ({ name, pin }));

export function buildNight(file: NightFile, joints: readonly Joint[], hasPlatform: boolean): Night {
  const { light_pin = null, button_pin = null } = file;
  return {
    light_pin,
    warn_pin: file.warn_pin ?? light_pin,
    button_pin,
    warn_s: file.warn_s,
    cross_s: file.cross_s,
    debounce_ms: file.debounce_ms,
    loop: file.loop,
    pause_s: file.pause_s,
    idle: file.idle ? idleOf(file.idle, joints, hasPlatform) : null,
    inputs: Object.entries(file.inputs).map(([name, input]) => ({ name, ...input })),
    analog: pinsOf(file.analog),
    sounds: pinsOf(file.sounds),
    shows: Object.entries(file.shows).map(([name, show]) => ({
      name,
      ...show,
      start: show.start ?? null,
      sound: show.sound ?? null,
      sound_at_s: show.sound_at_s ?? null,
    })),
    schedule: file.schedule,
  };
}

/** What names no value of this rig is left out: it is an error of the file (names.ts). */
function idleOf(file: NonNullable<NightFile['idle']>, joints: readonly Joint[], hasPlatform: boolean): Night['idle'] {
  const places = columnPlaces(joints, hasPlatform);
  const amounts = (given: Readonly<Record<string, number>>): Amount[] =>
    Object.entries(given).flatMap(([column, by]) => {
      const place = places.get(column);
      return place === undefined ? [] : [{ place, by: column.endsWith('_mm') ? by : toRad(by) }];
    });
  const lids = Object.entries(file.lids).flatMap(([name, { open_deg, shut_deg }]) => {
    const j = joints.findIndex((joint) => joint.name === name);
    const joint = joints[j];
    if (!joint) return [];
    return [{ place: POSE + j, open: toRad(open_deg), shut: shut_deg === undefined ? joint.lo : toRad(shut_deg) }];
  });
  return { look: amounts(file.look), breath: amounts(file.breath), lids };
}

/** Inputs of a board as the night counts them: those of the file, then the button. */
export const inputPins = ({ inputs, button_pin }: Night): NamedPin[] => [
  ...inputs,
  ...(button_pin === null ? [] : [{ name: 'the button', pin: button_pin }]),
];

/** Output lines likewise: the light, the line that warns where it is another, then the sounds. */
export const outputPins = ({ light_pin, warn_pin, sounds }: Night): NamedPin[] => [
  ...(light_pin === null ? [] : [{ name: 'the light', pin: light_pin }]),
  ...(warn_pin === null || warn_pin === light_pin ? [] : [{ name: 'the warning', pin: warn_pin }]),
  ...sounds,
];

/** What starts shows with nobody at a computer: key paths of the file, with what each is in words. */
export function boardStarts(night: Night): { path: string[]; what: string }[] {
  const byAttendant = night.shows.filter(({ start }) =>
    night.inputs.some(({ name, by }) => name === start && by === 'attendant'),
  );
  return [
    ...unattendedStarts(night),
    ...byAttendant.map(({ name, start }) => ({
      path: ['night', 'shows', name, 'start'],
      what: `${start ?? ''}, which the attendant closes`,
    })),
  ];
}

/** What starts shows without anybody who watches: key paths of the file, with what each is in words. */
export function unattendedStarts({ loop, schedule, inputs, shows }: Night): { path: string[]; what: string }[] {
  const byVisitor = shows.filter(({ start }) => inputs.some(({ name, by }) => name === start && by === 'visitor'));
  return [
    ...(loop ? [{ path: ['night', 'loop'], what: 'shows that follow each other by themselves' }] : []),
    ...(schedule.length > 0 ? [{ path: ['night', 'schedule'], what: 'shows that start by themselves' }] : []),
    ...byVisitor.map(({ name, start }) => ({
      path: ['night', 'shows', name, 'start'],
      what: `${start ?? ''}, which a visitor closes`,
    })),
  ];
}
