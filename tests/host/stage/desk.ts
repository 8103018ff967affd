/** The server's line with a clock that goes on as it sleeps, and pages that say what a test has them say. */
import { EventEmitter } from 'node:events';
import { mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { WebSocket } from 'ws';
import { readRig } from '../../../host/rig/read.ts';
import { BoardLine } from '../../../host/stage/board-line.ts';
import { Folder } from '../../../host/stage/folder.ts';
import type { FromLine, ToLine } from '../../../host/stage/line-words.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';

export const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;

export class Page extends EventEmitter {
  readonly OPEN = 1;
  readyState = 1;
  bufferedAmount = 0;
  readonly heard: FromLine[] = [];
  isOut = false;

  send(text: string): void {
    this.heard.push(JSON.parse(text));
  }
  say(what: ToLine): void {
    this.emit('message', Buffer.from(JSON.stringify(what)), false);
  }
  terminate(): void {
    this.isOut = true;
    this.leave();
  }
  leave(): void {
    this.readyState = 3;
    this.emit('close');
  }
  get board() {
    return this.heard.filter((what) => what.said === 'board').at(-1)!;
  }
}

/** A line whose clock goes on as it sleeps. */
export class Desk {
  now_ms = 0;
  readonly folder = mkdtempSync(join(tmpdir(), 'posewright-line-'));
  readonly line;
  private wakes: { readonly at_ms: number; readonly wake: () => void }[] = [];

  constructor(target: () => Promise<ReturnType<typeof simTarget>> = async () => simTarget({ wasm: WASM })) {
    this.line = new BoardLine({
      rig: owl,
      folder: new Folder(this.folder),
      on: 'sim',
      target,
      misfit: () => null,
      now_ms: () => this.now_ms,
      sleep: (ms) => this.later(ms),
    });
  }

  /** Once so much time has passed. */
  later(ms: number): Promise<void> {
    return new Promise((wake) => this.wakes.push({ at_ms: this.now_ms + ms, wake }));
  }

  page(): Page {
    const page = new Page();
    this.line.connect(page as unknown as WebSocket);
    return page;
  }

  /** Passes time in steps of 20 ms; `every` is done at each. */
  async pass(ms: number, every: () => void = () => undefined): Promise<void> {
    for (let left = ms; left > 0; left -= 20) {
      this.now_ms += 20;
      every();
      const due = this.wakes.filter(({ at_ms }) => at_ms <= this.now_ms);
      this.wakes = this.wakes.filter(({ at_ms }) => at_ms > this.now_ms);
      for (const { wake } of due) wake();
      await new Promise((resolve) => setImmediate(resolve));
    }
  }

  /** A page that is awake, with the prop live. */
  async live(): Promise<Page> {
    const page = this.page();
    page.say({ do: 'rouse' });
    await this.pass(30_000, () => page.say({ do: 'here' }));
    expect(page.board.state).toBe('live');
    return page;
  }

  async close(): Promise<void> {
    let isClosed = false;
    const closing = this.line.close().then(() => (isClosed = true));
    while (!isClosed) await this.pass(1000);
    await closing;
  }
}
