/** Who does how much of a look at the point: shown while there is one, for what the rig has. */
import type { JSX } from 'preact';
import { rig } from '../state.ts';
import { shares } from './asking.ts';
import { type Shares, carriersOf, headShares } from './look-at.ts';

function Share({ of, words }: { readonly of: keyof Shares; readonly words: string }): JSX.Element {
  const set = (value: number): void => {
    if (value >= 0 && value <= 100) shares.value = { ...shares.value, [of]: value / 100 };
  };
  return (
    <label>
      {words}
      <input
        type="number"
        min={0}
        max={100}
        step={10}
        value={Math.round(shares.value[of] * 100)}
        onInput={(event) => set(event.currentTarget.valueAsNumber)}
      />
    </label>
  );
}

export function LookShares(): JSX.Element | null {
  if (!rig.value) return null;
  const { hasEyes, hasNeck, hasPlatform } = carriersOf(rig.value);
  const isShared = hasNeck && hasPlatform;
  return (
    <>
      {hasEyes && <Share of="eyes" words="eyes’ share, %" />}
      {isShared && <Share of="neck" words={hasEyes ? 'neck’s share of what is left, %' : 'neck’s share, %'} />}
      {hasPlatform && (hasEyes || hasNeck) && (
        <span>{`platform: ${String(Math.round(headShares(rig.value, shares.value).platform * 100))} %`}</span>
      )}
    </>
  );
}
