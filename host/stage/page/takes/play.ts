/**
 * Plays the take in the engine and its sound with it. Once the take's time runs, the audio clock leads the engine: the two cannot
 * drift apart, whatever either crystal does.
 */
import { effect, signal, untracked } from '@preact/signals';
import { takeText } from '../../take/file.ts';
import { FRAME_HZ, type Take } from '../../take/take.ts';
import { ask, atFrame, leadBy, leadByFrames } from '../engine/client.ts';
import { audio, hush, lateness_s, sound, voice } from '../sound/voice.ts';
import type { Look } from '../engine/protocol.ts';
import { columns, cursor_s, look, lookAt_ms, said, take } from '../state.ts';
import { frame, goTo } from './view.ts';

/** The sound is told so far ahead, s: a frame of the page and the audio's own block fit in. */
const AHEAD_S = 0.05;
/** Further out of step than this the sound starts anew, ms: a page that slept. */
const STEP_MS = 25;

/** `going`: the prop goes to where the take begins. */
export const playing = signal<'no' | 'going' | 'runs'>('no');
/** The take's time less the engine's, ms, once the sound goes with it. */
let inStep_ms: number | null = null;
let from_s = 0;
/** The instant of its last frame, s. */
let last_s = 0;

/** Plays from the cursor on; from the beginning if it stands at the end. */
export async function play(what: Take = take.value): Promise<void> {
  if (what.curves.length === 0) {
    said.value = 'there is nothing to play yet: record a layer, or set a key with Enter';
    return;
  }
  await audio().resume();
  // A take's own instants: it stands at one of them until it begins, and later than from_s means that it has.
  from_s = cursor_s.value > what.seconds - 0.05 ? 0 : frame(cursor_s.value);
  cursor_s.value = from_s;
  last_s = Math.round(what.seconds * FRAME_HZ) / FRAME_HZ;
  inStep_ms = null;
  playing.value = 'going';
  ask({ do: 'play', text: takeText(what, columns.value), from_s });
  said.value = 'goes to where the take begins';
}

/** Stops where it is: the hand holds what was asked last. */
export function stop(): void {
  if (playing.value === 'no') return;
  const values = look.value?.asked;
  ended('stopped');
  if (values && !values.some((value, n) => n < 6 && Number.isNaN(value))) ask({ do: 'hand', values });
}

function ended(words: string): void {
  playing.value = 'no';
  inStep_ms = null;
  hush();
  leadByFrames();
  ask({ do: 'over', values: null });
  said.value = words;
}

/** Follows each look at what the engine does. */
function follow(now: Look): void {
  if (playing.peek() === 'no') return;
  if (now.follows !== 'take') {
    if (playing.peek() === 'runs') ended(now.trip ?? 'the take has ended');
    else if (now.state !== 'live' && now.state !== 'rousing') ended(`the prop does not play: it is ${now.state}`);
    return;
  }
  if (now.take_s === null || now.take_s <= from_s) return;
  if (playing.peek() === 'going') {
    playing.value = 'runs';
    said.value = 'plays';
  }
  goTo(now.take_s);
  // At its last frame the take's time stands still for a while; the sound goes on.
  if (now.take_s < last_s) step(now.take_s * 1000 - lookAt_ms.peek());
}

/** @param lag_ms the take's time less the engine's: the same from look to look while nothing is missed */
function step(lag_ms: number): void {
  const now = voice.peek();
  if (!now || (inStep_ms !== null && Math.abs(lag_ms - inStep_ms) < STEP_MS)) return;
  inStep_ms = lag_ms;
  atFrame((told_ms) => {
    if (playing.peek() === 'no') return;
    const began_s = audio().currentTime;
    const take_s = (told_ms + lag_ms) / 1000 + AHEAD_S + lateness_s();
    sound(now.buffer, take_s - (take.peek().sound?.at_s ?? 0), began_s + AHEAD_S);
    // From the same reading on: to start a sound takes the page some time, by which the prop would stay behind.
    leadBy(() => audio().currentTime * 1000, began_s * 1000);
  });
}

export const startPlay = (): void =>
  void effect(() => {
    const now = look.value;
    if (now) untracked(() => follow(now));
  });
