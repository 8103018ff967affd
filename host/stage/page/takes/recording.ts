/** Records the open lane from the hand, over the take that plays: counted in, from punch in to punch out, one edit at the end. */
import { effect, signal, untracked } from '@preact/signals';
import { HOME, toDeg, toRad } from '../../../rig/rig.ts';
import { valueAt } from '../../take/curve.ts';
import { Recording } from '../../take/record.ts';
import { type Take, curveOf, withCurve } from '../../take/take.ts';
import { ask, layHandOver } from '../engine/client.ts';
import { current } from '../hand/asking.ts';
import { audio, click } from '../sound/voice.ts';
import { change, columns, cursor_s, handValues, look, rig, said, take } from '../state.ts';
import { play, playing, stop } from './play.ts';
import { chosen, lane } from './view.ts';

const BEAT_S = 0.5;
const BEATS = 4;

/** Beats still to come; 0: none. */
export const countIn = signal(0);
export const recording = signal<Recording | null>(null);
let lay: { readonly from_s: number; readonly to_s: number; readonly name: string } | null = null;

/** Where a column stands among a stream's values. */
const placeOf = (column: string): number => columns.value.indexOf(column) + (rig.value?.platform ? 0 : HOME.length);
const inFileUnits = (column: string, value: number): number => (column.endsWith('_deg') ? toDeg(value) : value);

/** What the hand asks of a column now, mm or deg; where it asks nothing, what is asked anyway. */
function handOf(column: string): number {
  const k = placeOf(column);
  const value = handValues.value?.[k] ?? look.value?.asked[k] ?? 0;
  return inFileUnits(column, Number.isNaN(value) ? 0 : value);
}

/** Counts in, then plays and records the open lane; between the ends of the chosen stretch, if one is chosen. */
export async function record(): Promise<void> {
  const what = lane.value;
  if (!what || recording.value || countIn.value > 0) return;
  const part = chosen.value ?? { from_s: cursor_s.value, to_s: Math.max(take.value.seconds, cursor_s.value + 1) };
  await audio().resume();
  const begin_s = audio().currentTime + 0.05;
  for (let beat = 0; beat < BEATS; beat++) click(begin_s + beat * BEAT_S);
  for (countIn.value = BEATS; countIn.value > 0; countIn.value--) {
    said.value = `recording ${what.name} in ${String(countIn.value)}`;
    await new Promise((resolve) => setTimeout(resolve, BEAT_S * 1000));
    if (countIn.value === 0) return;
  }
  lay = { ...part, name: what.name };
  recording.value = new Recording(what.columns);
  handValues.value = current().slice();
  layHandOver(true);
  cursor_s.value = chosen.value ? Math.max(0, part.from_s - 1) : part.from_s;
  await play(played(what.columns));
  said.value = `records ${what.name}`;
}

/** The take with all that is recorded in it, so that there is something to lay the hand over. */
function played(recorded: readonly string[]): Take {
  return recorded.reduce(
    (now, name) =>
      curveOf(now, name) ? now : withCurve(now, { column: name, keys: [{ t_s: 0, value: handOf(name) }] }),
    take.value,
  );
}

/** Ends it; what was recorded becomes one layer. */
export function endRecording(): void {
  countIn.value = 0;
  const [made, over] = [recording.value, lay];
  recording.value = null;
  lay = null;
  layHandOver(false);
  stop();
  if (!made || !over) return;
  const layer = made.layer(over.from_s, over.to_s, (name, t_s) => valueAt(curveOf(take.value, name)?.keys ?? [], t_s));
  if (!layer) said.value = 'nothing was recorded';
  else {
    change({ kind: 'layer', ...layer }, `record ${over.name}`);
    said.value = `${over.name} is recorded, ${made.seconds.toFixed(1)} s`;
  }
}

/** Takes a sample with each look, and lays the hand over what plays between punch in and punch out. */
function sample(): void {
  const [made, over, now] = [recording.value, lay, look.value];
  if (!made || !over || now?.take_s == null) return;
  if (playing.value === 'no') return endRecording();
  const isIn = now.take_s >= over.from_s - 0.1 && now.take_s <= over.to_s;
  ask({ do: 'over', values: isIn ? laidOver(made.columns, now.asked.length) : null });
  if (playing.value === 'runs' && isIn) made.push(now.take_s, made.columns.map(handOf));
  if (now.take_s >= over.to_s) endRecording();
}

function laidOver(recorded: readonly string[], size: number): Float64Array {
  const values = new Float64Array(size).fill(NaN);
  for (const name of recorded) {
    const value = handOf(name);
    values[placeOf(name)] = name.endsWith('_deg') ? toRad(value) : value;
  }
  return values;
}

export const startRecording = (): void =>
  void effect(() => {
    if (look.value) untracked(sample);
    if (playing.value === 'no' && recording.peek() && look.peek()?.follows === 'hand') untracked(maybeEnd);
  });

/** The take came to its end while it was recorded. */
function maybeEnd(): void {
  if (recording.value && recording.value.seconds > 0) endRecording();
}
