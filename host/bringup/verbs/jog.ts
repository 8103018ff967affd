/** `jog` moves a joint alone by so much; `pulse` moves a bare servo to a pulse. */
import { pulseAt, positionAt } from '../../rig/pulse.ts';
import { short } from '../../rig/words.ts';
import { pulseSpan } from '../bench-rig.ts';
import { type Verb, VerbEnded } from '../verb.ts';
import { amount, placeWords, restsAlone, shownAt } from './places.ts';

export const JOG: Verb = {
  takes: 'jog JOINT ±DEG',
  says: 'moves one joint alone by so many degrees (mm), within its soft limits, at 20 deg/s at most',
  joint: 'must',
  number: { says: 'how far, in degrees or mm', least: -720, most: 720 },
  rodsOff: false,
  async run(bench, person, { joint: name, number }) {
    const joint = bench.joint(name ?? '');
    const isThere = bench.aloneName === joint.name && Number.isFinite(bench.place);
    const from = isThere ? bench.place : joint.rest;
    const to = from + amount(joint, number ?? 0, number ?? 0);
    if (!(to >= joint.lo && to <= joint.hi))
      throw new VerbEnded(
        `${joint.name} would be at ${placeWords(joint, to)}, and its soft limits are ${placeWords(joint, joint.lo)} and ${placeWords(joint, joint.hi)}`,
      );
    if (!isThere) await restsAlone(bench, person, joint);
    await bench.moveTo(person, to);
    person.say(`${joint.name} stands at ${placeWords(joint, to)}, ${short(pulseAt(joint, to), 0)} µs.`);
    return { before: { at: shownAt(joint, from) }, after: { at: shownAt(joint, to) }, changes: [] };
  },
};

export const PULSE: Verb = {
  takes: 'pulse JOINT US --rods-off',
  says: 'moves a servo with nothing on it to a pulse, slowly, within its range',
  joint: 'must',
  number: { says: 'a pulse in µs', least: 100, most: 10_000 },
  rodsOff: true,
  async run(bench, person, { joint: name, number }) {
    const joint = bench.joint(name ?? '');
    const us = number ?? joint.centre_us;
    const [least, most] = joint.range_us;
    if (!(us >= least && us <= most))
      throw new VerbEnded(
        `${short(us, 0)} µs is outside range_us of ${joint.name}, ${short(least)} to ${short(most)} µs`,
      );
    await bench.alone(
      person,
      joint,
      pulseSpan(joint),
      joint.centre,
      `Take everything off ${joint.name}, fingers clear: it jumps to ${short(joint.centre_us, 0)} µs at its own full speed. Then press Enter.`,
    );
    const from = pulseAt(joint, bench.place);
    await bench.moveTo(person, positionAt(joint, us));
    person.say(`${joint.name} has ${short(us, 0)} µs.`);
    return { before: { pulse_us: from }, after: { pulse_us: us }, changes: [] };
  },
};
