/**
 * A cable from an emulated RP2040 to a host that behaves as USB 2.0 and CDC PSTN 1.2 have it: it finds the device, reads its
 * descriptors, opens the port, and moves packets, about 19 a millisecond. What the device does against the rules is a fault, in words.
 */
import type { RP2040, Simulator } from 'rp2040js';
import { type Handshake, UsbChip } from './usb-chip.ts';
import { UsbLink } from './usb-link.ts';
import { PACKET, type Request, describe, lineCoding, lineState, nameOf, request } from './usb-requests.ts';

/** A frame's 20 stretches: its start, then a packet each (64 bytes with their overhead take about 50 us at 12 Mbit/s). */
const [SLOT_NS, SLOTS] = [50_000, 20];
/** Debounce, reset and recovery (USB 2.0 7.1.7.3, 7.1.7.5): 100, 10, 10 ms; an address counts after 2 ms (9.2.6.3). */
const [DEBOUNCE_NS, RESET_NS, RECOVERY_NS, ADDRESS_NS] = [100e6, 10e6, 10e6, 2e6];
/** Longest answer to a request (USB 2.0 9.2.6.4), tries of a packet that nobody answers (8.7.4). */
const [REQUEST_NS, TRIES] = [500e6, 3];
const RESUME_NS = 20e6;
const ADDRESS = 5;

/** A transfer on endpoint 0 as it goes on. */
interface Transfer {
  readonly request: Request;
  stage: 'setup' | 'in' | 'out' | 'status';
  readonly began_ns: number;
  data1: boolean;
  readonly got: number[];
  misses: number;
}

export class UsbCable {
  /** What was read of the device: descriptors, and its strings by index. */
  readonly found = { device: new Uint8Array(0), configuration: new Uint8Array(0), strings: [] as string[] };
  readonly link: UsbLink;
  private chip: UsbChip | null = null;
  private alarm: ReturnType<Simulator['clock']['createAlarm']> | null = null;
  private plugged = false;
  private asleep = false;
  private slot = 0;
  private frames = 0;
  private seen_ns = -1;
  private quiet_ns = 0;
  private address = 0;
  private opened = false;
  private set = false;
  private transfer: Transfer | null = null;
  private readonly requests: Request[] = [];
  private steps: Generator<Request, void, undefined> | null = null;
  private resets = 0;
  private readonly faults: string[];
  private readonly now_ns: () => number;

  /** faults takes what the device did wrong; bytes what it sends. */
  constructor(faults: string[], now_ns: () => number, bytes: (data: Uint8Array) => void) {
    this.faults = faults;
    this.now_ns = now_ns;
    this.link = new UsbLink((words) => this.fault(words), now_ns, bytes);
  }

  /** The port is open: descriptors read, configured, DTR on. */
  get open(): boolean {
    return this.opened;
  }

  /** The device is configured: its port is there, open or not. */
  get configured(): boolean {
    return this.set;
  }

  /** The chip has started anew: whatever was plugged in before has left the bus. */
  connect(rp: RP2040, clock: Simulator['clock']): void {
    this.chip = new UsbChip(rp, clock, (words) => this.faults.push(`USB: ${words}`));
    this.alarm = clock.createAlarm(() => {
      this.turn();
    });
    this.forget();
    if (this.plugged) this.alarm.schedule(SLOT_NS);
  }

  plug(): void {
    if (this.plugged) return;
    this.plugged = true;
    this.alarm?.schedule(SLOT_NS);
  }

  /** Bytes on their way are lost. */
  unplug(): void {
    this.plugged = false;
    this.alarm?.cancel();
    this.forget();
  }

  /** The host stops its frames, as a computer that goes to sleep. */
  suspend(): void {
    this.asleep = true;
  }

  resume(): void {
    this.asleep = false;
    this.chip?.resume();
    this.quiet_ns = this.now_ns() + RESUME_NS;
  }

  /** The host resets the bus and begins anew. */
  busReset(): void {
    this.forget();
    this.seen_ns = this.now_ns() - DEBOUNCE_NS;
  }

  /** Asks on endpoint 0, after what has been asked before. */
  ask(...requests: readonly Request[]): void {
    this.requests.push(...requests);
  }

  /** Bytes for the link from `at_us` on, machine time, as soon as the device takes them; calls come in the order of time. */
  write(bytes: Uint8Array, at_us: number): void {
    this.link.write(bytes, at_us);
  }

  private forget(): void {
    this.seen_ns = -1;
    this.resets = 0;
    this.address = 0;
    this.opened = false;
    this.set = false;
    this.asleep = false;
    this.transfer = null;
    this.steps = null;
    this.requests.length = 0;
    this.link.forget();
  }

  private turn(): void {
    this.alarm?.schedule(SLOT_NS);
    const { chip } = this;
    const now_ns = this.now_ns();
    if (!chip?.pulledUp) {
      if (this.seen_ns >= 0) this.forget();
      return;
    }
    if (this.seen_ns < 0) this.seen_ns = now_ns;
    if (this.asleep || now_ns < this.seen_ns + DEBOUNCE_NS || now_ns < this.quiet_ns) return;
    if (this.resets === 0) {
      this.resets = 1;
      chip.busReset();
      this.steps = this.enumerate();
      this.quiet_ns = now_ns + RESET_NS;
      return;
    }
    this.slot = (this.slot + 1) % SLOTS;
    if (this.slot === 0) {
      chip.frame(this.frames++ & 0x7ff);
      if (this.resets++ === 1) this.quiet_ns = 0;
    } else if (this.resets > 1 + RECOVERY_NS / (SLOT_NS * SLOTS)) this.transact(chip);
  }

  /** One packet: requests first, then what is to be sent and what is to be read by turns. */
  private transact(chip: UsbChip): void {
    if (this.transfer ?? this.next()) this.carryOn(chip);
    else if (this.opened && (this.slot % 2 === 0 || !this.carries(this.link.out(chip, this.address))))
      this.carries(this.link.in(chip, this.address));
  }

  /** Whether a packet went over the bus. A host gives a port up that answers by a stall, or not at all. */
  private carries(answer: Handshake): boolean {
    if (answer === 'ack' || answer === 'nak') return answer === 'ack';
    this.fault(`${answer} on the link`);
    this.opened = false;
    return false;
  }

  private next(): boolean {
    const asked = this.requests.shift() ?? this.steps?.next().value ?? null;
    if (!asked) return false;
    this.transfer = { request: asked, stage: 'setup', began_ns: this.now_ns(), data1: true, got: [], misses: 0 };
    return true;
  }

  private *enumerate(): Generator<Request, void, undefined> {
    const of = function* (asked: Request): Generator<Request, Uint8Array, undefined> {
      yield asked;
      return asked.bytes ?? new Uint8Array(0);
    };
    yield* of(describe(1, 0, PACKET));
    yield* of(request(0, 5, ADDRESS));
    this.found.device = Uint8Array.from(yield* of(describe(1, 0, 18)));
    const head = yield* of(describe(2, 0, 9));
    this.found.configuration = Uint8Array.from(yield* of(describe(2, 0, (head[2] ?? 0) | ((head[3] ?? 0) << 8))));
    yield* of(describe(3, 0, 255));
    this.found.strings.length = 0;
    for (const index of this.found.device.slice(14, 17)) {
      const said = yield* of(describe(3, index, 255));
      this.found.strings[index] = Buffer.from(said.slice(2)).toString('utf16le');
    }
    yield* of(request(0, 9, 1));
    yield* of(lineCoding(500_000));
    yield* of(lineState(true));
  }

  private carryOn(chip: UsbChip): void {
    const transfer = this.transfer!;
    const { request: asked, stage } = transfer;
    const inward = (asked.setup[0] ?? 0) >= 0x80 && ((asked.setup[6] ?? 0) | (asked.setup[7] ?? 0)) > 0;
    let answer: Handshake;
    if (stage === 'setup') answer = chip.setup(this.address, asked.setup);
    else if (stage === 'out') answer = chip.out(this.address, 0, true, asked.data ?? new Uint8Array(0));
    else if (stage === 'status' && inward) answer = chip.out(this.address, 0, true, new Uint8Array(0));
    else answer = this.controlIn(chip, transfer);
    transfer.misses = answer === 'silent' ? transfer.misses + 1 : 0;
    if (answer === 'stall') this.end(true);
    else if (transfer.misses >= TRIES) this.fail(`nothing answers at address ${String(this.address)}`);
    else if (this.now_ns() - transfer.began_ns > REQUEST_NS) this.fail('no answer in 500 ms');
    else if (answer !== 'ack') return;
    else if (stage === 'setup') transfer.stage = inward ? 'in' : asked.data ? 'out' : 'status';
    else if (stage === 'out') transfer.stage = 'status';
    else if (stage === 'status') this.end(false);
  }

  /** A packet of the answer, or the status of a request that goes to the device: one without bytes, DATA1. */
  private controlIn(chip: UsbChip, transfer: Transfer): Handshake {
    const sent = chip.in(this.address, 0);
    if (typeof sent === 'string') return sent;
    const { request: asked, stage } = transfer;
    if (sent.data1 !== transfer.data1) this.fault(`${stage} of ${nameOf(asked)} has the other DATA PID`);
    if (stage === 'status') {
      if (sent.bytes.length > 0) this.fault(`status of ${nameOf(asked)} has bytes`);
      return 'ack';
    }
    transfer.data1 = !transfer.data1;
    transfer.got.push(...sent.bytes);
    const most = (asked.setup[6] ?? 0) | ((asked.setup[7] ?? 0) << 8);
    if (transfer.got.length > most) this.fault(`${nameOf(asked)} is answered by more than ${String(most)} bytes`);
    if (sent.bytes.length === PACKET && transfer.got.length < most) return 'nak';
    transfer.stage = 'status';
    return 'nak';
  }

  private end(stalled: boolean): void {
    const { request: asked, got } = this.transfer!;
    this.transfer = null;
    asked.stalled = stalled;
    if (!stalled) asked.bytes = Uint8Array.from(got);
    else if (this.steps && !this.opened) this.fault(`${nameOf(asked)} is stalled`);
    if (!stalled) this.follow(asked);
  }

  /** What a request that has succeeded changes at the host. */
  private follow({ setup }: Request): void {
    const [type = 0, code = 0, value = 0, , index = 0] = setup;
    if (type === 0 && code === 5) {
      this.address = value;
      this.quiet_ns = this.now_ns() + ADDRESS_NS;
    }
    if (type === 0 && code === 9) {
      this.set = value > 0;
      this.link.restart('in', 'out');
    }
    if (type === 2 && code === 1) this.link.restart(index >= 0x80 ? 'in' : 'out');
    if (type === 0x21 && code === 0x22) this.opened = (value & 1) !== 0;
  }

  private fail(words: string): void {
    this.fault(`${nameOf(this.transfer!.request)}: ${words}`);
    this.transfer = null;
    this.steps = null;
  }

  private fault(words: string): void {
    this.faults.push(`USB: ${words}`);
  }
}
