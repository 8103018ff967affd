/** Workshop: why the take is as it is, limits that its servos could keep, and the board. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { STYLE } from '../../../report/style.ts';
import { TUNE_STYLE } from '../../../report/tune-style.ts';
import { TOLD } from '../../../report/why-report.ts';
import { Board } from '../board/board.tsx';
import { take } from '../state.ts';
import { lookInto, stopWork } from '../verdict/client.ts';
import { FourQuestions } from '../verdict/four-questions.tsx';
import type { Task } from '../verdict/protocol.ts';
import type { Take } from '../../take/take.ts';

/** What runs, and how far it is, 0 to 1. */
const running = signal<{ readonly task: Task; readonly share: number } | null>(null);
/** What was found, as markup of the reports, and of which take. */
const found = signal<Readonly<Partial<Record<Task, { readonly html: string; readonly take: Take }>>>>({});

/** The reports' own style, for what is theirs alone. */
let isStyled = false;
function style(): void {
  if (isStyled) return;
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`.looked { ${STYLE} ${TUNE_STYLE} ${TOLD} }`);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  isStyled = true;
}

async function run(task: Task): Promise<void> {
  const asked = take.value;
  running.value = { task, share: 0 };
  const html = await lookInto(task, (share) => {
    running.value = { task, share: Math.min(1, share) };
  });
  running.value = null;
  if (html !== null) found.value = { ...found.value, [task]: { html, take: asked } };
}

export function Workshop(): JSX.Element {
  style();
  return (
    <div class="workshop" role="region" aria-label="Workshop" tabIndex={0}>
      <h1>Workshop</h1>
      <FourQuestions />
      <Looked
        task="why"
        title="Why"
        lead="What may be the cause of what the take does, each with a test, a fix and what that costs."
      />
      <Looked
        task="tune"
        title="Tune"
        lead="Limits that the servos can keep with this take, tried on simulated metal."
      />
      <Board />
    </div>
  );
}

function Looked({
  task,
  title,
  lead,
}: {
  readonly task: Task;
  readonly title: string;
  readonly lead: string;
}): JSX.Element {
  const runs = running.value?.task === task ? running.value : null;
  const result = found.value[task];
  return (
    <section aria-labelledby={`${task}-title`}>
      <h2 id={`${task}-title`}>{title}</h2>
      <p class="lead">{lead}</p>
      <p class="acts">
        <button
          type="button"
          disabled={running.value !== null || take.value.curves.length === 0}
          onClick={() => void run(task)}
        >
          Look into {take.value.name}
        </button>
        {runs && (
          <>
            <progress value={runs.share} max={1} aria-label={`${title}: how far`} />
            <button type="button" onClick={stopWork}>
              Stop
            </button>
          </>
        )}
      </p>
      {result && result.take !== take.value && (
        <p class="lead">The take has changed since: this is of the one before.</p>
      )}
      {/* Made by the reports' own templates, which escape all text. */}
      {result && <div class="looked" dangerouslySetInnerHTML={{ __html: result.html }} />}
    </section>
  );
}
