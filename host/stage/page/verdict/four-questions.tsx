/** The four questions in one line, each with its answer in a word; its sentence opens when it is looked at. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { toldWords } from '../../../replay/verdict.ts';
import type { WhyAnswer } from '../../../why/result.ts';
import { answers, judging } from '../state.ts';

/** The question whose sentence is open. */
const open = signal<string | null>(null);

export function FourQuestions(): JSX.Element {
  if (answers.value.length === 0)
    return <p class="questions-none">{judging.value ? 'Judging the take …' : 'The take asks for nothing yet.'}</p>;
  return (
    <ul class="questions" aria-busy={judging.value} aria-label="the four questions">
      {answers.value.map((answer) => (
        <Question key={answer.question} {...answer} />
      ))}
    </ul>
  );
}

function Question({ question, verdict, because }: WhyAnswer): JSX.Element {
  const isOpen = open.value === question;
  const show = (): void => void (open.value = question);
  const hide = (): void => void (open.value = null);
  return (
    <li onMouseEnter={show} onMouseLeave={hide}>
      <button type="button" aria-expanded={isOpen} onFocus={show} onBlur={hide} onClick={show}>
        {question} <strong class={`told-${verdict}`}>{toldWords(verdict)}</strong>
      </button>
      <p class="because" hidden={!isOpen}>
        {because}
      </p>
    </li>
  );
}
