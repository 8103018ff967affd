/** The link's two ways on an open port, as a host has them: packets, their PIDs, and what the wire does to them. */
import type { Handshake, UsbChip } from './usb-chip.ts';
import { PACKET } from './usb-requests.ts';

const ENDPOINT = 2;
/** A reading host hands bytes on when a packet is short, or when so many are together. */
const TRANSFER_BYTES = 1024;
const LENGTHS_KEPT = 8;

/**
 * What may go wrong with a packet of the link: its bytes are damaged, so that who gets it does not answer; or its ACK is. Either way it
 * goes again, with the same PID (USB 2.0 8.6).
 */
export type WireError = 'damaged' | 'lostAck';

type Way = 'in' | 'out';

export class UsbLink {
  /** The host takes bytes; false: it leaves them with the device. */
  reading = true;
  /** Of the packets that the device has sent, the last ones: bytes in each. */
  readonly lengths: number[] = [];
  private readonly waiting: { readonly bytes: Uint8Array; readonly at_ns: number }[] = [];
  private given = 0;
  private readonly toggles = { in: false, out: false };
  private readonly spoilt: Record<Way, WireError[]> = { in: [], out: [] };
  /** The last packet that way went wrong, and goes again. */
  private readonly again = { in: false, out: false };
  private readonly read: number[] = [];
  private readonly fault: (words: string) => void;
  private readonly now_ns: () => number;
  private readonly bytes: (data: Uint8Array) => void;

  /** fault takes what the device did wrong; bytes what it sends. */
  constructor(fault: (words: string) => void, now_ns: () => number, bytes: (data: Uint8Array) => void) {
    this.fault = fault;
    this.now_ns = now_ns;
    this.bytes = bytes;
  }

  /** Bytes have not all been taken by the device. */
  get owes(): boolean {
    return this.waiting.length > 0;
  }

  /** Lets the next packets go wrong: one each, as they come to be carried. */
  spoil(way: Way, ...errors: readonly WireError[]): void {
    this.spoilt[way].push(...errors);
  }

  /** Errors that wait for a packet. */
  get owed(): Readonly<Record<Way, number>> {
    return { in: this.spoilt.in.length, out: this.spoilt.out.length };
  }

  /** Bytes from `at_us` on, machine time; calls come in the order of time. */
  write(bytes: Uint8Array, at_us: number): void {
    if (bytes.length > 0) this.waiting.push({ bytes: Uint8Array.from(bytes), at_ns: at_us * 1000 });
  }

  /** The device has left: what was on its way is lost. */
  forget(): void {
    this.waiting.length = 0;
    this.read.length = 0;
    this.given = 0;
    Object.assign(this.again, { in: false, out: false });
  }

  /** DATA0 comes next. */
  restart(...ways: readonly Way[]): void {
    for (const way of ways) this.toggles[way] = this.again[way] = false;
  }

  /** Offers the device a packet; 'nak' also when there is none. */
  out(chip: UsbChip, address: number): Handshake {
    const first = this.waiting[0];
    if (!first || first.at_ns > this.now_ns()) return 'nak';
    const packet = first.bytes.subarray(this.given, this.given + PACKET);
    const error = this.spoilt.out[0];
    const answer =
      error === 'damaged' ? 'silent' : chip.out(address, ENDPOINT, this.toggles.out, packet, this.again.out);
    if (error && answer !== 'nak') {
      this.spoilt.out.shift();
      this.again.out ||= error === 'lostAck';
      return 'ack';
    }
    if (answer !== 'ack') return answer;
    this.again.out = false;
    this.toggles.out = !this.toggles.out;
    this.given += packet.length;
    if (this.given === first.bytes.length) {
      this.waiting.shift();
      this.given = 0;
    }
    return 'ack';
  }

  /** Asks the device for a packet; 'nak' also when the host does not read. */
  in(chip: UsbChip, address: number): Handshake {
    if (!this.reading) return 'nak';
    const error = this.spoilt.in[0];
    const sent = chip.in(address, ENDPOINT, error === undefined);
    if (typeof sent === 'string') return sent;
    if (error) this.spoilt.in.shift();
    if (error === 'damaged') return 'ack';
    // A packet with the PID of the one before it is that one again to a host, and lost (USB 2.0 8.6.3).
    if (sent.data1 !== this.toggles.in) {
      if (!this.again.in) this.fault('a packet of the link has the other DATA PID');
      this.again.in = error !== undefined;
      return 'ack';
    }
    this.again.in = error !== undefined;
    this.toggles.in = !this.toggles.in;
    this.lengths.push(sent.bytes.length);
    if (this.lengths.length > LENGTHS_KEPT) this.lengths.shift();
    this.read.push(...sent.bytes);
    if (sent.bytes.length === PACKET && this.read.length < TRANSFER_BYTES) return 'ack';
    this.bytes(Uint8Array.from(this.read.splice(0)));
    return 'ack';
  }
}
