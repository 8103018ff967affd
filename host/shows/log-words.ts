/** What a log says, in words: when, in which show, what happened, and for the how manyeth time. */
import { RESULT } from '../controller/messages.ts';
import type { Rig } from '../rig/rig.ts';
import { SHOWS } from './layout.ts';
import { HOW, type LogEvent } from './log-frames.ts';
import type { Log } from './log.ts';

/** What the words need besides the log. */
export interface Told {
  /** The wall clock when the log was read, s since 1970; null: not known. */
  readonly unix_s: number | null;
  /** Seconds since 1970 as a time of day. */
  timeOfDay(unix_s: number): string;
  /** Names of the joints, in the rig's order; null: only numbers are known. */
  readonly names: readonly string[] | null;
}

/** An event as it is told. */
export interface EventLine {
  /** A time of day, or how long after which power-on. */
  readonly when: string;
  /** Whose it is: a joint's name, or empty. */
  readonly joint: string;
  readonly what: string;
  /** Somebody should look at it. */
  readonly isTrouble: boolean;
}

const NUMBER = ['', 'first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth', 'ninth', 'tenth'];
const ordinal = (n: number): string => NUMBER[n] ?? `${String(n)}th`;
const volts = (v: number): string => `${v.toFixed(1)} V`;

/** A length of time, as it is said: "2 h 03 min", "41 s". */
export function spell(seconds: number): string {
  const s = Math.floor(seconds);
  if (s < 60) return `${String(s)} s`;
  const [hours, minutes] = [Math.floor(s / 3600), Math.floor((s % 3600) / 60)];
  if (hours > 0) return `${String(hours)} h ${String(minutes).padStart(2, '0')} min`;
  return `${String(minutes)} min ${String(s % 60).padStart(2, '0')} s`;
}

/** When it was, s since 1970; null: nobody knows. What happened since the last power-on is counted back from now. */
function unixOf({ unix_s, boots, at_s }: LogEvent, log: Log, told: Told): number | null {
  if (unix_s !== null) return unix_s;
  return told.unix_s !== null && boots === log.boots ? told.unix_s - (log.uptime_s - at_s) : null;
}

export function whenWords(event: LogEvent, log: Log, told: Told): string {
  const unix = unixOf(event, log, told);
  return unix === null ? `${spell(event.at_s)} after power, power-on ${String(event.boots)}` : told.timeOfDay(unix);
}

export const jointName = (i: number, names: readonly string[] | null): string => names?.[i] ?? `joint ${String(i + 1)}`;

/** "in 'startle' at 0:21", as far as it is known. */
function whereWords({ show, name, second }: LogEvent): string {
  if (show === null) return '';
  const which = name === '' ? `show ${String(show + 1)}` : `'${name}'`;
  if (second === null) return ` in ${which}`;
  return ` in ${which} at ${String(Math.floor(second / 60))}:${String(second % 60).padStart(2, '0')}`;
}

const RESETS = ['power came', 'the watchdog reset it', 'it was reset by its reset pin'];

function tripWords(event: LogEvent): string {
  switch (event.detail) {
    case 1:
      return 'the line brought too many broken frames';
    case 2:
      return event.value > 0 ? `supply fell to ${volts(event.value / 1000)}` : 'supply fell too low';
    case 4:
      return `ticks came too late, one took ${(event.value / 1000).toFixed(1)} ms`;
    case 6:
      return 'the firmware hung, and the watchdog reset it';
    case 8:
      return 'a response failed';
    default:
      return `it tripped, reason ${String(event.detail)}`;
  }
}

const REFUSED: Readonly<Record<number, string>> = {
  5: 'no night is stored',
  6: 'the night is for another rig',
  7: 'somebody has to look and clear it first',
  8: 'it was too warm',
  9: 'a show is damaged',
  11: 'the button was held down',
  12: 'the stop loop was open',
  32: 'the rig was packed without audience: behind_barrier, and nothing starts unattended without a barrier',
  33: 'the rig has no stop loop, and nothing starts unattended without one',
  34: 'its rest needs power, and nothing starts unattended then',
  35: 'its log could not be written in time',
};

const STOPPED_BY: readonly string[] = [
  'the stop was pressed, or its loop opened',
  'it was stopped over the link',
  'the button was pressed',
  'the stop was pressed, or its loop opened, while nothing moved',
];

/** What an event is, without its joint, show and time. */
export function kindWords(event: LogEvent): string {
  switch (event.kind) {
    case 'power':
      return RESETS[event.detail] ?? 'it started';
    case 'started':
      return event.show === null && event.detail < SHOWS
        ? `it began to move, for show ${String(event.detail + 1)}`
        : 'it began to move';
    case 'stopped':
      return 'it came to rest';
    case 'trip':
      return tripWords(event);
    case 'stop':
      return STOPPED_BY[event.detail] ?? 'it was stopped';
    case 'cleared':
      return 'somebody cleared it';
    case 'refused':
      return `no start: ${REFUSED[event.detail] ?? (event.detail === RESULT.notNow ? 'wrong state' : `result ${String(event.detail)}`)}`;
    case 'response':
      return 'a response failed and is switched off';
    case 'damaged':
      return 'the show’s bytes in flash are damaged';
    default:
      return 'something this program does not know';
  }
}

/** A hint where to look, and no more: no servo tells what it draws or where it is. */
function hintWords({ how, joint }: LogEvent, names: readonly string[] | null): string {
  if ((how & HOW.reset) !== 0) return '; a reset came before it could be written, so joint and show are not known';
  if (joint === null) return '';
  const name = jointName(joint, names);
  if (how === HOW.hardest) return `; of all joints ${name} was asked for most of its speed then`;
  return how === HOW.behind ? `; ${name} was furthest behind what was asked` : '';
}

const TROUBLE: readonly LogEvent['kind'][] = ['trip', 'response', 'damaged'];
/** What is counted aloud when it comes again. */
const COUNTED: readonly LogEvent['kind'][] = ['trip', 'stop', 'refused', 'response', 'damaged'];

export function eventLine(event: LogEvent, log: Log, told: Told): EventLine {
  const again = event.same > 1 && COUNTED.includes(event.kind) ? `, ${ordinal(event.same)} time since power-on` : '';
  const lost = event.lost > 0 ? `; before it ${String(event.lost)} could not be noted` : '';
  return {
    when: whenWords(event, log, told),
    joint: event.joint === null ? '' : jointName(event.joint, told.names),
    what: `${kindWords(event)}${whereWords(event)}${again}${hintWords(event, told.names)}${lost}`,
    isTrouble: TROUBLE.includes(event.kind),
  };
}

/** Names of the rig's joints when it is the rig that the board runs; null: it is not, or none was given. */
export const namesOf = (rig: Rig | null): readonly string[] | null => rig && rig.joints.map(({ name }) => name);

/** What is modelled and not measured: said wherever figures of the record are shown. */
export const MODELLED: readonly string[] = [
  'Delivered is what the controller commanded: a hobby servo does not tell where it is. A servo that was blocked looks as if it had moved.',
  'Warmth is a model of each servo’s own heating, from what the shows ask and a time constant, and not a temperature: 1 is what it may bear for ever.',
  'Supply is measured where the board has a divider for it, and only there.',
  'The joint named beside a trip is a hint where to look first. The controller sees no current and no load, so it cannot tell which joint caused it.',
];
