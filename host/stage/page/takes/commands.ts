/** What can be done on the time line, each with its key: buttons and keyboard both come from this list. */
import { signal } from '@preact/signals';
import type { Edit, Stretch } from '../../take/edit.ts';
import { valueAt } from '../../take/curve.ts';
import { curveOf } from '../../take/take.ts';
import { USUAL_CUTOFF_HZ } from '../../../stream/smooth.ts';
import { askLine } from '../board/line.ts';
import { rouse, settle } from '../hand/asking.ts';
import { change, cursor_s, redo, said, take, undo } from '../state.ts';
import { scrub } from '../sound/voice.ts';
import { endRecording, record, recording } from './recording.ts';
import { play, playing, stop } from './play.ts';
import { chosen, column, frame, goTo, lane, plain, scroll, span, zoom } from './view.ts';

export interface StretchCommand {
  readonly name: string;
  /** As `KeyboardEvent.key`. */
  readonly key: string;
  readonly edit: (stretch: Stretch) => Edit;
}

/** Edits of the chosen stretch of the open lane. */
export const STRETCH: readonly StretchCommand[] = [
  { name: 'Move here', key: 'x', edit: (s) => ({ kind: 'move', stretch: s, by_s: cursor_s.value - s.from_s }) },
  { name: 'Copy here', key: 'c', edit: (s) => ({ kind: 'copy', stretch: s, to_s: cursor_s.value }) },
  { name: 'Slower', key: '>', edit: (s) => ({ kind: 'stretch', stretch: s, times: 1.25 }) },
  { name: 'Faster', key: '<', edit: (s) => ({ kind: 'stretch', stretch: s, times: 0.8 }) },
  { name: 'Larger', key: ']', edit: (s) => ({ kind: 'scale', stretch: s, times: 1.25 }) },
  { name: 'Smaller', key: '[', edit: (s) => ({ kind: 'scale', stretch: s, times: 0.8 }) },
  { name: 'Mirror', key: 'm', edit: (s) => ({ kind: 'mirror', stretch: s }) },
  { name: 'Reverse', key: 'v', edit: (s) => ({ kind: 'reverse', stretch: s }) },
  { name: 'Ease', key: 'e', edit: (s) => ({ kind: 'ease', stretch: s }) },
  { name: 'Smooth', key: 'h', edit: (s) => ({ kind: 'smooth', stretch: s, cutoff_hz: USUAL_CUTOFF_HZ }) },
  { name: 'Loop once more', key: 'l', edit: (s) => ({ kind: 'loop', stretch: s, count: 2 }) },
  { name: 'Trim take to it', key: 't', edit: ({ from_s, to_s }) => ({ kind: 'trim', from_s, to_s }) },
  { name: 'Clear', key: 'Backspace', edit: (s) => ({ kind: 'clear', stretch: s }) },
];

export function runStretch({ name, key, edit }: StretchCommand): void {
  const [part, open] = [chosen.value, lane.value];
  if (!part || !open) {
    said.value = 'choose a stretch first: drag over the lane, or hold Shift and press the arrows';
    return;
  }
  const words = key === 't' ? 'trim the take' : `${name.toLowerCase()} ${open.name}`;
  change(edit({ ...part, columns: open.columns }), words);
  if (key === 't') chosen.value = null;
  said.value = words;
}

/** A key on the open column at the cursor, where the curve is. */
export function addKey(t_s = cursor_s.value, value?: number): void {
  const name = column.value;
  if (name === null) return;
  const now = value ?? valueAt(curveOf(take.value, name)?.keys ?? [], t_s);
  change(
    { kind: 'key', column: name, key: { t_s: frame(t_s), value: Number.isNaN(now) ? 0 : now } },
    `set a key of ${plain(name)}`,
  );
}

/** Marks a beat at the cursor. While nothing plays its word can be typed at once. */
export function addMark(): void {
  const { marks } = take.value;
  const name = `beat ${String(marks.length + 1)}`;
  const t_s = frame(cursor_s.value);
  if (!marks.some((mark) => mark.t_s === t_s))
    change({ kind: 'marks', marks: [...marks, { t_s, name }] }, `mark ${name}`);
  said.value = `${name} at ${t_s.toFixed(2)} s`;
  if (playing.value === 'no') nameMark(t_s);
}

/** The instant of the mark whose word is about to be typed; null: none is. */
export const naming_s = signal<number | null>(null);

export function nameMark(t_s: number): void {
  goTo(t_s);
  naming_s.value = cursor_s.value;
}

export const playOrStop = (): void => {
  if (recording.value) endRecording();
  else if (playing.value === 'no') void play();
  else stop();
};
export const recordOrEnd = (): void => {
  if (recording.value) endRecording();
  else void record();
};

/** Ends what is recorded and what plays, and settles the prop, and the board. */
export function settleAll(): void {
  endRecording();
  stop();
  settle();
  askLine({ do: 'settle' });
}

const FRAME_S = 1 / 50;
const step = (event: KeyboardEvent): number => (event.altKey ? FRAME_S : (span.value.to_s - span.value.from_s) / 50);

/** Moves the cursor, and lets what is there be heard. */
function stepBy(by_s: number, extend: boolean): void {
  goTo(cursor_s.value + by_s, extend);
  scrub(cursor_s.value);
}

const PLAIN: Readonly<Record<string, (event: KeyboardEvent) => void>> = {
  ' ': playOrStop,
  r: recordOrEnd,
  k: addMark,
  g: rouse,
  ArrowLeft: (event) => stepBy(-step(event), event.shiftKey),
  ArrowRight: (event) => stepBy(step(event), event.shiftKey),
  Home: (event) => goTo(0, event.shiftKey),
  End: (event) => goTo(take.value.seconds, event.shiftKey),
  '+': () => zoom(0.7),
  '-': () => zoom(1 / 0.7),
  PageUp: () => scroll(-(span.value.to_s - span.value.from_s) / 2),
  PageDown: () => scroll((span.value.to_s - span.value.from_s) / 2),
  Enter: () => addKey(),
};

/** Does what the key says. False: it says nothing here. */
export function onKey(event: KeyboardEvent): boolean {
  if (event.ctrlKey || event.metaKey) {
    if (event.key.toLowerCase() !== 'z' && event.key !== 'y') return false;
    if (event.key === 'y' || event.shiftKey) redo();
    else undo();
    return true;
  }
  const own = PLAIN[event.key];
  const edit = STRETCH.find(({ key }) => key === event.key);
  if (own) own(event);
  else if (edit && chosen.value) runStretch(edit);
  else return false;
  return true;
}
