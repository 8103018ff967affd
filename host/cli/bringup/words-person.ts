/** The person of a script: readings come with the words, everything that is to be done is taken as done. */
import type { Person, Question } from '../../bringup/person.ts';
import type { Bench } from '../../bringup/session/bench.ts';
import { VerbEnded, type VerbWords } from '../../bringup/verb.ts';
import { toShown } from '../../rig/rig.ts';

export interface Scripted extends Person {
  /** The words of the verb that comes next. */
  begin(bench: Bench, words: VerbWords): void;
  /** From now on `settles` says so, until the next verb. */
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

/** Whether the joint is asked beyond a place at which the words say that it binds. */
function bindsAt(bench: Bench, { joint: name, binds }: VerbWords): boolean {
  if (name === null || binds.length === 0) return false;
  const joint = bench.joint(name);
  const [at, centre] = [toShown(joint, bench.place), toShown(joint, joint.centre)];
  return binds.some((end) => (end >= centre ? at >= end : at <= end));
}
