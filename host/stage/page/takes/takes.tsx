/** The place "Takes": the prop's time. The sound is its spine, one lane is open above, the others are folded below. */
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { SoundPanel } from '../sound/panel.tsx';
import { startVoice, useFile } from '../sound/voice.ts';
import { Room } from '../hand/room.tsx';
import { FourQuestions } from '../verdict/four-questions.tsx';
import { listen } from '../input/listening.ts';
import { Bar } from './bar.tsx';
import { onKey } from './commands.ts';
import { startFiles } from './files.ts';
import { OpenGap } from './gaps.tsx';
import { holdLane, recordingKey } from './hold.ts';
import { Cursor, OpenLane } from './lane.tsx';
import { IdlePanel, TakesPanel } from './panels.tsx';
import { NightPanel } from './night.tsx';
import { startRecording } from './recording.ts';
import { startPlay } from './play.ts';
import { Spine } from './spine.tsx';
import { Strips } from './strips.tsx';

/** Once in a page's life, whatever place is in view. */
export function startTakes(): void {
  startPlay();
  startRecording();
  startVoice();
  void startFiles();
}

/** Where keys mean letters. */
const isWriting = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && target.matches('input, select, textarea');

function pressed(event: KeyboardEvent): void {
  if (isWriting(event.target) || event.defaultPrevented) return;
  // A button that has the focus is pressed by these, as everywhere.
  const isButton = event.target instanceof HTMLElement && event.target.matches('button, summary');
  if (isButton && (event.key === 'Enter' || event.key === ' ')) return;
  if (recordingKey(event) || onKey(event)) event.preventDefault();
}

function dropped(event: DragEvent): void {
  event.preventDefault();
  const file = event.dataTransfer?.files[0];
  if (file) void useFile(file);
}

export function Takes(): JSX.Element {
  useEffect(() => {
    addEventListener('keydown', pressed);
    return () => removeEventListener('keydown', pressed);
  }, []);
  useEffect(holdLane, []);
  useEffect(listen, []);
  return (
    <section class="takes" aria-label="Takes" onDragOver={(event) => event.preventDefault()} onDrop={dropped}>
      <Room keys={false} />
      <div
        class="time"
        role="group"
        aria-label="time line: arrows move in time, with Shift they choose a stretch"
        tabIndex={0}
      >
        <OpenLane />
        <Spine />
        <Strips />
        <Cursor />
      </div>
      <OpenGap />
      <FourQuestions />
      <Bar />
      <div class="when-asked">
        <TakesPanel />
        <SoundPanel />
        <IdlePanel />
        <NightPanel />
      </div>
    </section>
  );
}
