/** What the page knows, as signals; what changes the take goes through `change`, so that undo is a list. */
import { computed, signal } from '@preact/signals';
import type { Rig } from '../../rig/rig.ts';
import type { About } from '../about.ts';
import type { Edit } from '../take/edit.ts';
import { type History, done, historyOf, redone, undone } from '../take/history.ts';
import { columnsOf, lanesOf } from '../take/lanes.ts';
import { emptyTake } from '../take/take.ts';
import type { Look } from './engine/protocol.ts';
import type { WhyAnswer } from '../../why/result.ts';
import type { JointLoad } from '../../load/result.ts';
import type { Gap } from './verdict/gaps.ts';
import { deliveredBy } from './verdict/columns.ts';
import type { TakeTrace } from './verdict/protocol.ts';
import type { BoardSays } from '../line-words.ts';
import type { BoardDelivered } from './board/delivered.ts';
import type { Stance } from './prop/scene.ts';

export const PLACES = ['Hand', 'Takes', 'Effort', 'Workshop'] as const;
export type Place = (typeof PLACES)[number];

export const place = signal<Place>('Hand');

/** Set once, before anything is drawn. */
export const rig = signal<Rig | null>(null);
export const about = signal<About | null>(null);
export const look = signal<Look | null>(null);
/** Whether it has power to its servos: neither limp nor stopped by its guard. */
export const isRoused = computed(
  () => look.value !== null && look.value.state !== 'limp' && look.value.state !== 'tripped',
);
/** The instant of the last look, on the engine's clock, ms; set before `look`. */
export const lookAt_ms = signal(0);
/** What the hand asks for, in the order of a stream's values; null: nothing. */
export const handValues = signal<Float64Array | null>(null);
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

/** Called after each drawing of the prop, while it can be read; then every frame is drawn, whether anything has moved or not. Null: nobody films. */
export const drawn = signal<((prop: HTMLCanvasElement) => void) | null>(null);

/** What comes of the take, frame by frame, where it is not what was asked, and the four questions; null: not judged yet. */
export const trace = signal<TakeTrace | null>(null);
/** Where on the time line the take is not followed, and why. */
export const gaps = signal<readonly Gap[]>([]);
/** What the take on the time line delivers: by column at 50 frames a second, mm or deg; null: it is not known yet. */
export const delivered = computed(() => trace.value && deliveredBy(trace.value, columns.value));
export const answers = signal<readonly WhyAnswer[]>([]);
/** What the take asks of each joint's servo. */
export const loads = signal<readonly JointLoad[]>([]);
/** A newer take than the one judged is being judged. */
export const judging = signal(false);

/** What the board tells; null: there is none, or it has not yet. */
export const boardSays = signal<BoardSays | null>(null);
/** How the board stands, by its telemetry; null: there is none, or it is limp. */
export const boardStance = signal<Stance | null>(null);
/** What the board has delivered; null until it has said anything. `boardCourse` goes up as its course grows, a few times a second. */
export const boardDelivered = signal<BoardDelivered | null>(null);
export const boardCourse = signal(0);
/** Whether this page drives the board; null: the server is not there. */
export const drives = signal<boolean | null>(null);
