/** The open lane in the hand: what a drag on the prop moves, and the arrow keys while it is recorded. */
import { effect } from '@preact/signals';
import { HOME, toRad } from '../../../rig/rig.ts';
import { held, holdsLook, moveHeld } from '../hand/asking.ts';
import { ARROWS, arrow } from '../hand/keys.ts';
import { columns, rig } from '../state.ts';
import { countIn, recording } from './recording.ts';
import { lane } from './view.ts';

const STEP_RAD = toRad(2);

/** Keeps what is in the hand what the open lane has. @returns what gives the hand back the pose */
export function holdLane(): () => void {
  const end = effect(() => {
    const open = lane.value;
    const first = rig.value?.platform ? 0 : HOME.length;
    const places = (open?.columns ?? []).map((name) => columns.value.indexOf(name) + first);
    const isJoints = places.length > 0 && places.every((place) => place >= HOME.length);
    held.value = isJoints ? { places, isDown: open?.name === 'Mouth' } : null;
    holdsLook.value = open?.name === 'Look';
  });
  return () => {
    end();
    held.value = null;
    holdsLook.value = false;
  };
}

/** While a lane is recorded the arrow keys are the hand's. False: this key is not. */
export function recordingKey(event: KeyboardEvent): boolean {
  const way = ARROWS[event.key];
  if (!way || (!recording.value && countIn.value === 0)) return false;
  if (held.value) moveHeld(held.value, -way[1] * STEP_RAD);
  else if (holdsLook.value) arrow(way, event);
  else arrow(way, { shiftKey: !event.altKey, altKey: event.altKey });
  return true;
}
