/**
 * The server's line to the board: one conversation, whatever the page is at. It plays what is time-critical from here, in real time; a
 * page only steers. A page that leaves settles the prop; one that falls silent is silence to the board's own guard.
 */
import type { WebSocket } from 'ws';
import { packImage } from '../controller/image.ts';
import { slowWords, slowed } from '../controller/slowed.ts';
import { Conversation, TargetError } from '../replay/conversation.ts';
import { telemetryTicks } from '../replay/measure.ts';
import type { Target } from '../replay/target.ts';
import type { Rig } from '../rig/rig.ts';
import { nightOf } from '../shows/plan.ts';
import { scanStream } from '../stream/read.ts';
import type { Folder } from './folder.ts';
import { AHEAD_US, Follower, STEP_US } from './follower.ts';
import { LineClock } from './line-clock.ts';
import { type FromLine, type ToLine, readToLine } from './line-words.ts';
import { NightWatch } from './night-watch.ts';

export interface LineOptions {
  readonly rig: Rig;
  readonly folder: Folder;
  /** Null: pages only watch each other, and play in themselves. */
  readonly on: string | null;
  readonly target: () => Promise<Target>;
  /** Why the rig is not for the board that answers with this number of its kind, in words; null: it is. */
  readonly misfit: (board: number, target: Target) => string | null;
  /** Milliseconds that only go on, and waiting for some. */
  readonly now_ms: () => number;
  readonly sleep: (ms: number) => Promise<void>;
}

/** A page that says nothing for so long of the board's time sleeps, us. */
const SILENT_US = 1e6;
/** Messages that mean nothing, before a page is shut out. */
const MOST_BAD = 20;

export class BoardLine {
  private readonly options: LineOptions;
  private readonly sockets = new Set<WebSocket>();
  private driver: WebSocket | null = null;
  private talk: Conversation | null = null;
  private follower: Follower | null = null;
  private night: NightWatch | null = null;
  private clock: LineClock | null = null;
  private opening: Promise<Follower> | null = null;
  private running: Promise<void> = Promise.resolve();
  private ending = false;
  /** The take that was asked for last, by its file's name. */
  private playing: string | null = null;

  constructor(options: LineOptions) {
    this.options = options;
  }

  /** A page has opened its socket: it drives when no other does, and watches otherwise. */
  connect(socket: WebSocket): void {
    let bad = 0;
    this.sockets.add(socket);
    socket.on('message', (data: Buffer, isBinary) => {
      const asked = isBinary ? null : readToLine(data.toString('utf8'), this.size);
      if (asked) this.take(socket, asked);
      else if (++bad > MOST_BAD) socket.terminate();
    });
    socket.on('close', () => {
      this.sockets.delete(socket);
      if (socket === this.driver) this.left();
    });
    this.driver ??= socket;
    this.heard();
    this.tellRoles();
  }

  /** The page that drives is awake. */
  private heard(): void {
    if (this.clock) this.clock.silent_us = 0;
  }

  private get size(): number {
    const { joints, platform } = this.options.rig;
    return 6 + joints.length - (platform ? 6 : 0);
  }

  /** The page that drove is gone. */
  private left(): void {
    this.driver = null;
    if (this.isAwake) this.follower?.command('settle');
    this.tellRoles();
  }

  /** It follows what it is asked, or warns that it will. */
  get isAwake(): boolean {
    if (this.talk === null) return false;
    return this.night?.state === 'warning' || ['rousing', 'live', 'holding'].includes(this.talk.state);
  }

  private take(socket: WebSocket, asked: ToLine): void {
    if (asked.do === 'drive') {
      this.driver ??= socket;
      this.tellRoles();
    }
    if (socket !== this.driver) {
      // Anybody may bring a prop to its rest.
      if (asked.do === 'settle' || asked.do === 'stop') this.follower?.command(asked.do);
      return;
    }
    this.heard();
    if (asked.do === 'here' || asked.do === 'drive') return;
    this.obey(asked).catch((error: unknown) => {
      this.fail(error);
    });
  }

  private async obey(asked: Exclude<ToLine, { readonly do: 'here' | 'drive' }>): Promise<void> {
    const { rig, folder } = this.options;
    if (this.options.on === null) return;
    this.opening ??= this.open();
    const follower = await this.opening;
    if (asked.do === 'hand') follower.hand(Float64Array.from(asked.values));
    else if (asked.do === 'release') follower.release();
    else if (asked.do !== 'play') follower.command(asked.do);
    else {
      const bytes = folder.read(asked.name, 'stream');
      if (!bytes) throw new TargetError(`there is no take ${asked.name} in the rig’s folder`);
      const wrong = (await scanStream([bytes], rig)).problems.find(({ severity }) => severity === 'error');
      if (wrong) throw new TargetError(`${asked.name}, line ${wrong.line}: ${wrong.message}`);
      this.playing = asked.name;
      await follower.play(bytes.toString('utf8'), asked.from_s);
    }
  }

  /** Opens the line and gives the board its rig; the loop runs from here on. */
  private async open(): Promise<Follower> {
    const { rig } = this.options;
    const target = await this.options.target();
    const image = packImage(target.proven === 'hardware' ? slowed(rig) : rig);
    let follower: Follower | null = null;
    const talk = await Conversation.open(target, { telemetry: () => follower?.heard() });
    const { board } = await talk.expect(image, target);
    const misfit = this.options.misfit(board, target);
    if (misfit !== null) throw new TargetError(misfit);
    await talk.load(image);
    await talk.report(telemetryTicks(rig.motion.tick_hz));
    this.night = await NightWatch.of(talk, nightOf(rig).warn_s);
    follower = new Follower(rig, talk, { ahead_us: AHEAD_US });
    [this.talk, this.follower] = [talk, follower];
    const slow = target.proven === 'hardware' ? slowWords(rig) : null;
    if (slow !== null) this.tell({ said: 'fault', words: slow, isOpen: true });
    this.running = this.run(talk, follower).catch((error: unknown) => {
      this.fail(error, false);
    });
    return follower;
  }

  private async run(talk: Conversation, follower: Follower): Promise<void> {
    const { now_ms, sleep } = this.options;
    const clock = (this.clock = new LineClock(now_ms(), talk.session.now_us));
    while (!this.ending) {
      if (clock.silent_us > SILENT_US) follower.release();
      follower.feed();
      this.night?.look();
      await talk.session.advance(talk.session.now_us + STEP_US);
      // An emulator that is behind must leave time to hear the page, too.
      await sleep(clock.step(now_ms(), talk.session.now_us));
      this.tellBoard(talk, follower);
    }
    if (this.isAwake) await talk.settle();
    await talk.session.close();
  }

  private tellBoard({ latest, state, tripped }: Conversation, follower: Follower): void {
    const n = this.options.rig.joints.length;
    this.tell({
      said: 'board',
      state,
      trip: tripped,
      follows: follower.kind,
      take: follower.kind === 'take' ? this.playing : null,
      take_s: follower.take_s,
      told_s: follower.told_s,
      position: [...latest.position.subarray(0, n)],
      pulse_us: [...latest.pulse_us.subarray(0, n)],
      night: this.night?.state ?? null,
      moves_in_s: this.night?.moves_in_s ?? null,
      slow: this.clock?.slow ?? null,
      late: latest.counters[4] ?? 0,
    });
  }

  private tellRoles(): void {
    for (const socket of this.sockets)
      send(socket, { said: 'you', drives: socket === this.driver, on: this.options.on });
  }

  private tell(what: FromLine): void {
    for (const socket of this.sockets) send(socket, what);
  }

  /** Says what did not work. A line that broke may be opened anew. */
  private fail(error: unknown, isOpen = this.talk !== null): void {
    if (!(error instanceof TargetError)) throw error;
    if (!isOpen) this.talk = this.follower = this.night = this.clock = this.opening = null;
    this.tell({ said: 'fault', words: error.message, isOpen });
  }

  /** Brings the prop to its rest and lets the line go. */
  async close(): Promise<void> {
    this.ending = true;
    await this.running;
  }
}

/** More than this waiting to be sent: the page does not read, and what it missed is of no use to it. */
const BACKLOG = 1 << 16;

function send(socket: WebSocket, what: FromLine): void {
  if (socket.readyState === socket.OPEN && socket.bufferedAmount < BACKLOG) socket.send(JSON.stringify(what));
}
