/**
 * A film of the take: it plays from its beginning, and the picture of the prop and what is heard go into a file. MP4 (H.264,
 * AAC) where this browser writes it, else WebM.
 */
import { effect, signal } from '@preact/signals';
import { audio, heard } from '../sound/voice.ts';
import { cursor_s, drawn, said, take } from '../state.ts';
import { offer } from './offer.ts';
import { play, playing, stop } from './play.ts';

/** `waits`: the prop goes to where the take begins. */
export const filming = signal<'no' | 'waits' | 'runs'>('no');

const FRAMES_HZ = 50;
/** The first that this browser writes. An MP4 with other contents would not play everywhere. */
const KINDS = [
  { type: 'video/mp4;codecs=avc1.64002A,mp4a.40.2', ending: 'mp4' },
  { type: 'video/webm;codecs=vp8,opus', ending: 'webm' },
  { type: 'video/webm', ending: 'webm' },
] as const;
type Kind = (typeof KINDS)[number];

const kindHere = (): Kind | null =>
  'MediaRecorder' in globalThis ? (KINDS.find(({ type }) => MediaRecorder.isTypeSupported(type)) ?? null) : null;

/** The canvas that the prop is drawn on; null: none is in view, or the prop is drawn flat. */
const propCanvas = (): HTMLCanvasElement | null =>
  document.querySelector<HTMLCanvasElement>('.prop canvas:not([hidden])');

/** Why this browser makes no films, in words; null: it does. */
export function whyNoFilm(): string | null {
  if (!('MediaRecorder' in globalThis) || !('captureStream' in HTMLCanvasElement.prototype))
    return 'this browser cannot make films';
  return kindHere() ? null : 'this browser makes films, but neither MP4 nor WebM';
}

/** Films the take, or ends the film. */
export function film(): void {
  if (filming.value !== 'no') stop();
  else if (propCanvas()) void filmTake();
  else said.value = 'without WebGL the prop is drawn flat: there is no picture to film';
}

async function filmTake(): Promise<void> {
  filming.value = 'waits';
  cursor_s.value = 0;
  await play().catch((error: unknown) => {
    filming.value = 'no';
    throw error;
  });
  if (playing.value === 'no') {
    filming.value = 'no';
    return;
  }
  let end: (() => void) | null = null;
  let copy: Copy | null = null;
  drawn.value = (prop) => {
    if (playing.peek() !== 'runs') return;
    copy ??= copyOf(prop);
    copy(prop);
    // Not before there is a picture: a film that begins with none shows black.
    if (end) return;
    end = begun(copy.canvas);
    filming.value = 'runs';
  };
  const done = effect(() => {
    if (playing.value === 'no') queueMicrotask(over);
  });
  const over = (): void => {
    done();
    drawn.value = null;
    end?.();
    filming.value = 'no';
  };
}

/** Begins to record. @returns what ends it and offers the file */
function begun(picture: HTMLCanvasElement): () => void {
  const kind = kindHere()!;
  const ear = audio().createMediaStreamDestination();
  heard().connect(ear);
  const stream = new MediaStream([
    ...picture.captureStream(FRAMES_HZ).getVideoTracks(),
    ...ear.stream.getAudioTracks(),
  ]);
  const recorder = new MediaRecorder(stream, { mimeType: kind.type, videoBitsPerSecond: 6e6 });
  const chunks: Blob[] = [];
  const name = `${take.peek().name}.${kind.ending}`;
  const close = (): void => {
    heard().disconnect(ear);
    for (const track of stream.getTracks()) track.stop();
  };
  recorder.addEventListener('dataavailable', ({ data }) => chunks.push(data));
  recorder.addEventListener('error', () => (said.value = 'this browser gave the film up: it may be out of memory'));
  recorder.addEventListener('stop', () => {
    close();
    offer(new Blob(chunks, { type: kind.type.split(';')[0]! }), name);
  });
  recorder.start(1000);
  return () => recorder.state !== 'inactive' && recorder.stop();
}

/** Takes a picture over as it has just been drawn: what WebGL has drawn can be read until the frame is shown. */
type Copy = ((prop: HTMLCanvasElement) => void) & { readonly canvas: HTMLCanvasElement };

/** The prop on the page's paper, in even numbers of pixels as H.264 wants them. */
function copyOf(first: HTMLCanvasElement): Copy {
  const canvas = document.createElement('canvas');
  const even = (size: number): number => Math.max(2, 2 * Math.floor(size / 2));
  [canvas.width, canvas.height] = [even(first.width), even(first.height)];
  const pen = canvas.getContext('2d', { alpha: false })!;
  const copy = (prop: HTMLCanvasElement): void => {
    pen.fillStyle = getComputedStyle(document.documentElement).getPropertyValue('--paper');
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(prop, 0, 0, canvas.width, canvas.height);
  };
  return Object.assign(copy, { canvas });
}
