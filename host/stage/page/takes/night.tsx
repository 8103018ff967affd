/** Takes as a show for the board: chosen, named, packed by the server as the command line packs them. */
import { computed, signal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { MadeNight, NightAnswer } from '../../about.ts';
import { said, take } from '../state.ts';
import { listTakes, names, save } from './files.ts';

/** Files of the takes that go in. */
const inIt = signal<ReadonlySet<string>>(new Set());
const called = signal('night');
const packing = signal(false);
const answer = signal<NightAnswer | null>(null);
/** As the folder lists them: those that are gone are left out. */
const takes = computed(() => names.value.filter((name) => inIt.value.has(name)));

function choose(name: string, isIn: boolean): void {
  const next = new Set(inIt.value);
  if (isIn) next.add(name);
  else next.delete(name);
  inIt.value = next;
}

async function asked(): Promise<NightAnswer> {
  const file = `${called.value.trim()}.pwshow`;
  const response = await fetch(`nights/${encodeURIComponent(file)}`, {
    method: 'PUT',
    body: JSON.stringify(takes.value),
  }).catch(() => null);
  if (!response) return { refused: ['the program that keeps the takes does not answer'] };
  const isAnswer = response.headers.get('Content-Type') === 'application/json';
  return isAnswer ? ((await response.json()) as NightAnswer) : { refused: [await response.text()] };
}

async function pack(): Promise<void> {
  // What is open goes in as it is now.
  if (!(await save())) return;
  [packing.value, answer.value] = [true, null];
  said.value = 'packing: every take is replayed as the board will play it';
  const got = await asked();
  [packing.value, answer.value] = [false, got];
  said.value = 'refused' in got ? 'the night is refused: why stands beneath its button' : madeWords(got);
}

/** As minutes and seconds. */
function lengthWords(all_s: number): string {
  const minutes = Math.floor(all_s / 60);
  const rest = `${(all_s - minutes * 60).toFixed(1)} s`;
  return minutes > 0 ? `${String(minutes)} min ${rest}` : rest;
}

function madeWords({ file, bytes, shows }: MadeNight): string {
  const all_s = shows.reduce((sum, { seconds }) => sum + seconds, 0);
  const count = shows.length === 1 ? '1 show' : `${String(shows.length)} shows`;
  return `${file} is in the rig’s folder: ${count}, ${lengthWords(all_s)}, ${(bytes / 1024).toFixed(1)} KiB`;
}

const Sentences = ({ lead, all }: { readonly lead: string; readonly all: readonly string[] }): JSX.Element => (
  <>
    <p>{lead}</p>
    <ul>
      {all.map((one) => (
        <li key={one}>{one}</li>
      ))}
    </ul>
  </>
);

function Told({ got }: { readonly got: NightAnswer }): JSX.Element {
  if ('refused' in got) return <Sentences lead="No night was made:" all={got.refused} />;
  return (
    <>
      <p>{`${madeWords(got)}.`}</p>
      {got.warnings.length > 0 && <Sentences lead="Know that:" all={got.warnings} />}
      <p>
        Next, onto the board: <code>{got.next}</code>
      </p>
    </>
  );
}

/** What came of it comes into view. */
function Answer(): JSX.Element {
  const place = useRef<HTMLDivElement>(null);
  const got = answer.value;
  useEffect(() => {
    if (got) place.current?.scrollIntoView({ block: 'nearest' });
  }, [got]);
  return <div ref={place}>{got && <Told got={got} />}</div>;
}

export const NightPanel = (): JSX.Element => (
  <details class="night" onToggle={(event) => event.currentTarget.open && void listTakes()}>
    <summary>Night: takes as a board show</summary>
    <p class="hint">The board plays them alone, without this computer.</p>
    <fieldset class="row">
      <legend>takes that go in</legend>
      {names.value.map((name) => (
        <label key={name}>
          <input
            type="checkbox"
            checked={inIt.value.has(name)}
            onChange={(event) => choose(name, event.currentTarget.checked)}
          />
          {name.replace(/\.csv$/, '')}
        </label>
      ))}
      {!names.value.includes(`${take.value.name}.csv`) && (
        <span class="hint">{`${take.value.name} is here once there is something in it`}</span>
      )}
    </fieldset>
    <form
      class="row"
      onSubmit={(event) => {
        event.preventDefault();
        void pack();
      }}
    >
      <label>
        night’s name{' '}
        <input
          maxLength={80}
          autocomplete="off"
          value={called.value}
          onInput={(event) => (called.value = event.currentTarget.value)}
        />
      </label>
      <button type="submit" disabled={packing.value || takes.value.length === 0 || called.value.trim() === ''}>
        {packing.value ? 'Packing' : 'Pack the night'}
      </button>
    </form>
    <Answer />
  </details>
);
