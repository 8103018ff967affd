/**
 * Frames that come too late to a board while one core is kept busy: the stage's own line to the firmware as a program of this machine, in
 * real time, playing the demo's take again and again for a minute.
 */
import { spawn } from 'node:child_process';
import { EventEmitter } from 'node:events';
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import type { WebSocket } from 'ws';
import { compileBoard } from '../../firmware/compile.ts';
import { readRig } from '../../rig/read.ts';
import { BoardLine } from '../../stage/board-line.ts';
import { Folder } from '../../stage/folder.ts';
import type { FromLine, ToLine } from '../../stage/line-words.ts';
import { nativeTarget } from '../../targets/native.ts';

const FOR_S = 60;
const HERE_MS = 250;

/** A page that only keeps what it was told last. */
class Page extends EventEmitter {
  readonly OPEN = 1;
  readonly readyState = 1;
  readonly bufferedAmount = 0;
  board: Extract<FromLine, { said: 'board' }> | null = null;
  played = 0;

  send(text: string): void {
    const what = JSON.parse(text) as FromLine;
    if (what.said === 'fault') throw new Error(what.words);
    if (what.said !== 'board') return;
    if (this.board?.follows === 'take' && what.follows !== 'take') this.played++;
    this.board = what;
  }
  say(what: ToLine): void {
    this.emit('message', Buffer.from(JSON.stringify(what)), false);
  }
}

/** A line of words with what was counted. */
export async function lateFrames(): Promise<string> {
  const place = mkdtempSync(join(tmpdir(), 'posewright-bench-board-'));
  const busy = spawn(process.execPath, ['-e', 'for (;;);'], { stdio: 'ignore' });
  try {
    return await measured(place);
  } finally {
    busy.kill('SIGKILL');
    rmSync(place, { recursive: true, force: true });
  }
}

async function measured(place: string): Promise<string> {
  const { elf } = compileBoard({ boards: 'boards', wasm: 'build/controller.wasm', out: place }, 'native');
  copyFileSync('host/demo/dusk.csv', join(place, 'dusk.csv'));
  const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
  const clock = (): number => performance.now();
  const line = new BoardLine({
    rig,
    folder: new Folder(place),
    on: 'native',
    target: () => Promise.resolve(nativeTarget({ elf, clock })),
    misfit: () => null,
    now_ms: clock,
    sleep: (ms) => setTimeout(ms),
  });
  const page = new Page();
  line.connect(page as unknown as WebSocket);
  page.say({ do: 'rouse' });
  const until = async (so: () => boolean): Promise<void> => {
    while (!so()) {
      page.say({ do: 'here' });
      await setTimeout(HERE_MS);
    }
  };
  await until(() => page.board?.state === 'live');
  const [began_ms, late] = [clock(), page.board!.late];
  await until(() => {
    if (page.board?.follows !== 'take') page.say({ do: 'play', name: 'dusk.csv', from_s: 0 });
    return clock() - began_ms > FOR_S * 1000;
  });
  const { late: after, state } = page.board!;
  const counted = `${String(after - late)} frames late by more than the playback delay of ${String(rig.motion.playback_delay_ms)} ms`;
  await line.close();
  return `${counted} in ${String(FOR_S)} s to native, one core kept busy; ${String(page.played)} whole takes, the board ${state} at the end`;
}
