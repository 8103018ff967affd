/** The take's sound: fetched, decoded, played from an instant of it, scrubbed. One AudioContext, opened by the first press that needs it. */
import { effect, signal } from '@preact/signals';
import { change, said, take } from '../state.ts';

export interface Voice {
  readonly file: string;
  readonly buffer: AudioBuffer;
  /** The first channel, or all of them mixed. */
  readonly audio: Float32Array;
}

/** The open take's sound; null: it has none, or it is not here yet. */
export const voice = signal<Voice | null>(null);
let context: AudioContext | null = null;
/** All that is heard goes through it. */
let all: GainNode | null = null;
/** The take's own sound, while it plays. */
let sounding: AudioBufferSourceNode | null = null;
let scrubbed: AudioBufferSourceNode | null = null;

/** The context; a browser lets it sound only once something was pressed. */
export const audio = (): AudioContext => (context ??= new AudioContext());

/** What is heard, before it leaves for the ear: a film takes it from here. */
export function heard(): GainNode {
  if (!all) {
    all = audio().createGain();
    all.connect(audio().destination);
  }
  return all;
}

/** How long a sound takes to reach the ear, s. */
export const lateness_s = (): number => Math.max(context?.outputLatency ?? 0, context?.baseLatency ?? 0);

/** Plays the sound from an instant of it, to begin at that instant of the context's clock. */
export function sound(buffer: AudioBuffer, from_s: number, at_s: number): void {
  hush();
  const source = sourceOf(buffer);
  if (from_s < 0) source.start(at_s - from_s, 0);
  else source.start(at_s, from_s);
  sounding = source;
}

function sourceOf(buffer: AudioBuffer): AudioBufferSourceNode {
  const source = audio().createBufferSource();
  source.buffer = buffer;
  source.connect(heard());
  return source;
}

export function hush(): void {
  for (const source of [sounding, scrubbed]) source?.stop();
  sounding = scrubbed = null;
}

/** How long a scrub sounds, s. */
const SCRUB_S = 0.08;

/** Sounds a short piece at an instant of the take, as the cursor goes over it; nothing while the take itself sounds. */
export function scrub(t_s: number): void {
  const now = voice.value;
  const from_s = t_s - (take.value.sound?.at_s ?? 0);
  if (!now || sounding || from_s < 0 || from_s > now.buffer.duration) return;
  // A page that was loaded anew has a context that waits for a press.
  void audio().resume();
  scrubbed?.stop();
  scrubbed = sourceOf(now.buffer);
  scrubbed.start(audio().currentTime, from_s, SCRUB_S);
}

/** A soft click, for counting in. @param at_s on the context's clock */
export function click(at_s: number): void {
  const [tone, level] = [audio().createOscillator(), audio().createGain()];
  tone.frequency.value = 880;
  level.gain.setValueAtTime(0.15, at_s);
  level.gain.exponentialRampToValueAtTime(0.001, at_s + 0.06);
  tone.connect(level).connect(heard());
  tone.start(at_s);
  tone.stop(at_s + 0.07);
}

/** As the rig's folder takes it, bytes. */
const MOST_BYTES = 64e6;
const SILENT = 'the program that keeps the sounds does not answer';

/** Puts a file into the rig's folder and under the take. */
export async function useFile(file: File): Promise<void> {
  if (file.size > MOST_BYTES) {
    said.value = `${file.name} is ${(file.size / 1e6).toFixed(0)} MB: ${String(MOST_BYTES / 1e6)} MB is the most`;
    return;
  }
  const response = await fetch(`sounds/${encodeURIComponent(file.name)}`, { method: 'PUT', body: file }).catch(
    () => null,
  );
  if (!response?.ok) {
    said.value = response ? await response.text() : SILENT;
    return;
  }
  change({ kind: 'sound', sound: { file: file.name, at_s: 0 } }, `add the sound ${file.name}`);
}

async function load(file: string): Promise<void> {
  const response = await fetch(`sounds/${encodeURIComponent(file)}`).catch(() => null);
  if (!response?.ok) {
    said.value = `${file}: ${response ? await response.text() : SILENT}`;
    return;
  }
  try {
    const buffer = await audio().decodeAudioData(await response.arrayBuffer());
    if (take.value.sound?.file === file) voice.value = { file, buffer, audio: mixedDown(buffer) };
  } catch {
    said.value = `${file} is no sound that this browser can read`;
  }
}

function mixedDown(buffer: AudioBuffer): Float32Array {
  const channels = Array.from({ length: buffer.numberOfChannels }, (_, n) => buffer.getChannelData(n));
  if (channels.length === 1) return channels[0]!;
  return channels[0]!.map((_, n) => channels.reduce((sum, channel) => sum + channel[n]!, 0) / channels.length);
}

/** Keeps `voice` what the take says. */
export const startVoice = (): void =>
  void effect(() => {
    const file = take.value.sound?.file;
    if (voice.peek()?.file === file) return;
    voice.value = null;
    if (file !== undefined) void load(file);
  });
