/**
 * The rig's inputs, for a rig that has responses: one is chosen and worked by hand, and the prop in the page responds. Those of a board
 * are its own.
 */
import { computed, signal } from '@preact/signals';
import type { JSX } from 'preact';
import { sensesOf } from '../../../rig/senses.ts';
import { ask } from '../engine/client.ts';
import { about, rig, said } from '../state.ts';

interface Input {
  readonly name: string;
  /** An analog one, from 0 to 1 of full scale; otherwise it is open or closed to ground. */
  readonly isAnalog: boolean;
  /** Its bit, or its place. */
  readonly at: number;
}

/** As the controller has them. */
const FULL_SCALE = 65535;
const STEP = 0.01;

const inputs = computed((): readonly Input[] => {
  if (!rig.value || about.value?.responds !== true) return [];
  const { inputs: pins, analog } = sensesOf(rig.value);
  const named = (list: Readonly<Record<string, number>>, isAnalog: boolean): Input[] =>
    Object.entries(list).map(([name, at]) => ({ name, isAnalog, at }));
  return [...named(analog, true), ...named(pins, false)];
});
/** By name: 0 (open) or 1, or a share of full scale; what is not here is 0. */
const levels = signal<Readonly<Record<string, number>>>({});
const chosen = signal(0);

const levelOf = ({ name }: Input): number => levels.value[name] ?? 0;

function set(next: Readonly<Record<string, number>>): void {
  levels.value = next;
  const analog = [0, 0, 0, 0];
  let closed = 0;
  for (const input of inputs.value)
    if (input.isAnalog) analog[input.at] = Math.round(levelOf(input) * FULL_SCALE);
    else if (levelOf(input) > 0) closed |= 1 << input.at;
  ask({ do: 'sense', closed, analog });
}

const words = (input: Input): string =>
  input.isAnalog ? `${levelOf(input).toFixed(2)} of full scale` : levelOf(input) > 0 ? 'closed' : 'open';

const Slider = ({ input }: { readonly input: Input }): JSX.Element => (
  <>
    <input
      type="range"
      min={0}
      max={1}
      step={STEP}
      value={levelOf(input)}
      aria-label={input.name}
      aria-valuetext={words(input)}
      onInput={(event) => set({ ...levels.value, [input.name]: event.currentTarget.valueAsNumber })}
    />
    <output>{words(input)}</output>
  </>
);

const Switch = ({ input }: { readonly input: Input }): JSX.Element => (
  <button
    type="button"
    aria-pressed={levelOf(input) > 0}
    onClick={() => set({ ...levels.value, [input.name]: 1 - levelOf(input) })}
  >
    {`close ${input.name}`}
  </button>
);

/** Those that are not at rest and not in hand, and the way back. */
function Others({ but }: { readonly but: Input }): JSX.Element | null {
  const on = inputs.value.filter((input) => levelOf(input) > 0);
  if (on.length === 0) return null;
  const others = on.filter(({ name }) => name !== but.name).map((input) => `${input.name}: ${words(input)}`);
  const letGo = (): void => {
    set({});
    said.value = 'every input is let go';
  };
  return (
    <>
      {others.length > 0 && <span>{others.join(', ')}</span>}
      <button type="button" onClick={letGo}>
        let all go
      </button>
    </>
  );
}

/** Nothing where the rig has no responses, or no inputs. */
export function Senses(): JSX.Element | null {
  const all = inputs.value;
  const input = all[Math.min(chosen.value, all.length - 1)];
  if (!input) return null;
  return (
    <div class="senses" role="group" aria-label="what it senses, in the page">
      <label>
        it senses
        <select value={all.indexOf(input)} onChange={(event) => (chosen.value = Number(event.currentTarget.value))}>
          {all.map(({ name }, k) => (
            <option key={name} value={k}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {input.isAnalog ? <Slider input={input} /> : <Switch input={input} />}
      <Others but={input} />
    </div>
  );
}
