/** What is asked for now and then: other takes, their names, blending, idle life, a film of the prop. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { samplesOf } from '../../take/curve.ts';
import { type Idle, type IdlePart, USUAL_IDLE, idleLayer } from '../../take/idle.ts';
import { curveOf } from '../../take/take.ts';
import { endsOf } from '../sound/joints.ts';
import { change, columns, cursor_s, lanes, said, take } from '../state.ts';
import { fetchTake, names, newTake, openTake, saveAs } from './files.ts';
import { film, filming, whyNoFilm } from './film.ts';

const other = signal('');

async function blend(): Promise<void> {
  const got = await fetchTake(other.value);
  if (typeof got === 'string') said.value = got;
  else change({ kind: 'blend', other: got, at_s: cursor_s.value, fade_s: 0.5 }, `blend ${got.name} in`);
}

export const TakesPanel = (): JSX.Element => (
  <details>
    <summary>{`Takes: ${take.value.name}`}</summary>
    <div class="row">
      <label>
        take{' '}
        <select value={other.value} onChange={(event) => (other.value = event.currentTarget.value)}>
          <option value="">choose one</option>
          {names.value.map((name) => (
            <option key={name}>{name}</option>
          ))}
        </select>
      </label>
      <button type="button" disabled={other.value === ''} onClick={() => void openTake(other.value)}>
        Open
      </button>
      <button type="button" disabled={other.value === ''} onClick={() => void blend()}>
        Blend in at the cursor
      </button>
      <button type="button" onClick={() => void newTake()}>
        New take
      </button>
    </div>
    <form
      class="row"
      onSubmit={(event) => {
        event.preventDefault();
        const name = new FormData(event.currentTarget).get('name');
        if (typeof name === 'string' && name.trim() !== '') void saveAs(name.trim());
      }}
    >
      <label>
        save as <input name="name" maxLength={80} autocomplete="off" />
      </label>
      <button type="submit">Save</button>
      <Film />
    </form>
  </details>
);

/** In words where there can be none. */
const Film = (): JSX.Element => {
  const fault = filming.value === 'no' ? whyNoFilm() : null;
  return fault === null ? (
    <button type="button" aria-pressed={filming.value !== 'no'} onClick={film}>
      {filming.value === 'no' ? 'Film the take' : 'End the film'}
    </button>
  ) : (
    <span class="hint">{`No film: ${fault}`}</span>
  );
};

const idle = signal<Idle>(USUAL_IDLE);
const FIGURES: readonly (readonly [keyof Idle, string, number])[] = [
  ['blinks_per_min', 'blinks a minute', 1],
  ['blink_times', 'a blink lasts, times a person’s', 0.5],
  ['breaths_per_min', 'breaths a minute', 1],
  ['breath_size', 'breath lifts by, mm', 0.2],
  ['gazes_per_min', 'glances a minute', 1],
  ['gaze_deg', 'glances go to, deg', 0.5],
  ['seed', 'variation', 1],
];

const lidsOf = (): readonly string[] => lanes.value.find(({ name }) => name === 'Lids')?.columns ?? [];

function partsOf({ blinks_per_min, breaths_per_min, gazes_per_min }: Idle): IdlePart[] {
  const has = (column: string): boolean => columns.value.includes(column);
  return [
    ...(blinks_per_min > 0
      ? lidsOf().map((column): IdlePart => ({ column, part: 'blink', shut: endsOf(column).far }))
      : []),
    ...(breaths_per_min > 0 && has('z_mm') ? [{ column: 'z_mm', part: 'breath' } as const] : []),
    ...(gazes_per_min > 0
      ? ['yaw_deg', 'pitch_deg'].filter(has).map((column, axis): IdlePart => ({ column, part: 'gaze', axis }))
      : []),
  ];
}

function live(): void {
  const { seconds } = take.value;
  const parts = partsOf(idle.value);
  const base = new Map(
    parts.map(({ column }) => {
      const keys = curveOf(take.value, column)?.keys ?? [
        { t_s: 0, value: column.endsWith('_deg') ? endsOf(column).home : 0 },
      ];
      return [column, samplesOf(keys, seconds)] as const;
    }),
  );
  change({ kind: 'layer', from_s: 0, samples: idleLayer(idle.value, parts, base, seconds) }, 'add idle life');
  said.value = `idle life is laid over ${[...new Set(parts.map(({ column }) => column))].join(', ')}`;
}

export const IdlePanel = (): JSX.Element => (
  <details>
    <summary>Idle life</summary>
    <div class="row">
      {FIGURES.map(([name, words, step]) => (
        <label key={name}>
          {words}{' '}
          <input
            type="number"
            min="0"
            step={step}
            value={idle.value[name]}
            onInput={(event) =>
              (idle.value = { ...idle.value, [name]: Math.max(0, Number(event.currentTarget.value)) })
            }
          />
        </label>
      ))}
      <button type="button" onClick={live}>
        Lay it over the take
      </button>
    </div>
  </details>
);
