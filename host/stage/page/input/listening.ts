/** Gamepads, polled with every frame, and MIDI faders: what they read moves the columns that they are assigned to. */
import { signal } from '@preact/signals';
import { moveTo } from '../hand/asking.ts';
import { keep } from '../kept.ts';
import { columns, rig, said } from '../state.ts';
import {
  type Assigned,
  type Range,
  assigned,
  faderOf,
  keptMap,
  meant,
  moved,
  padReadings,
  rangesOf,
  usualMap,
} from './mapping.ts';

/** Null: no rig yet. */
export const map = signal<readonly Assigned[]>([]);
/** The gamepad's and the fader box's names, those that are there. */
export const sources = signal<readonly string[]>([]);
/** The column that waits for a control to be moved; null: none. */
export const waiting = signal<number | null>(null);

let before: ReadonlyMap<string, number> = new Map();
let ranges: readonly Range[] = [];
/** Where things stood before a column began to wait: on a slow page a stick may have been moved by the next look. */
let rested: ReadonlyMap<string, number> | null = null;
const faders = new Map<string, number>();
let faderBox: string | null = null;

/** Where there was no gamepad, one is looked for again after so many frames: it takes a browser about a millisecond. */
const REST_FRAMES = 30;
let resting = 0;

function connectedPad(): Gamepad | null {
  if (--resting > 0) return null;
  const pad = navigator.getGamepads?.().find((one) => one?.connected) ?? null;
  resting = pad ? 0 : REST_FRAMES;
  return pad;
}

/** What the browser has connected; the first gamepad counts. */
function readings(): Map<string, number> {
  const pad = connectedPad();
  const names = [...(pad ? [pad.id] : []), ...(faderBox === null ? [] : [faderBox])];
  if (names.join() !== sources.value.join()) sources.value = names;
  return new Map([...(pad ? padReadings(pad) : []), ...faders]);
}

/** One look at what is connected. */
export function poll(): void {
  const now = readings();
  if (waiting.value !== null) assign(waiting.value, now);
  else {
    const places = moved(map.value, before, now, ranges);
    if (places.length > 0) moveTo(places);
  }
  before = now;
}

function assign(column: number, now: ReadonlyMap<string, number>): void {
  rested ??= before;
  const found = meant(rested, now);
  if (!found) return;
  map.value = assigned(map.value, { control: found.control, column, isTurned: !found.isPlus });
  said.value = `${found.control} moves ${columns.value[column] ?? 'it'} now`;
  waiting.value = rested = null;
}

export function listen(): () => void {
  if (!rig.value) return () => undefined;
  ranges = rangesOf(rig.value);
  if (map.value.length === 0) {
    map.value = usualMap(rig.value);
    keep(`gamepad of ${rig.value.name}`, map, (kept) => keptMap(kept, ranges.length));
  }
  let handle = requestAnimationFrame(function look() {
    poll();
    handle = requestAnimationFrame(look);
  });
  return () => cancelAnimationFrame(handle);
}

export const canMidi = (): boolean => 'requestMIDIAccess' in navigator;

/** Asks the browser for MIDI; it may ask the person. */
export async function openMidi(): Promise<void> {
  try {
    const access = await navigator.requestMIDIAccess();
    access.inputs.forEach((input) => {
      faderBox = input.name ?? 'faders';
      input.onmidimessage = ({ data }) => {
        const heard = data && faderOf(data);
        if (heard) faders.set(heard.control, heard.reading);
      };
    });
    said.value = faderBox === null ? 'no MIDI faders are connected' : `${faderBox} is listened to`;
  } catch {
    said.value = 'the browser does not let this page use MIDI';
  }
}
