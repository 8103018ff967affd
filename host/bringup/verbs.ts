/** The verbs of the bring-up: their words read and checked, and one run with its result. */
import { TargetError } from '../replay/conversation.ts';
import type { Rig } from '../rig/rig.ts';
import { together } from '../rig/words.ts';
import { type Person, SettleAsked } from './person.ts';
import type { Bench } from './session/bench.ts';
import { numberIn } from './session/answers.ts';
import { NOTHING, type Verb, type VerbDone, VerbEnded, type VerbOutcome, type VerbWords } from './verb.ts';
import { isOption, optionsOf } from './verb-options.ts';
import { CENTRE } from './verbs/centre.ts';
import { ESTIMATE } from './verbs/estimate.ts';
import { CLEAR, ROUSE, SETTLE, STATE, STOP } from './verbs/guard.ts';
import { JOG, PULSE } from './verbs/jog.ts';
import { SCALE } from './verbs/scale.ts';
import { SWAP } from './verbs/swap.ts';
import { WALK } from './verbs/walk.ts';

/** By their names, in the order of the work. */
export const VERBS: Readonly<Record<string, Verb>> = {
  state: STATE,
  rouse: ROUSE,
  settle: SETTLE,
  stop: STOP,
  clear: CLEAR,
  pulse: PULSE,
  centre: CENTRE,
  jog: JOG,
  walk: WALK,
  scale: SCALE,
  swap: SWAP,
  estimate: ESTIMATE,
};

interface Problem {
  readonly problem: string;
}

/** A verb's words; or, in a sentence, what is wrong with them. */
export function parseVerb(text: string, rig: Rig): VerbWords | Problem {
  const [name = '', ...rest] = text.trim().split(/\s+/);
  const verb = Object.hasOwn(VERBS, name) ? VERBS[name] : undefined;
  if (!verb) return { problem: `"${name.slice(0, 40)}" is not a verb; there is ${together(Object.keys(VERBS))}` };
  const wrong = (why: string): Problem => ({ problem: `${why}; it takes: ${verb.takes}` });
  const options = optionsOf(name, rest.filter(isOption));
  if ('problem' in options) return wrong(options.problem);
  const plain = rest.filter((word) => !isOption(word));
  const joint = verb.joint === 'none' ? null : (plain.shift() ?? null);
  if (joint === null && verb.joint === 'must') return wrong(`${name} needs a joint`);
  if (joint !== null && !rig.joints.some((it) => it.name === joint))
    return wrong(`this rig has no joint "${joint.slice(0, 40)}", it has ${together(rig.joints.map((it) => it.name))}`);
  const typed = verb.number ? plain.shift() : null;
  if (verb.number && typed === undefined) return wrong(`say ${verb.number.says}`);
  const number = verb.number ? numberIn(typed ?? '', null, verb.number) : null;
  if (typeof number === 'object' && number !== null) return wrong(`${verb.number?.says ?? ''}: ${number.problem}`);
  if (plain.length > 0) return wrong(`${name} does not take "${plain.join(' ').slice(0, 40)}"`);
  if (verb.rodsOff && !options.rodsOff)
    return wrong(
      `${name} turns the servo to where a rod could break: take the rods off the joint, and say so with --rods-off`,
    );
  return { verb: name, joint, number, ...options };
}

/**
 * Runs a verb. Where it cannot go on, the prop settles and the outcome says why; what it had found is not written then.
 * @param begin comes first, and may end it as the verb itself may.
 * Rejects with TargetError when the target no longer answers.
 */
export async function runVerb(
  bench: Bench,
  person: Person,
  words: VerbWords,
  begin: () => Promise<void> = () => Promise.resolve(),
): Promise<VerbOutcome> {
  const verb = VERBS[words.verb];
  if (!verb) throw new RangeError(`no verb ${words.verb}`);
  const text = bench.text;
  const told = { verb: words.verb, joint: words.joint };
  try {
    await begin();
    const done = await verb.run(bench, person, words);
    // What a verb took in on its way is taken in once more, as one change.
    bench.draft.restore(text);
    bench.draft.change(done.changes);
    return { ...told, ...done, written: bench.draft.keep(text), ended: null };
  } catch (error) {
    bench.draft.restore(text);
    if (error instanceof TargetError) throw error;
    if (!(error instanceof VerbEnded) && !(error instanceof SettleAsked)) throw error;
    await settleIfAble(bench);
    const ended = error instanceof VerbEnded ? error.message : 'settled by you';
    return { ...told, ...(NOTHING satisfies VerbDone), written: null, ended };
  }
}

async function settleIfAble(bench: Bench): Promise<void> {
  if (bench.state !== 'limp') await bench.settle();
}
