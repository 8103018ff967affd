/** The console of the bring-up: a prompt, one verb a line, until q. Between two lines the prop holds still. */
import { SettleAsked } from '../../bringup/person.ts';
import type { Bench } from '../../bringup/session/bench.ts';
import type { VerbOutcome } from '../../bringup/verb.ts';
import { VERBS, parseVerb, runVerb } from '../../bringup/verbs.ts';
import { stateWords, walkedWords } from '../../bringup/verbs/guard.ts';
import { targetWords } from '../../replay/target.ts';
import { capital } from '../../rig/words.ts';
import type { AtConsole } from './console-person.ts';
import { withAnswers } from './rig-files.ts';

const CAUTION =
  'Caution: it can pinch and drop weight, and software is no safety device: hands clear, and a real power switch within reach.';

/** Columns of the help. */
const WIDE = 98;

/** Lines of at most so many columns, all but the first set in. */
function wrapped(text: string): string {
  const lines = [''];
  for (const word of text.split(' ')) {
    const last = lines.at(-1) ?? '';
    if (last !== '' && last.length + 1 + word.length > WIDE) lines.push(`    ${word}`);
    else lines[lines.length - 1] = last === '' ? word : `${last} ${word}`;
  }
  return lines.join('\n');
}

/** `jog JOINT ±DEG: moves one joint …`, a sentence a verb. */
export const helpWords = (): string =>
  [
    ...Object.values(VERBS).map(({ takes, says }) => wrapped(`${takes}: ${says}.`)),
    'q, or quit: settles and leaves. help: this.',
  ].join('\n');

/** Until the person leaves. Rejects with TargetError when the target no longer answers. */
export async function runConsole(bench: Bench, person: AtConsole): Promise<VerbOutcome[]> {
  const outcomes: VerbOutcome[] = [];
  person.say(CAUTION);
  person.say(
    `${capital(targetWords(bench.target))} has ${bench.rig.name}. It is ${stateWords(bench)} ${walkedWords(bench)}`,
  );
  for (;;) {
    const typed = await nextLine(bench, person);
    if (typed === null || ['q', 'quit'].includes(typed)) return outcomes;
    if (typed === '') continue;
    if (typed === 'help') {
      person.say(helpWords());
      continue;
    }
    const words = withAnswers(parseVerb(typed, bench.rig));
    if ('problem' in words) {
      person.say(`${capital(words.problem)}.`);
      continue;
    }
    person.forget();
    person.give(words.readings);
    const outcome = await runVerb(bench, person, words);
    if (outcome.ended !== null)
      person.say(`${capital(words.verb)} ended early: ${outcome.ended}. It is ${stateWords(bench)}`);
    outcomes.push(outcome);
  }
}

/** What was typed, without spaces around; null: no more. The one key settles, and the prompt comes again. */
async function nextLine(bench: Bench, person: AtConsole): Promise<string | null> {
  for (;;) {
    person.forget();
    try {
      const line = await bench.holding(
        person,
        person.line(`${bench.aloneName ?? bench.rig.name} (help; ${person.keys}; q leaves)> `),
      );
      return line === null ? null : line.trim();
    } catch (error) {
      if (!(error instanceof SettleAsked)) throw error;
      if (bench.state !== 'limp') await bench.settle();
      person.say(`It is ${stateWords(bench)}`);
    }
  }
}
