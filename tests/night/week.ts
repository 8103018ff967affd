/**
 * Nights with everything that goes wrong in an exhibit, by chance from a seed: power that goes at any instant and inside any byte of the
 * flash, supply dips, stuck sensors, noise on the link, bits that flip, hands on the button and the stop loop. An attendant comes by and
 * clears what is to be cleared; the maker sends the night again when a show is damaged.
 */
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { LogEvent } from '../../host/shows/log-frames.ts';
import { Accounts, type Asked, NIGHT, Sums } from './accounts.ts';
import { type Nor, blankNor } from '../../host/controller/nor.ts';
import { Board, STORE, type Watched } from './board.ts';
import { type Exhibit, INPUT_OF, SHOW } from './exhibit.ts';
import type { PicoBeside } from './pico-beside.ts';

const PAGE = 256;
/** Volts: the owl's battery counts as low below 5.0 V for more than 100 ms. */
const LOW_MV = 4600;

/** How often each happens, once in so many seconds on the mean. */
const EVERY_S = {
  powerCut: 400,
  cutInFlash: 500,
  shortDip: 30,
  longDip: 700,
  stuckFoot: 300,
  stuckDoor: 600,
  door: 60,
  noise: 60,
  loudNoise: 1500,
  stopLoop: 500,
  button: 400,
  settleByLink: 900,
} as const;
/** Cuts that hit an emulated board hit it anywhere between two ticks, and in one. */
const PERIOD_US = 5000;

export interface Ways {
  /** So many times more faults, visits too. */
  haste: number;
  flash: { readonly pages: number; readonly sectorPages: number };
  /** An emulated board beside the controller, for an evening. */
  beside(exhibit: Exhibit, store: Nor): PicoBeside | null;
}

type Fault = keyof typeof EVERY_S;
const FAULTS = Object.keys(EVERY_S) as Fault[];

export type Told = Record<Fault | 'flipsInShows' | 'flipsInLog' | 'nightsSent' | 'cleared', number>;

export class Week {
  readonly told = Object.fromEntries(
    [...FAULTS, 'flipsInShows', 'flipsInLog', 'nightsSent', 'cleared'].map((name) => [name, 0]),
  ) as Told;
  readonly sums = new Sums();
  readonly store: Nor;
  private readonly logAt: number;
  private readonly ways: Ways;
  private board!: Board;
  private exhibit!: Exhibit;
  private accounts!: Accounts;
  private readonly random: ReturnType<typeof xoroshiro128plus>;
  /** Seconds of power-on at which the attendant next comes, and the maker. */
  private visitAt = 60;
  private damagedAt = Infinity;
  /** Flips, and writes that were cut short: as many places of the log may be unreadable. */
  private spoilt = 0;
  private lookAt = 0;
  /** The power went while the attendant held the button. */
  private wasHeld = false;
  private starts: readonly Asked[] = [];
  private footUntil = 0;
  private doorUntil = 0;

  constructor(seed: number, ways: Partial<Ways> = {}) {
    this.ways = { haste: 1, flash: STORE, beside: () => null, ...ways };
    const { pages, sectorPages } = this.ways.flash;
    this.store = blankNor(this.ways.flash);
    this.logAt = 2 * Math.floor((pages / sectorPages - 2) / 2) * sectorPages * PAGE;
    this.random = xoroshiro128plus(seed);
    for (let n = 0; n < 32; n++) this.random.next();
  }

  /** So many seconds of power with this night, on the board and the flash of the evenings before. Throws when something is as it must not be. */
  evening(exhibit: Exhibit, seconds: number): Watched {
    this.exhibit = exhibit;
    this.board = new Board(exhibit, this.store, this.ways.beside(exhibit, this.store));
    this.accounts = new Accounts(exhibit, this.sums);
    [this.visitAt, this.damagedAt, this.lookAt, this.footUntil, this.doorUntil] = [60, Infinity, 0, 0, 0];
    this.board.seconds(0.5);
    if (!this.board.sendNight(exhibit.night)) this.board.fail('the night was not stored');
    this.schedule();
    for (let s = 0; s < seconds; s++) this.second();
    this.look();
    this.powerOff();
    this.powerOn();
    return this.board.watched;
  }

  private below(n: number): number {
    return (this.random.next() >>> 0) % n;
  }
  private by(chance_s: number): boolean {
    return this.below(Math.round(chance_s)) === 0;
  }

  /** So long from now, s: at the earliest, and by chance up to so much more. */
  private later(least_s: number, more_s: number): number {
    return this.now_s + (least_s + this.below(more_s)) / this.ways.haste;
  }

  private get now_s(): number {
    return this.board.age / this.board.hz;
  }

  private second(): void {
    const { board } = this;
    board.set(INPUT_OF.foot, this.now_s < this.footUntil);
    if (this.now_s >= this.doorUntil) board.set(INPUT_OF.door, false);
    for (const fault of FAULTS) if (board.power && this.by(EVERY_S[fault] / this.ways.haste)) this.befall(fault);
    if (board.power && this.now_s > this.visitAt) this.visit();
    if (board.power && this.now_s > this.damagedAt) this.sendAgain();
    board.seconds(1);
    if (board.power && (this.by(8) || this.now_s > this.lookAt)) this.look();
    if (!board.power) this.powerOn();
  }

  /** Reads record and log. */
  private look(): void {
    const { board } = this;
    this.lookAt = this.now_s + 12;
    const isRead = board.readRecord();
    this.accounts.record(board.takeRecords());
    const log = isRead ? board.readEvents() : null;
    if (!log) return;
    const mine = log.events.filter(({ boots }) => boots === log.last.boots);
    this.accounts.note(mine);
    if (mine.some(({ kind }) => kind === 'damaged')) this.damagedAt = Math.min(this.damagedAt, this.later(60, 120));
  }

  /** The plan's starts by themselves count from now. */
  private schedule(): void {
    // A little early: when the board had read its plan is not known to the tick.
    let at_s = this.now_s - 1;
    this.starts = this.exhibit.rig.night!.schedule.map(({ after_s, show }) => {
      at_s += after_s;
      return { show: SHOW[show as keyof typeof SHOW], at_s, by: 'schedule' as const };
    });
  }

  /** One fault, from a random tick of this second on. */
  private befall(fault: Fault): void {
    const { board } = this;
    board.run(this.below(board.hz));
    if (!board.power) return;
    this.told[fault]++;
    switch (fault) {
      case 'powerCut':
        this.powerOff();
        break;
      case 'cutInFlash':
        board.store.failsAfter = this.below(600);
        break;
      case 'shortDip':
        this.dip(0.02 + this.below(60) / 1000);
        break;
      case 'longDip':
        this.dip(0.2 + this.below(300) / 1000);
        break;
      case 'stuckFoot':
        this.footUntil = board.age / board.hz + 20 + this.below(60);
        break;
      case 'stuckDoor':
        this.closeDoor(60);
        break;
      case 'door':
        this.closeDoor(0.3);
        break;
      case 'noise':
        board.hear(this.bytes(this.below(200)));
        break;
      case 'loudNoise':
        for (let n = 0; n < board.hz; n++) {
          board.hear(this.bytes(60));
          board.tick();
        }
        break;
      case 'stopLoop':
        board.stopOpen = true;
        board.seconds(0.1 + this.below(5));
        board.stopOpen = false;
        break;
      case 'button':
        this.press(0.3);
        break;
      case 'settleByLink':
        board.settle();
    }
  }

  private bytes(n: number): Uint8Array {
    return Uint8Array.from({ length: n }, () => this.below(256));
  }
  private dip(for_s: number): void {
    this.board.supply_mv = LOW_MV;
    this.board.seconds(for_s);
    this.board.supply_mv = 6000;
  }
  private press(for_s: number): void {
    this.board.set(INPUT_OF.button, true);
    this.board.seconds(for_s);
    this.board.set(INPUT_OF.button, false);
    this.board.seconds(0.2);
  }
  private closeDoor(for_s: number): void {
    const { board } = this;
    if ((board.closed >> INPUT_OF.door) & 1) return;
    this.look();
    if (!board.power) return;
    // While it moves, or waits to, a switch that closes asks for nothing.
    const { night } = this.accounts;
    if ((night === NIGHT.ready || night === NIGHT.idle) && !board.isWarning)
      this.accounts.asked.push({ show: SHOW.nod, at_s: this.now_s, by: 'door' });
    board.set(INPUT_OF.door, true);
    this.doorUntil = board.age / board.hz + for_s;
    board.seconds(0.3);
  }

  /** The attendant: holds the button where nothing moves. What is to be cleared is cleared; what rests goes on. */
  private visit(): void {
    const { board } = this;
    this.visitAt = this.later(40, 200);
    if (board.isPulsing || board.isWarning) return;
    board.seconds(0.2);
    board.set(INPUT_OF.button, true);
    for (let n = 0; n < 3.4 * board.hz; n++) {
      board.tick();
      // Three seconds, debounced.
      if (n > 3.04 * board.hz && board.mustLook !== '' && board.power && board.controller.trip === 0) this.clears();
      this.wasHeld = n > 2.9 * board.hz;
      // Whatever moves now was about to, and this press ends it: it clears nothing.
      if (board.isPulsing || board.isWarning || !board.power) break;
    }
    if (board.power) this.wasHeld = false;
    board.set(INPUT_OF.button, false);
    board.seconds(0.3);
  }

  private clears(): void {
    this.told.cleared++;
    this.board.mustLook = '';
  }

  /** The maker: the night once more, when the prop rests. */
  private sendAgain(): void {
    const { board } = this;
    if (board.isPulsing || board.isWarning) {
      this.press(0.3);
      return;
    }
    if (board.sendNight(this.exhibit.night)) {
      this.told.nightsSent++;
      this.damagedAt = Infinity;
      this.closeSchedule();
      this.schedule();
    }
  }

  private closeSchedule(): void {
    this.accounts.asked.push(...this.starts.filter(({ at_s }) => at_s < this.now_s));
  }

  private powerOff(): void {
    if (this.board.power) this.board.switchOff(this.ways.haste > 1 ? this.below(PERIOD_US) : 0);
  }

  /** The power-on that is over is accounted for. In the dark bits flip; then power comes, and the log is read. */
  private powerOn(): void {
    const { board } = this;
    this.accounts.record(board.takeRecords());
    this.closeSchedule();
    if (board.store.failsAfter === 0) this.spoilt++;
    board.store.failsAfter = Infinity;
    const [before, end_s] = [this.accounts, this.now_s];
    this.flip();
    board.switchOn();
    [this.footUntil, this.doorUntil, this.visitAt, this.damagedAt] = [
      0,
      0,
      (10 + this.below(120)) / this.ways.haste,
      Infinity,
    ];
    board.closed = 0;
    board.seconds(0.5);
    const read = this.readLog();
    const mine = read.events.filter(({ boots }) => boots === read.last.boots - 1);
    before.note(mine);
    this.lookAt = 0;
    if (this.wasHeld && mine.some(({ kind, at_s }) => kind === 'cleared' && at_s > end_s - 0.5)) this.clears();
    this.wasHeld = false;
    const faults = before.close(end_s);
    if (faults.length > 0) board.fail(`before this power-on: ${faults.join('\n')}`);
    this.accounts = new Accounts(this.exhibit, this.sums);
    this.schedule();
  }

  private flip(): void {
    const { bytes } = this.board.store;
    if (this.by(6)) {
      const half = (this.below(2) * this.logAt) / 2;
      const first = half + 8 * PAGE;
      bytes[first + this.below(this.exhibit.night.length - 8 * PAGE)]! ^= 1 << this.below(8);
      this.told.flipsInShows++;
    }
    if (this.by(6)) {
      bytes[this.logAt + this.below(2 * this.store.sectorPages * PAGE)]! ^= 1 << this.below(8);
      this.told.flipsInLog++;
      this.spoilt++;
    }
  }

  /** The log after a power-up: readable, in order, and what it says of wear is what the flash has seen. */
  private readLog(): NonNullable<ReturnType<Board['readEvents']>> {
    const { board } = this;
    const read = board.readEvents() ?? board.fail('the log is not readable');
    const { torn, last, events } = read;
    if (torn > this.spoilt)
      board.fail(`${String(torn)} places of the log cannot be read, ${String(this.spoilt)} were spoilt`);
    inOrder(events, board);
    const sectors = board.store.erasures.subarray(this.logAt / PAGE / board.store.sectorPages);
    const erased = sectors.reduce((sum, n) => sum + n, 0);
    if (last.wear > erased || last.wear + this.spoilt < erased)
      board.fail(`the log counts ${String(last.wear)} erasures, there were ${String(erased)}`);
    return read;
  }
}

/** Numbers rise, and so do power-ups and, within one, times. */
function inOrder(events: readonly LogEvent[], board: Board): void {
  events.forEach((event, i) => {
    const before = events[i - 1];
    if (!before) return;
    if (event.boots < before.boots || (event.boots === before.boots && event.at_s < before.at_s))
      board.fail(`event ${String(event.n)} is older than the one before it`);
  });
}
