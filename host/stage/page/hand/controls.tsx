/** What the hand does, for who does not drag: one choice of what moves, one stepper, and the few acts as words. */
import { useComputed } from '@preact/signals';
import type { JSX, TargetedEvent } from 'preact';
import { toDeg, toRad } from '../../../rig/rig.ts';
import { columns, handValues, look } from '../state.ts';
import { lookPoint, mirror, moveTo, moving, showsRange, stepOf, toggleLookAt } from './asking.ts';
import { LookShares } from './look-shares.tsx';

/** A column's name as people say it. */
export function columnWords(column: string): string {
  const known: Readonly<Record<string, string>> = {
    x_mm: 'forward and back, mm',
    y_mm: 'left and right, mm',
    z_mm: 'up and down, mm',
    roll_deg: 'roll, deg',
    pitch_deg: 'look up and down, deg',
    yaw_deg: 'look left and right, deg',
  };
  return known[column] ?? `${column.replace(/_deg$/, '').replaceAll('_', ' ')}, deg`;
}

function Stepper(): JSX.Element {
  const i = moving.value;
  // As it is shown: nothing is drawn anew for what the rounding hides.
  const shown = useComputed(() => {
    const value = handValues.value?.[moving.value] ?? look.value?.asked[moving.value] ?? NaN;
    return Math.round((moving.value < 3 ? value : toDeg(value)) * 10) / 10;
  }).value;
  const set = (event: TargetedEvent<HTMLInputElement>): void => {
    const to = event.currentTarget.valueAsNumber;
    if (Number.isFinite(to)) moveTo([[i, i < 3 ? to : toRad(to)]]);
  };
  return (
    <>
      <label>
        what moves
        <select value={i} onChange={(event) => (moving.value = Number(event.currentTarget.value))}>
          {columns.value.map((column, k) => (
            <option key={column} value={k}>
              {columnWords(column)}
            </option>
          ))}
        </select>
      </label>
      <input
        type="number"
        aria-label={columnWords(columns.value[i] ?? '')}
        step={i < 3 ? stepOf(i) : Math.round(toDeg(stepOf(i)))}
        value={Number.isFinite(shown) ? shown : ''}
        onInput={set}
      />
    </>
  );
}

interface Act {
  readonly name: string;
  readonly key: string;
  readonly act: () => void;
  readonly isOn?: boolean;
}

const Button = ({ name, key_, act, isOn }: Omit<Act, 'key'> & { readonly key_: string }): JSX.Element => (
  <button type="button" onClick={act} aria-pressed={isOn} aria-keyshortcuts={key_}>
    {name} <kbd>{key_}</kbd>
  </button>
);

export function Controls(): JSX.Element {
  const acts: Act[] = [
    { name: 'look at', key: 'L', act: toggleLookAt, isOn: lookPoint.value !== null },
    { name: 'mirror', key: 'M', act: mirror },
    { name: 'range', key: 'R', act: () => (showsRange.value = !showsRange.value), isOn: showsRange.value },
  ];
  return (
    <div class="controls" role="group" aria-label="move by hand">
      <Stepper />
      {lookPoint.value && <LookShares />}
      {acts.map(({ key, ...one }) => (
        <Button key={one.name} key_={key} {...one} />
      ))}
    </div>
  );
}
