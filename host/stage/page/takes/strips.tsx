/** The lanes that are folded: a strip each with the curves small, that opens when it is pressed. */
import type { JSX } from 'preact';
import type { Lane } from '../../take/lanes.ts';
import { curveOf } from '../../take/take.ts';
import { lanes, openLane, take } from '../state.ts';
import { curvePath, scaleOf } from './draw.ts';
import { Now } from './lane.tsx';
import { Stretched } from './stretched.tsx';
import { activeColumn, lane, span } from './view.ts';

const HIGH = 18;

function Strip({ of }: { readonly of: Lane }): JSX.Element {
  const curves = of.columns.flatMap((name) => curveOf(take.value, name) ?? []);
  const open = (): void => {
    openLane.value = of.name;
    activeColumn.value = null;
  };
  return (
    <button
      type="button"
      class="strip"
      onClick={open}
      aria-label={`open ${of.name}${curves.length === 0 ? ', empty' : ''}`}
    >
      <span>{of.name}</span>
      <Stretched high={HIGH}>
        {curves.map(({ column, keys }) => (
          <path
            key={column}
            class="asked"
            d={curvePath(
              keys,
              span.value,
              scaleOf(
                keys.map(({ value }) => value),
                HIGH,
              ),
            )}
          />
        ))}
        <Now high={HIGH} />
      </Stretched>
    </button>
  );
}

export const Strips = (): JSX.Element => (
  <div class="strips">
    {lanes.value
      .filter(({ name }) => name !== lane.value?.name)
      .map((of) => (
        <Strip key={of.name} of={of} />
      ))}
  </div>
);
