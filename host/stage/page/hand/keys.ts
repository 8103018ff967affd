/** The keys of the place: what each does. Escape and ? are the page's own (app.tsx); help/sentences.ts says them in words. */
import { toRad } from '../../../rig/rig.ts';
import { said } from '../state.ts';
import {
  chosen,
  goHome,
  lookPoint,
  mirror,
  moveBy,
  movePoint,
  moving,
  rouse,
  showsRange,
  stepOf,
  toggleLookAt,
} from './asking.ts';

/** What keys may do to the eye. */
export interface Eye {
  readonly turn: (azimuth_rad: number, elevation_rad: number) => void;
  readonly zoom: (times: number) => void;
  readonly home: () => void;
}

const LOOK = toRad(2);
const TURN = toRad(8);
const ROOM_MM = 6;

/** Arrow keys: left is the character's left as it faces you, as the drag has it. */
export const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

export function arrow(
  [across, up]: readonly [number, number],
  { shiftKey, altKey }: Pick<KeyboardEvent, 'shiftKey' | 'altKey'>,
): void {
  if (lookPoint.value) movePoint([altKey ? across * ROOM_MM : 0, altKey ? 0 : across * ROOM_MM, up * ROOM_MM]);
  else if (shiftKey)
    moveBy([
      [1, across * 2],
      [2, up * 2],
    ]);
  else if (altKey)
    moveBy([
      [3, -across * LOOK],
      [0, up * 2],
    ]);
  else
    moveBy([
      [5, across * LOOK],
      [4, -up * LOOK],
    ]);
}

function toggleRange(): void {
  showsRange.value = !showsRange.value;
  said.value = showsRange.value ? 'two ticks show how far each crank may turn' : 'range hidden';
}

const plain = (eye: Eye): Readonly<Record<string, () => void>> => ({
  ',': () => chosen(-1),
  '.': () => chosen(1),
  '[': () => moveBy([[moving.value, -stepOf(moving.value)]]),
  ']': () => moveBy([[moving.value, stepOf(moving.value)]]),
  h: goHome,
  l: toggleLookAt,
  m: mirror,
  r: toggleRange,
  g: rouse,
  a: () => eye.turn(-TURN, 0),
  d: () => eye.turn(TURN, 0),
  w: () => eye.turn(0, TURN),
  s: () => eye.turn(0, -TURN),
  '+': () => eye.zoom(0.9),
  '=': () => eye.zoom(0.9),
  '-': () => eye.zoom(1 / 0.9),
  0: eye.home,
});

/** Whether a key belongs to what has the focus: a field, a choice, a slider. */
const isTaken = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && /^(input|select|textarea)$/i.test(target.tagName);

/** @returns what listens to the window's keys while the place is seen */
export const keyHandler = (eye: Eye): ((event: KeyboardEvent) => void) => {
  const acts = plain(eye);
  return (event) => {
    if (isTaken(event.target) || event.ctrlKey || event.metaKey || event.defaultPrevented) return;
    const way = ARROWS[event.key];
    const act = event.altKey ? undefined : acts[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (way) arrow(way, event);
    else if (act) act();
    else return;
    event.preventDefault();
  };
};
