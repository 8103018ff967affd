/**
 * Frames that come too late to a board while cores are kept busy: the stage's own line to the firmware as a program of this machine, in
 * real time, playing the demo's take again and again. The program runs on the same cores: what it is late itself, a board would not be.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { EventEmitter } from 'node:events';
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import type { WebSocket } from 'ws';
import { compileBoard } from '../../firmware/compile.ts';
import type { Target } from '../../replay/target.ts';
import { readRig } from '../../rig/read.ts';
import { BoardLine } from '../../stage/board-line.ts';
import { Folder } from '../../stage/folder.ts';
import type { FromLine, ToLine } from '../../stage/line-words.ts';
import { nativeTarget } from '../../targets/native.ts';

const HERE_MS = 250;

export interface Load {
  readonly minutes: number;
  /** Cores kept busy by endless loops. */
  readonly busy: number;
}

/** A page that only keeps what it was told last. */
class Page extends EventEmitter {
  readonly OPEN = 1;
  readonly readyState = 1;
  readonly bufferedAmount = 0;
  board: Extract<FromLine, { said: 'board' }> | null = null;
  played = 0;
  /** Why the board gave up, in words, as often as it did. */
  readonly trips: string[] = [];

  send(text: string): void {
    const what = JSON.parse(text) as FromLine;
    if (what.said === 'fault') throw new Error(what.words);
    if (what.said !== 'board') return;
    if (this.board?.follows === 'take' && what.follows === 'hand') this.played++;
    if (what.trip !== null && this.board?.trip === null) this.trips.push(what.trip);
    this.board = what;
  }
  say(what: ToLine): void {
    this.emit('message', Buffer.from(JSON.stringify(what)), false);
  }
}

/** The target, and how long the sender did not look at it at the most, ms; its step is 20 ms. */
function watched(target: Target, clock: () => number): { readonly target: Target; readonly still_ms: () => number } {
  let [last_ms, most_ms] = [NaN, 0];
  return {
    still_ms: () => most_ms,
    target: {
      ...target,
      async open(listener) {
        const session = await target.open(listener);
        const advance = session.advance.bind(session);
        session.advance = (to_us) => {
          const now_ms = clock();
          if (now_ms - last_ms > most_ms) most_ms = now_ms - last_ms;
          last_ms = now_ms;
          return advance(to_us);
        };
        return session;
      },
    },
  };
}

/** A line of words with what was counted. */
export async function lateFrames(load: Load = { minutes: 1, busy: 1 }): Promise<string> {
  const place = mkdtempSync(join(tmpdir(), 'posewright-bench-board-'));
  const { elf } = compileBoard({ boards: 'boards', wasm: 'build/controller.wasm', out: place }, 'native');
  const loops: ChildProcess[] = Array.from({ length: load.busy }, () =>
    spawn(process.execPath, ['-e', 'for (;;);'], { stdio: 'ignore' }),
  );
  try {
    return await measured(place, elf, load);
  } finally {
    for (const loop of loops) loop.kill('SIGKILL');
    rmSync(place, { recursive: true, force: true });
  }
}

async function measured(place: string, elf: string, { minutes, busy }: Load): Promise<string> {
  copyFileSync('host/demo/dusk.csv', join(place, 'dusk.csv'));
  const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
  const clock = (): number => performance.now();
  const { target, still_ms } = watched(nativeTarget({ elf, clock }), clock);
  const line = new BoardLine({
    rig,
    folder: new Folder(place),
    on: 'native',
    target: () => Promise.resolve(target),
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
  await until(() => page.board?.state === 'live' || page.trips.length > 0);
  const [began_ms, late] = [clock(), page.board!.late];
  await until(() => {
    if (page.board?.state === 'live' && page.board.follows !== 'take')
      page.say({ do: 'play', name: 'dusk.csv', from_s: 0 });
    return clock() - began_ms > minutes * 60_000 || page.trips.length > 0;
  });
  const { late: after, state } = page.board!;
  const took_s = ((clock() - began_ms) / 1000).toFixed(0);
  const counted = `${String(after - late)} frames late by more than the playback delay of ${String(rig.motion.playback_delay_ms)} ms`;
  await line.close();
  const end = page.trips.length > 0 ? `the board tripped: ${page.trips.join(', ')}` : `the board ${state} at the end`;
  return `${counted} in ${took_s} s to native, ${String(busy)} of ${String(availableParallelism())} cores kept busy; the sender, who looks every 20 ms, stood still for ${still_ms().toFixed(0)} ms at the most; ${String(page.played)} whole takes, ${end}`;
}
