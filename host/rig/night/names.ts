/**
 * What the night of a rig file says of its other groups: inputs, sounds, joints and columns by their names, lines that a board has,
 * and whether shows may start with nobody there. Looks at a night that is right in itself, and at joints as far as they can be read.
 */
import { BOARD_KINDS, nightPins } from '../boards.ts';
import { between } from '../fields.ts';
import { type Night, boardStarts, columnPlaces, inputPins, outputPins, unattendedStarts } from './night.ts';
import type { Path, Say } from '../problem.ts';
import { type Joint, type Rig, toDeg } from '../rig.ts';
import type { NightFile } from './schema.ts';
import { warnedOf } from './warned.ts';
import { either, nearest, short, together } from '../words.ts';

/** What a board keeps of a night. */
export const MOST_LINES = { inputs: 8, outputs: 4, analog: 4 } as const;
/** Bytes of a show's name. */
export const MOST_NAME = 32;

export function checkNight(file: NightFile, rig: Rig, say: Say): void {
  const { night } = rig;
  if (!night) return;
  linesFit(night, say);
  showNames(night, say);
  idleNames(file, rig, say);
  lidPlaces(file, rig.joints, say);
  unattended(night, rig, say);
  warnedOf(file, night, rig, say);
  boardPins(night, rig, say);
}

function checkName(name: string, known: readonly string[], what: string, path: Path, say: Say): void {
  if (known.includes(name)) return;
  const close = nearest(name, known);
  const allowed =
    close === undefined
      ? 'there is none'
      : `allowed: ${either(known)}${known.length > 2 ? ` (nearest: ${close})` : ''}`;
  say.error(path, `found ${name}, ${what}; ${allowed}`);
}

function linesFit(night: Night, say: Say): void {
  const tell = (path: Path, found: number, most: number, what: string): void => {
    if (found > most) say.error(path, `found ${String(found)} ${what}; allowed: up to ${String(most)}`);
  };
  tell(['night', 'inputs'], inputPins(night).length, MOST_LINES.inputs, 'inputs, the button included');
  tell(
    ['night', 'sounds'],
    outputPins(night).length,
    MOST_LINES.outputs,
    'output lines: the light, the warning and the sounds',
  );
  tell(['night', 'analog'], night.analog.length, MOST_LINES.analog, 'analog inputs');
}

function showNames(night: Night, say: Say): void {
  const inputs = night.inputs.map(({ name }) => name);
  const sounds = night.sounds.map(({ name }) => name);
  for (const { name, start, sound, sound_at_s } of night.shows) {
    const path = ['night', 'shows', name];
    const { length } = new TextEncoder().encode(name);
    if (length > MOST_NAME)
      say.error(path, `found a name of ${String(length)} bytes; allowed: up to ${String(MOST_NAME)}`);
    if (start !== null) checkName(start, inputs, 'and night.inputs has no input of that name', [...path, 'start'], say);
    if (sound !== null) checkName(sound, sounds, 'and night.sounds has no sound of that name', [...path, 'sound'], say);
    else if (sound_at_s !== null)
      say.error([...path, 'sound_at_s'], 'found a time for a sound, but no sound; allowed: sound: NAME beside it');
  }
}

function idleNames({ idle }: NightFile, rig: Rig, say: Say): void {
  const columns = [...columnPlaces(rig.joints, rig.platform !== null).keys()];
  for (const key of ['look', 'breath'] as const)
    for (const column of Object.keys(idle?.[key] ?? {}))
      checkName(column, columns, 'which is no column of a stream for this rig', ['night', 'idle', key, column], say);
}

function lidPlaces({ idle }: NightFile, joints: readonly Joint[], say: Say): void {
  const axes = joints.filter(({ kind }) => kind === 'axis');
  for (const [name, lid] of Object.entries(idle?.lids ?? {})) {
    const path = ['night', 'idle', 'lids', name];
    const joint = axes.find((axis) => axis.name === name);
    if (!joint) {
      checkName(
        name,
        axes.map((axis) => axis.name),
        'which is no joint that could be an eyelid',
        path,
        say,
      );
      continue;
    }
    const [lo, hi] = [toDeg(joint.lo), toDeg(joint.hi)];
    for (const key of ['open_deg', 'shut_deg'] as const) {
      const at = lid[key];
      if (at !== undefined && !(at >= lo - ROUNDING && at <= hi + ROUNDING))
        say.error(
          [...path, key],
          `found ${short(at)}; allowed: within limit_deg of ${name}, ${between(lo, hi, 'deg')}`,
        );
    }
  }
}

/** Of limits that were turned into rad and back, deg. */
const ROUNDING = 1e-6;

/** What a rig lacks for shows that nobody watches, in words. */
export const unattendedLacks = ({ audience, board, rest }: Pick<Rig, 'audience' | 'board' | 'rest'>): string[] => [
  ...(audience === 'behind_barrier' ? [] : [`audience: behind_barrier (found ${audience})`]),
  ...(board?.stop ? [] : ['a stop switch, board.stop']),
  ...(rest === 'powered' ? ['a rest that is not powered'] : []),
];

function unattended(night: Night, rig: Rig, say: Say): void {
  const lacks = unattendedLacks(rig);
  if (lacks.length === 0) return;
  for (const { path, what } of unattendedStarts(night))
    say.error(path, `found ${what}: a prop may move with nobody there only with ${together(lacks)}`);
}

/** Pins that the board does not have for it do nothing: an error of the one that warns, and of the button where the board starts shows. */
function boardPins(night: Night, { board }: Rig, say: Say): void {
  if (!board || !BOARD_KINDS.includes(board.kind)) return;
  const { plain, analog } = nightPins(board.kind);
  const tell = (
    path: Path,
    pin: number,
    all: readonly (readonly [number, number])[],
    what: string,
    how: keyof Say = 'warning',
  ): void => {
    if (all.some(([first, last]) => pin >= first && pin <= last)) return;
    const allowed = together(all.map(([first, last]) => `${String(first)} to ${String(last)}`));
    say[how](path, `found ${String(pin)}; a ${board.kind} has pins ${allowed} for it: ${what}`);
  };
  const { light_pin, warn_pin, button_pin } = night;
  if (light_pin !== null) tell(['night', 'light_pin'], light_pin, plain, 'it would do nothing');
  if (warn_pin !== null && warn_pin !== light_pin)
    tell(['night', 'warn_pin'], warn_pin, plain, 'nobody would be warned before the prop moves', 'error');
  const needed = boardStarts(night).length > 0;
  if (button_pin !== null)
    tell(['night', 'button_pin'], button_pin, plain, 'the button would do nothing', needed ? 'error' : 'warning');
  for (const { name, pin } of night.inputs) tell(['night', 'inputs', name, 'pin'], pin, plain, 'nothing would start');
  for (const { name, pin } of night.sounds) tell(['night', 'sounds', name], pin, plain, 'no sound would start');
  for (const { name, pin } of night.analog) tell(['night', 'analog', name], pin, analog, 'it would read 0');
}
