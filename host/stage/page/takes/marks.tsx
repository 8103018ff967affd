/** Marks on the spine, each with its word under the wave where there is room: moved by a drag or the arrows, taken out, named. */
import { useComputed, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Mark } from '../../take/take.ts';
import { change, cursor_s, take } from '../state.ts';
import { nameMark } from './commands.ts';
import { fitting } from './draw.ts';
import { markHere } from './mark-word.tsx';
import { WIDE, frame, seconds, span, timeAt, xOf } from './view.ts';

/** From a mark's line to its word, and from a word's end to the next mark, px. */
const GAP_PX = 4;

function moveMark(from: Mark, t_s: number): void {
  const marks = take.value.marks.map((mark) => (mark === from ? { ...mark, t_s: Math.max(0, frame(t_s)) } : mark));
  change({ kind: 'marks', marks }, `move the mark ${from.name}`);
}

function onKey(event: KeyboardEvent, mark: Mark): void {
  const by_s = (event.shiftKey ? 10 : 1) / 50;
  if (event.key === 'ArrowLeft') moveMark(mark, mark.t_s - by_s);
  else if (event.key === 'ArrowRight') moveMark(mark, mark.t_s + by_s);
  else if (event.key === 'Delete')
    change(
      { kind: 'marks', marks: take.value.marks.filter((other) => other !== mark) },
      `take out the mark ${mark.name}`,
    );
  else if (event.key === 'Enter') nameMark(mark.t_s);
  else return;
  event.preventDefault();
  event.stopPropagation();
}

function dragMark(event: PointerEvent, mark: Mark): void {
  event.stopPropagation();
  const flag = event.currentTarget as SVGElement;
  const box = flag.ownerSVGElement!.getBoundingClientRect();
  flag.setPointerCapture(event.pointerId);
  flag.addEventListener(
    'pointerup',
    ({ clientX }) => {
      if (Math.abs(clientX - event.clientX) > 3) moveMark(mark, timeAt((clientX - box.left) / box.width));
      else cursor_s.value = mark.t_s;
    },
    { once: true },
  );
}

/** As wide as a word is drawn with its gaps, px. */
const widthsOf = (group: SVGGElement): number[] =>
  Array.from(group.querySelectorAll('text'), (text) => text.getComputedTextLength() + 2 * GAP_PX);

/** @param high of the wave, px: a mark without its word ends there, beside the others' @param under where the words stand, px */
export function Marks({ high, under }: { readonly high: number; readonly under: number }): JSX.Element {
  const group = useRef<SVGGElement>(null);
  const room = useSignal(0);
  const places = useSignal<readonly (number | null)[]>([]);
  const across = room.value;
  const here = useComputed(markHere).value;
  const marks = take.value.marks.filter(({ t_s }) => t_s >= span.value.from_s && t_s <= span.value.to_s);
  useEffect(() => {
    const line = group.current!.ownerSVGElement!;
    const sizes = new ResizeObserver(() => (room.value = line.clientWidth));
    sizes.observe(line);
    return () => sizes.disconnect();
  }, []);
  useEffect(() => {
    const widths = widthsOf(group.current!);
    const words = marks.map(({ t_s }, n) => ({ at: (xOf(t_s) / WIDE) * across, width: widths[n] ?? 0 }));
    const next = fitting(words, across, here ? marks.indexOf(here) : -1);
    if (next.join() !== places.value.join()) places.value = next;
  });
  return (
    <g ref={group} role="group" aria-label="marks">
      {marks.map((mark, n) => {
        const x = `${String((xOf(mark.t_s) / WIDE) * 100)}%`;
        return (
          <g
            key={n}
            class={mark === here ? 'mark here' : 'mark'}
            role="slider"
            tabindex={0}
            aria-label={`mark ${mark.name}`}
            aria-valuenow={mark.t_s}
            aria-valuetext={seconds(mark.t_s)}
            aria-keyshortcuts="Enter Delete ArrowLeft ArrowRight"
            onKeyDown={(event) => onKey(event, mark)}
            onPointerDown={(event) => dragMark(event, mark)}
          >
            <line x1={x} x2={x} y2={places.value[n] == null ? high : under} />
            <text
              x={places.value[n] ?? 0}
              dx={GAP_PX}
              y={under}
              visibility={places.value[n] == null ? 'hidden' : 'visible'}
            >
              {mark.name}
            </text>
          </g>
        );
      })}
    </g>
  );
}
