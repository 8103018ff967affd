/** What the page knows, as signals; what changes the take goes through `change`, so that undo is a list. */
import { computed, signal } from '@preact/signals';
import type { Rig } from '../../rig/rig.ts';
import type { About } from '../about.ts';
import type { Edit } from '../take/edit.ts';
import { type History, done, historyOf, redone, undone } from '../take/history.ts';
import { columnsOf, lanesOf } from '../take/lanes.ts';
import { emptyTake } from '../take/take.ts';
import type { Look } from './engine/protocol.ts';

export const PLACES = ['Hand', 'Takes', 'Effort', 'Workshop'] as const;
export type Place = (typeof PLACES)[number];

export const place = signal<Place>('Hand');
/** A stretch in which what is asked of a column is not delivered. */
export interface Gap {
  readonly column: string;
  readonly from_s: number;
  readonly to_s: number;
  readonly cause: 'reach' | 'limit' | 'torque';
}

/** Set once, before anything is drawn. */
export const rig = signal<Rig | null>(null);
export const about = signal<About | null>(null);
export const look = signal<Look | null>(null);
/** The instant of the last look, on the engine's clock, ms; set before `look`. */
export const lookAt_ms = signal(0);
/** What the hand asks for, in the order of a stream's values; null: nothing. */
export const handValues = signal<Float64Array | null>(null);
/** What the take on the time line delivers: by column at 50 frames a second, mm or deg; null: it is not known yet. */
export const delivered = signal<ReadonlyMap<string, Float64Array> | null>(null);
/** Where on the time line the take does not follow itself, and in a word why; empty: nowhere that is known. */
export const gaps = signal<readonly Gap[]>([]);
/** One sentence for the status line; a screen reader hears it. */
export const said = signal('');

export const history = signal<History>(historyOf(emptyTake('take 1', 8)));
export const take = computed(() => history.value.now);
export const lanes = computed(() => (rig.value ? lanesOf(rig.value) : []));
export const columns = computed(() => (rig.value ? columnsOf(rig.value) : []));
/** The lane that is open, by name. */
export const openLane = signal('Look');
/** The instant that the page looks at, s; while it plays the engine's time leads. */
export const cursor_s = signal(0);

export const change = (edit: Edit, words: string): void => {
  history.value = done(history.value, edit, words);
};
export const undo = (): void => {
  history.value = undone(history.value);
};
export const redo = (): void => {
  history.value = redone(history.value);
};
