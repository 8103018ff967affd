/** What a rig file says of its night, for `check`: the shows, what starts them, and the pins. */
import type { Rig } from '../rig/rig.ts';
import { type Night, inputPins } from '../rig/night/night.ts';
import { counted, together } from '../rig/words.ts';

export interface NightSummary {
  /** Names of the shows that the file names, under shows or schedule. */
  readonly shows: readonly string[];
  /** What starts them besides a computer, in words. */
  readonly starts: readonly string[];
  readonly pins: readonly { readonly what: string; readonly pin: number }[];
}

/** Null: the rig has none. */
export function summarizeNight({ night }: Rig): NightSummary | null {
  if (!night) return null;
  const shows = [...new Set([...night.shows.map(({ name }) => name), ...night.schedule.map(({ show }) => show)])];
  return { shows, starts: startsOf(night), pins: pinsOf(night) };
}

function startsOf({ schedule, loop, pause_s, shows, inputs }: Night): string[] {
  const byInput = shows.flatMap(({ name, start }) => {
    const input = inputs.find((one) => one.name === start);
    return input
      ? [`${input.name}, which ${input.by === 'visitor' ? 'a visitor' : 'the attendant'} closes (${name})`]
      : [];
  });
  return [
    ...(schedule.length > 0 ? [`a schedule of ${counted(schedule.length, 'start')}`] : []),
    ...(loop ? [`a loop with pauses of ${String(pause_s)} s`] : []),
    ...byInput,
  ];
}

function pinsOf(night: Night): NightSummary['pins'] {
  const { light_pin, warn_pin, analog, sounds } = night;
  const one = (what: string, pin: number | null) => (pin === null ? [] : [{ what, pin }]);
  return [
    ...one('light', light_pin),
    ...one('warning', warn_pin === light_pin ? null : warn_pin),
    ...inputPins(night).map(({ name, pin }) => ({ what: name === 'the button' ? 'button' : `input ${name}`, pin })),
    ...analog.map(({ name, pin }) => ({ what: `analog ${name}`, pin })),
    ...sounds.map(({ name, pin }) => ({ what: `sound ${name}`, pin })),
  ];
}

/** Two lines of a summary. */
export function nightRows(night: NightSummary | null): (readonly [string, string])[] {
  if (!night) return [];
  const { shows, starts, pins } = night;
  const named = shows.length === 0 ? 'names no show' : `shows ${together(shows)}`;
  const started = starts.length === 0 ? 'only a computer starts them' : `started by ${together(starts)}`;
  const where = pins.map(({ what, pin }) => `${what} ${String(pin)}`).join(', ');
  return [
    ['night', `${named}; ${started}`],
    ['', pins.length === 0 ? 'it has no pins' : `pins: ${where}`],
  ];
}
