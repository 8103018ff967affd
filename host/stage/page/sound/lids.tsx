/** Lids that move on the sound's stresses: how far, how long and how loud a stress is, all by ear; one edit in the end. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { valueAt } from '../../take/curve.ts';
import { USUAL_JAW, loudness, stressMoves, stresses } from '../../take/jaw.ts';
import { FRAME_HZ, curveOf } from '../../take/take.ts';
import { history, lanes, said, take } from '../state.ts';
import { Figure } from './figure.tsx';
import { endsOf, renewed } from './joints.ts';
import { voice } from './voice.ts';

const WORDS = 'move the lids on stresses';
/** Null: a quarter of the way, from where they stand toward the farther limit. */
const by_deg = signal<number | null>(null);
const for_s = signal(0.3);
const least = signal(0.6);

const lids = (): readonly string[] => lanes.value.find(({ name }) => name === 'Lids')?.columns ?? [];
const standsAt = (column: string, t_s: number): number => {
  const value = valueAt(curveOf(take.value, column)?.keys ?? [], t_s);
  return Number.isNaN(value) ? endsOf(column).home : value;
};

function usual_deg(): number {
  const [first] = lids();
  if (first === undefined) return 0;
  const { lo, hi } = endsOf(first);
  const quarter = Math.round((hi - lo) / 4);
  return standsAt(first, 0) > (lo + hi) / 2 ? -quarter : quarter;
}

function moveLids(): void {
  const now = voice.value;
  if (!now) return;
  const loud = loudness(now.audio, now.buffer.sampleRate, USUAL_JAW);
  const at_s = take.value.sound?.at_s ?? 0;
  const skipped = Math.max(0, Math.round(-at_s * FRAME_HZ));
  const from_s = Math.max(0, at_s);
  const share = stressMoves(loud, least.value, for_s.value).subarray(skipped);
  const by = (by_deg.value ??= usual_deg());
  renewed(WORDS, () => {
    const samples = lids().map((column) => {
      const { lo, hi } = endsOf(column);
      const moved = share.map((part, n) =>
        Math.max(lo, Math.min(hi, standsAt(column, from_s + n / FRAME_HZ) + part * by)),
      );
      return [column, moved] as const;
    });
    return { kind: 'layer', from_s, samples: new Map(samples) };
  });
  said.value = `the lids move on ${String(stresses(loud, least.value).length)} stresses`;
}

/** Renews what was just made; else it only keeps the figure. */
const setting =
  (figure: { value: number | null }): ((value: number) => void) =>
  (value) => {
    figure.value = value;
    if (history.value.past.at(-1)?.words === WORDS) moveLids();
  };

export const Lids = (): JSX.Element | null =>
  lids().length === 0 ? null : (
    <div class="row" role="group" aria-label="lids on stresses">
      <button type="button" disabled={!voice.value} onClick={moveLids}>
        Move the lids on its stresses
      </button>
      {voice.value && (
        <>
          <Figure words="by, deg" value={by_deg.value ?? usual_deg()} set={setting(by_deg)} />
          <Figure words="there and back in, s" value={for_s.value} min={0.1} step={0.05} set={setting(for_s)} />
          <Figure
            words="from this share of the loudest on"
            value={least.value}
            min={0.1}
            step={0.1}
            set={setting(least)}
          />
        </>
      )}
    </div>
  );
