/**
 * The persons of `--do`: a script's, whose readings come with the words and for whom all that is to be done is taken as done; and one at
 * a terminal before a real prop, who is asked.
 */
import type { Person, Question } from '../../bringup/person.ts';
import type { Bench } from '../../bringup/session/bench.ts';
import { VerbEnded, type VerbWords } from '../../bringup/verb.ts';
import { toShown } from '../../rig/rig.ts';
import type { AtConsole } from './console-person.ts';

export interface Scripted extends Person {
  /** The words of the verb that comes next. Rejects with SettleAsked. */
  begin(bench: Bench, words: VerbWords): Promise<void>;
  /** From now on `settles` says so: verbs that follow end at once, too. */
  settleNow(): void;
}

export function wordsPerson(tell: (words: string) => void): Scripted {
  let readings: string[] = [];
  let isBinding = (): boolean => false;
  let settling = false;
  return {
    begin(bench, words) {
      readings = [...words.readings];
      isBinding = () => bindsAt(bench, words);
      return Promise.resolve();
    },
    settleNow() {
      settling = true;
    },
    say: tell,
    ask(question: Question) {
      tell(question.text);
      if (question.unit === null) return Promise.resolve('');
      const reading = readings.shift();
      if (reading !== undefined) return Promise.resolve(reading);
      return Promise.reject(new VerbEnded(`there is no reading= left to answer with: ${question.text}`));
    },
    binds: () => isBinding(),
    settles: () => settling,
  };
}

/** Verbs before which nobody need be asked: they move nothing, or bring it to rest. */
const CALM = ['state', 'settle', 'stop', 'clear'];
export const movesIt = ({ verb, estimate }: VerbWords): boolean => !CALM.includes(verb) && estimate.table === null;

/** Asks at the terminal before the first motion of every verb, and for every reading that was not given; its keys are heard. */
export function askingPerson(at: AtConsole): Scripted {
  let isBinding = (): boolean => false;
  let settling = false;
  return {
    async begin(bench, words) {
      at.forget();
      at.give(words.readings);
      isBinding = () => bindsAt(bench, words);
      // What is limp is asked about before it wakes.
      if (bench.state === 'limp' || !movesIt(words)) return;
      const what = [words.verb, words.joint ?? [], words.number ?? []].flat().join(' ');
      await bench.ask(at, {
        id: 'verb.ready',
        joint: words.joint,
        text: `Next is "${what}", and the prop is awake: hands clear, then press Enter.`,
        unit: null,
      });
    },
    settleNow() {
      settling = true;
    },
    say: (words) => {
      at.say(words);
    },
    ask: (question) => at.ask(question),
    binds: () => at.binds() || isBinding(),
    settles: () => settling || at.settles(),
  };
}

/** Whether the joint is asked beyond a place at which the words say that it binds. */
function bindsAt(bench: Bench, { joint: name, binds }: VerbWords): boolean {
  if (name === null || binds.length === 0) return false;
  const joint = bench.joint(name);
  const [at, centre] = [toShown(joint, bench.place), toShown(joint, joint.centre)];
  return binds.some((end) => (end >= centre ? at >= end : at <= end));
}
