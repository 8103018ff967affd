/** The guard's own words: rouse, settle, stop, clear, and what state the prop is in. */
import { RESULT, TYPE, resultText } from '../../controller/messages.ts';
import { slowWords } from '../../controller/slowed.ts';
import { toShown } from '../../rig/rig.ts';
import { short, together } from '../../rig/words.ts';
import { type Bench, WHOLE_READY } from '../session/bench.ts';
import { NOTHING, type Verb, VerbEnded } from '../verb.ts';
import { restsAlone } from './places.ts';

const CURES: Readonly<Record<string, string>> = {
  link: 'frames came damaged: look at the cable and its ground, then "clear"',
  'low supply': 'the supply sagged: charge the battery or take a stronger supply, then "clear"',
  'late ticks': 'the controller could not keep up: lower tick_hz, then "clear"',
  watchdog: 'the board was reset by its watchdog: "settle", then "clear"; if it comes again, please report it',
  'a response failed':
    'its responses.ts failed or took too long, and is off: "clear" lets it try again; replay with --inputs shows where it fails',
};

/** Where the prop stands, in a sentence or two. */
export function stateWords(bench: Bench): string {
  const { tripped, state } = bench;
  if (tripped !== null) return `tripped: ${tripped}. The cure: ${CURES[tripped] ?? '"settle", then "clear"'}.`;
  const stop = bench.stopOpen ? ' The stop input is open: close it before anything is roused.' : '';
  const at = bench.shownPlace();
  const who = bench.aloneName;
  if (state === 'limp') return `limp: no pulses, nothing holds.${stop}`;
  if (who === null || at === null) return `${state}: the whole prop.${stop}`;
  return `${state}: ${who} alone, at ${short(at)} ${bench.joint(who).unit}.${stop}`;
}

/** How a bring-up ended, once its bench is closed: only what is limp was given its own rig. */
export function endWords(bench: Bench): string {
  if (bench.state !== 'limp') return `It is ${stateWords(bench)} Its board was not given the rig as it is now.`;
  const slow = slowWords(bench.rig);
  return `The prop has settled. Its board has the rig ${bench.rig.name}${slow === null ? '' : `, and ${slow}`}.`;
}

/** Which joints are walked, in a sentence. */
export function walkedWords({ rig }: Pick<Bench, 'rig'>): string {
  const spans = rig.joints.flatMap((joint) =>
    joint.walked
      ? [`${joint.name} (${joint.walked.map((at) => short(toShown(joint, at))).join(' to ')} ${joint.unit})`]
      : [],
  );
  if (spans.length === 0) return 'No joint has been walked.';
  const left = rig.joints.filter(({ walked }) => !walked).map(({ name }) => name);
  return `Walked: ${together(spans)}. ${left.length > 0 ? `Not yet: ${together(left)}.` : 'That is all of them.'}`;
}

export const STATE: Verb = {
  takes: 'state',
  says: 'says what state the prop is in, why it tripped and what cures that, and which joints are walked',
  joint: 'none',
  number: null,
  rodsOff: false,
  run(bench, person) {
    person.say(`It is ${stateWords(bench)} ${walkedWords(bench)}`);
    return Promise.resolve(NOTHING);
  },
};

export const ROUSE: Verb = {
  takes: 'rouse [JOINT]',
  says: 'wakes one joint alone, or without a name the whole prop, slowly',
  joint: 'may',
  number: null,
  rodsOff: false,
  async run(bench, person, { joint }) {
    if (joint !== null) await restsAlone(bench, person, bench.joint(joint));
    else await bench.whole(person, WHOLE_READY);
    person.say(`It is ${stateWords(bench)}`);
    return NOTHING;
  },
};

export const SETTLE: Verb = {
  takes: 'settle',
  says: 'goes to the rest slowly, then stops the pulses',
  joint: 'none',
  number: null,
  rodsOff: false,
  async run(bench, person) {
    await bench.settle();
    person.say(`It is ${stateWords(bench)}`);
    return NOTHING;
  },
};

/** A word that the guard answers. */
const word = (name: 'stop' | 'clear', says: string): Verb => ({
  takes: name,
  says,
  joint: 'none',
  number: null,
  rodsOff: false,
  async run(bench, person) {
    const result = await bench.command(TYPE[name]);
    if (result !== RESULT.done)
      throw new VerbEnded(`${name} was refused (${resultText(result)}): it is ${stateWords(bench)}`);
    person.say(`It is ${stateWords(bench)}`);
    return NOTHING;
  },
});

export const STOP = word('stop', 'stops as the stop input does, in the way that the rig file chooses');
export const CLEAR = word('clear', 'clears a trip once its cause is gone; only while the prop is at rest');
