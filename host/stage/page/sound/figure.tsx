/** A number with its words and unit, as the panels of the sound ask for it. */
import type { JSX } from 'preact';

export const Figure = (props: {
  readonly words: string;
  readonly value: number;
  readonly min?: number;
  readonly step?: number;
  readonly set: (value: number) => void;
}): JSX.Element => (
  <label>
    {props.words}{' '}
    <input
      type="number"
      min={props.min}
      step={props.step ?? 1}
      value={props.value}
      onInput={({ currentTarget: { value, valueAsNumber } }) => value !== '' && props.set(valueAsNumber)}
    />
  </label>
);
