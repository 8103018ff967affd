/** What of a night only shows once its shows are known: starts that come while a show plays, and sounds that are not heard, in words. */
import type { Night } from '../rig/night/night.ts';
import type { Rig } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import { nightOf } from './plan.ts';

export interface CueFault {
  /** Of the rig file. */
  readonly path: readonly (string | number)[];
  readonly message: string;
  readonly severity: 'error' | 'warning';
}

/** A show as it is played. */
export interface ShowLength {
  readonly name: string;
  readonly seconds: number;
  /** When its stream says that its sound is heard, s; null: it does not. */
  readonly heard_s: number | null;
}

/** A player takes up to about 300 ms from its line to its sound (common practice); far more is a slip. */
const LONG_MS = 500;

/** In the order of the file. */
export const cueFaults = (rig: Rig, shows: readonly ShowLength[]): CueFault[] => [
  ...shows.flatMap((show) => soundFault(nightOf(rig), show)),
  ...scheduleFaults(nightOf(rig), shows),
];

function soundFault({ shows }: Night, { name, seconds, heard_s }: ShowLength): CueFault[] {
  const its = shows.find((show) => show.name === name);
  if (!its || its.sound === null) return [];
  const path = ['night', 'shows', name];
  const at_s = its.sound_at_s ?? heard_s ?? 0;
  const from = its.sound_at_s === null && heard_s !== null ? ', as its stream says' : '';
  const closes_s = at_s - its.sound_lead_ms / 1000;
  const lead = `sound_lead_ms ${short(its.sound_lead_ms)}`;
  if (Math.max(at_s, closes_s) > seconds) {
    const after = closes_s > at_s ? ` and its line closed at ${short(closes_s, 2)} s (${lead})` : '';
    const message = `the sound of ${name} would be heard at ${short(at_s, 2)} s${from}${after}, but the show ends at ${short(seconds, 2)} s; allowed: up to then`;
    return [{ path: [...path, its.sound_at_s === null ? 'sound' : 'sound_at_s'], message, severity: 'error' }];
  }
  if (1000 * closes_s >= -LONG_MS) return [];
  const message = `${lead} closes the line of a sound heard at ${short(at_s, 2)} s${from} ${short(-closes_s, 2)} s before the first frame of ${name}, while the prop is still on its way there; a player takes 0 to 300 ms as a rule`;
  return [{ path: [...path, 'sound_lead_ms'], message, severity: 'warning' }];
}

/** Each start waits for the show before it; the first has none before it. */
function scheduleFaults(night: Night, shows: readonly ShowLength[]): CueFault[] {
  return night.schedule.flatMap(({ after_s, show }, i): CueFault[] => {
    const before = night.schedule[i - 1];
    const seconds = shows.find(({ name }) => name === before?.show)?.seconds;
    if (!before || seconds === undefined) return [];
    const warn_s = night.idle ? 0 : night.warn_s;
    const takes_s = warn_s + night.cross_s + seconds;
    if (after_s >= takes_s) return [];
    const when = after_s === 0 ? 'at the same time as' : `${String(after_s)} s after`;
    const ways = `${night.idle ? '' : `${short(warn_s, 2)} s of warning, `}${short(night.cross_s, 2)} s to the first frame and ${short(seconds, 2)} s of show`;
    const message = `${show} is due ${when} ${before.show}, which takes ${short(takes_s, 2)} s (${ways}): it would start late, when ${before.show} is over; allowed without that: ${String(Math.ceil(takes_s))} or more`;
    return [{ path: ['night', 'schedule', i, 'after_s'], message, severity: 'warning' }];
  });
}
