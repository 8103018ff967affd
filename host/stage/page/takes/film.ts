/** A film of the 3D view, where the browser can make one: WebM, with the sound left out. */
import { signal } from '@preact/signals';
import { take } from '../state.ts';
import { offer } from './offer.ts';

export const filming = signal(false);
let recorder: MediaRecorder | null = null;

/** The canvas that the prop is drawn on; null: there is none in view. */
const canvasOf = (): HTMLCanvasElement | null => document.querySelector<HTMLCanvasElement>('canvas.prop, .prop canvas');

export const canFilm = (): boolean => 'MediaRecorder' in globalThis && canvasOf()?.captureStream !== undefined;

/** Begins a film, or ends it and offers it as a file. */
export function film(): void {
  if (recorder) {
    recorder.stop();
    return;
  }
  const stream = canvasOf()?.captureStream(50);
  if (!stream) return;
  const chunks: Blob[] = [];
  const now = new MediaRecorder(stream, { mimeType: 'video/webm' });
  now.addEventListener('dataavailable', ({ data }) => chunks.push(data));
  now.addEventListener('stop', () => {
    recorder = null;
    filming.value = false;
    offer(new Blob(chunks, { type: 'video/webm' }), `${take.value.name}.webm`);
  });
  now.start();
  recorder = now;
  filming.value = true;
}
