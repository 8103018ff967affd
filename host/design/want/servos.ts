/** The servo classes of a want file: figures resolved as a rig's are, pulses from the class of the legs where they say nothing. */
import { OFFER } from '../../rig/class-file.ts';
import type { Problem, Say } from '../../rig/problem.ts';
import type { Rig } from '../../rig/rig.ts';
import { groups, isLinear } from '../../rig/schema.ts';
import { buildServo } from '../../rig/servo.ts';
import { faultsOf } from '../../rig/shape.ts';
import { Sources } from '../../rig/sources.ts';
import type { WantFile } from './schema.ts';
import type { ServoChoice } from './want.ts';

type Raw = Readonly<Record<string, unknown>>;

/** What a class takes from the class of the legs unless it says it itself: how pulses go, and what may be used. */
const INHERITED = [
  'frame_hz',
  'centre_us',
  'us_per_deg',
  'us_per_mm',
  'range_us',
  'deadband_us',
  'continuous_use',
  'peak_use',
  'no_pulse',
] as const;

const group = (value: unknown): Raw => (typeof value === 'object' && value !== null ? (value as Raw) : {});

/** In the order of the file; with `say` told all that is wrong with them. */
export function servoChoices(file: WantFile, base: Raw, rig: Rig, say: Say): ServoChoice[] {
  const known = group(base['servos']);
  const platform = group(base['platform']);
  const legs = group(known[String(platform['servo'])]);
  return Object.entries(file.servos ?? {}).flatMap(([name, given]): ServoChoice[] => {
    const own = Object.fromEntries(Object.entries(given).filter(([key]) => !Object.hasOwn(OFFER, key)));
    const isKnown = Object.hasOwn(known, name);
    if (isKnown && Object.keys(own).length > 0) {
      const message = `found a class that the given rig has as well; allowed: its price alone, or another name`;
      say.error(['servos', name], message);
      return [];
    }
    const keys = isKnown ? group(known[name]) : { ...inherited(legs, own), ...own };
    const choice = resolved(name, keys, rig, say);
    if (choice && (choice.servo.drive === 'linear') !== (rig.platform?.drive === 'linear') && given.legs !== false) {
      const needs = rig.platform?.drive === 'linear' ? 'linear servos' : 'servos that turn';
      say.error(['servos', name], `found a class of the other kind; allowed: ${needs}, or legs: false`);
    }
    return choice ? [{ ...choice, price: given.price ?? null, body_mm: given.body_mm ?? null }] : [];
  });
}

function inherited(legs: Raw, own: Raw): Raw {
  const linear = isLinear(own);
  const other = linear ? 'us_per_deg' : 'us_per_mm';
  const same = isLinear(legs) === linear;
  const keys = INHERITED.filter((key) => legs[key] !== undefined && key !== other && (same || key === 'frame_hz'));
  return Object.fromEntries(keys.map((key) => [key, legs[key]]));
}

function resolved(name: string, keys: Raw, rig: Rig, say: Say): Omit<ServoChoice, 'price' | 'body_mm'> | null {
  const read = groups.servo.safeParse(keys);
  if (!read.success) {
    for (const { path, message } of read.error.issues.flatMap((issue) => faultsOf(issue)))
      say.error(['servos', name, ...path], message);
    return null;
  }
  const found: Pick<Problem, 'severity'>[] = [];
  const heard: Say = {
    error: (path, message) => {
      found.push({ severity: 'error' });
      say.error(path, message);
    },
    warning: (path, message) => {
      say.warning(path, message);
    },
  };
  const built = buildServo(name, read.data, rig.supply?.voltage_v ?? null, new Sources(), heard);
  return found.length > 0 ? null : { name, file: keys, ...built };
}
