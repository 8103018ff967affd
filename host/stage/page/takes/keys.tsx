/** The open column's keys: sliders that arrow keys and a drag move in time and value. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { type Key, curveOf } from '../../take/take.ts';
import { change, take } from '../state.ts';
import { addKey } from './commands.ts';
import { type Scale, valueOf, yOf } from './draw.ts';
import { WIDE, column, frame, plain, seconds, span, timeAt, unitOf, xOf } from './view.ts';

/** The key under a finger, where it would come to stand. */
export const dragged = signal<{ readonly from_s: number; readonly key: Key } | null>(null);
const FRAME_S = 1 / 50;

function put(name: string, from: Key, to: Key): void {
  const key = { t_s: Math.max(0, frame(to.t_s)), value: Math.round(to.value * 100) / 100 };
  change({ kind: 'key', column: name, key, instead_s: from.t_s }, `move a key of ${plain(name)}`);
}

function onKey(event: KeyboardEvent, name: string, key: Key): void {
  const large = event.shiftKey ? 10 : 1;
  const moves: Readonly<Record<string, Key>> = {
    ArrowLeft: { ...key, t_s: key.t_s - large * FRAME_S },
    ArrowRight: { ...key, t_s: key.t_s + large * FRAME_S },
    ArrowUp: { ...key, value: key.value + large * 0.5 },
    ArrowDown: { ...key, value: key.value - large * 0.5 },
  };
  const to = moves[event.key];
  if (to) put(name, key, to);
  else if (event.key === 'Delete')
    change({ kind: 'unkey', column: name, t_s: key.t_s }, `take out a key of ${plain(name)}`);
  else if (event.key === 'Enter') addKey(key.t_s + 0.2);
  else return;
  event.preventDefault();
  event.stopPropagation();
}

function drag(event: PointerEvent, name: string, key: Key, scale: Scale): void {
  event.stopPropagation();
  const mark = event.currentTarget as SVGElement;
  const box = mark.ownerSVGElement!.getBoundingClientRect();
  mark.setPointerCapture(event.pointerId);
  const to = ({ clientX, clientY }: PointerEvent): Key => ({
    t_s: timeAt((clientX - box.left) / box.width),
    value: valueOf(clientY - box.top, scale),
  });
  const move = (moved: PointerEvent): void => void (dragged.value = { from_s: key.t_s, key: to(moved) });
  mark.addEventListener('pointermove', move);
  const end = (): void => {
    mark.removeEventListener('pointermove', move);
    const now = dragged.value;
    dragged.value = null;
    if (now) put(name, key, now.key);
  };
  mark.addEventListener('pointerup', end, { once: true });
}

/** Nearer than this two keys are not both in reach, units of the width; of a recording's thousands those in view are shown. */
const MOST_KEYS = 120;
/** So many in view are drawn smaller. */
const CROWD = 25;

export function Keys({ scale }: { readonly scale: Scale }): JSX.Element | null {
  const name = column.value;
  if (name === null) return null;
  const { from_s, to_s } = span.value;
  const keys = (curveOf(take.value, name)?.keys ?? []).filter(({ t_s }) => t_s >= from_s && t_s <= to_s);
  if (keys.length > MOST_KEYS)
    return (
      <text class="hint" x="50%" y={scale.high - 8} text-anchor="middle">
        {`${String(keys.length)} keys: zoom in to move them`}
      </text>
    );
  return (
    <g role="group" aria-label={`keys of ${plain(name)}`}>
      {keys.map((key, n) => {
        const now = dragged.value?.from_s === key.t_s ? dragged.value.key : key;
        return (
          <circle
            key={n}
            class="key"
            role="slider"
            tabindex={0}
            aria-label={`key ${String(n + 1)} of ${plain(name)}`}
            aria-valuenow={Math.round(now.value * 100) / 100}
            aria-valuetext={`${now.value.toFixed(1)} ${unitOf(name)} at ${seconds(now.t_s)}`}
            cx={`${String((xOf(now.t_s) / WIDE) * 100)}%`}
            cy={yOf(now.value, scale)}
            r={keys.length > CROWD ? 3.5 : 6}
            onKeyDown={(event) => onKey(event, name, key)}
            onPointerDown={(event) => drag(event, name, key, scale)}
          />
        );
      })}
    </g>
  );
}
