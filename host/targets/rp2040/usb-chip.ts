/**
 * The USB device controller of the RP2040 as the bus finds it (data sheet 4.1), where rp2040js takes every buffer at once: a buffer
 * stays with the controller until the host transacts, and what firmware must set before that is held against it. Of the wire's errors
 * it knows those of the link's packets; the analogue side is left out.
 */
import type { RP2040, Simulator } from 'rp2040js';

/** Offsets in the controller's memory and among its registers, and their bits. */
const [BUFFERS_AT, BUFFERS_END, EP0_BUFFER, MEMORY_BYTES] = [0x80, 0x100, 0x100, 4096];
const [SOF_RD, SIE_STATUS, MUXING] = [0x48, 0x50, 0x74];
const [AVAILABLE, STALL, DATA1, FULL, LENGTH] = [1 << 10, 1 << 11, 1 << 13, 1 << 15, 0x3ff];
const [EP_ENABLE, EP_INTERRUPT, EP_TYPE_AT, EP_ADDRESS] = [31, 29, 26, 0xffc0];
const BULK = 2;
const [DATA_SEQ_ERROR, BUS_RESET, SETUP_REC, RESUME, SUSPENDED] = [1 << 31, 1 << 19, 1 << 17, 1 << 11, 1 << 4];
const INTR_SOF = 1 << 17;
const [EP0_INTERRUPT, PULLUP] = [1 << 29, 1 << 16];
const [TO_PHY_SOFTCON, VBUS_OVERRIDE, CONTROLLER_EN] = [9, 3 << 2, 1];
const [CLK_USB_ENABLE, CLK_USB_SOURCE, USB_HZ] = [1 << 11, 7 << 5, 48e6];
const [RESETS, RESET_USBCTRL, RESET_ALL] = [0x4000c, 1 << 24, 0x1ffffff];
/** One of the controller's clocks: a word must stand so long before AVAILABLE may be set in it (data sheet 4.1.2.5.1). */
const WORD_STANDS_NS = 1e9 / USB_HZ;
/** A device that sees no frame for so long is suspended (USB 2.0 7.1.7.6). */
const IDLE_NS = 3e6;
/** Erratum RP2040-E15: no IN buffer may be offered in this stretch of a frame. */
const [E15_FROM_NS, E15_TO_NS] = [805_000, 995_000];
const LINK_ENDPOINT = 2;
const PACKET = 64;

/** What is used of the package's controller beyond its types. */
interface Controller {
  intRaw: number;
  sieStatus: number;
  epStallArm: number;
  rawWriteValue: number;
  readonly addrEndp: number;
  readonly mainCtrl: number;
  readonly sieCtrl: number;
  readonly usbPwr: number;
  sofFrameNumber: number;
  readUint32(offset: number): number;
  writeUint32(offset: number, value: number): void;
  DPRAMUpdated(offset: number, value: number): void;
  indicateBufferReady(endpoint: number, out: boolean): void;
  sieStatusUpdated(): void;
  checkInterrupts(): void;
}

/** What a device does with a token: nothing at all, or a handshake, or data. */
export type Handshake = 'ack' | 'nak' | 'stall' | 'silent';
export type Sent = { readonly bytes: Uint8Array; readonly data1: boolean } | Exclude<Handshake, 'ack'>;

export class UsbChip {
  private readonly usb: Controller;
  private muxing = 0;
  private frame_ns = -Infinity;
  /** Last word written without AVAILABLE, by offset, and when. */
  private readonly words = new Map<number, { readonly word: number; readonly at_ns: number }>();
  private readonly idle: ReturnType<Simulator['clock']['createAlarm']>;
  private readonly rp: RP2040;
  private readonly clock: Simulator['clock'];
  private readonly fault: (words: string) => void;

  constructor(rp: RP2040, clock: Simulator['clock'], fault: (words: string) => void) {
    this.rp = rp;
    this.clock = clock;
    this.fault = fault;
    this.usb = rp.usbCtrl as unknown as Controller;
    this.idle = clock.createAlarm(() => {
      this.raise(SUSPENDED);
    });
    // The package has every block out of reset from the start.
    (rp.peripherals[RESETS] as unknown as { reset: number }).reset = RESET_ALL;
    this.takeOver();
  }

  private takeOver(): void {
    const { usb } = this;
    const readUint32 = usb.readUint32.bind(usb);
    usb.readUint32 = (offset) => {
      if (offset === MUXING) return this.muxing;
      if (offset === SOF_RD) {
        usb.intRaw &= ~INTR_SOF;
        usb.checkInterrupts();
      }
      return readUint32(offset);
    };
    const writeUint32 = usb.writeUint32.bind(usb);
    usb.writeUint32 = (offset, value) => {
      const pulled = this.pulledUp;
      if (offset === MUXING) this.muxing = value;
      else writeUint32(offset, value);
      if (offset === SIE_STATUS && (usb.rawWriteValue & SUSPENDED) !== 0) {
        usb.sieStatus &= ~SUSPENDED;
        usb.sieStatusUpdated();
      }
      if (this.pulledUp && !pulled) this.idle.schedule(IDLE_NS);
    };
    usb.DPRAMUpdated = (offset, word) => {
      if (offset >= BUFFERS_AT && offset < BUFFERS_END) this.offered(offset, word);
    };
  }

  /** A buffer control word was written: is it handed over as it must be? */
  private offered(offset: number, word: number): void {
    const at_ns = this.clock.nanos;
    if ((word & AVAILABLE) === 0) {
      this.words.set(offset, { word, at_ns });
      return;
    }
    const name = `buffer control ${offset.toString(16)}h`;
    const before = this.words.get(offset);
    this.words.delete(offset);
    if (before?.word !== (word & ~AVAILABLE)) this.fault(`${name}: AVAILABLE came with the rest of the word`);
    else if (at_ns - before.at_ns < WORD_STANDS_NS) this.fault(`${name}: AVAILABLE came too soon after the word`);
    const into_ns = at_ns - this.frame_ns;
    if (offset === BUFFERS_AT + 8 * LINK_ENDPOINT && into_ns > E15_FROM_NS && into_ns < E15_TO_NS)
      this.fault(`an IN buffer was offered ${String(Math.round(into_ns / 1000))} us into a frame (E15)`);
  }

  private raise(bit: number): void {
    this.usb.sieStatus |= bit;
    this.usb.sieStatusUpdated();
  }

  private get clocked(): boolean {
    const { rp } = this;
    const control = (rp.clocks as unknown as { usbCtrl: number }).usbCtrl;
    const inReset = (rp.peripherals[RESETS] as unknown as { reset: number }).reset & RESET_USBCTRL;
    return (
      rp.pllUsb.frequency === USB_HZ &&
      (control & (CLK_USB_ENABLE | CLK_USB_SOURCE)) === CLK_USB_ENABLE &&
      inReset === 0
    );
  }

  /** A host sees the device. */
  get pulledUp(): boolean {
    const { usb } = this;
    return (
      (usb.sieCtrl & PULLUP) !== 0 &&
      (usb.mainCtrl & CONTROLLER_EN) !== 0 &&
      (this.muxing & TO_PHY_SOFTCON) === TO_PHY_SOFTCON &&
      (usb.usbPwr & VBUS_OVERRIDE) === VBUS_OVERRIDE &&
      this.clocked
    );
  }

  frame(number: number): void {
    this.frame_ns = this.clock.nanos;
    this.idle.schedule(IDLE_NS);
    this.usb.sofFrameNumber = number;
    this.usb.intRaw |= INTR_SOF;
    this.usb.checkInterrupts();
  }

  busReset(): void {
    this.idle.schedule(IDLE_NS);
    this.raise(BUS_RESET);
  }

  resume(): void {
    this.raise(RESUME);
  }

  private hears(address: number): boolean {
    return this.pulledUp && (this.usb.addrEndp & 0x7f) === address;
  }

  setup(address: number, packet: Uint8Array): Handshake {
    if (!this.hears(address)) return 'silent';
    this.rp.usbDPRAM.set(packet);
    this.usb.epStallArm = 0;
    this.raise(SETUP_REC);
    return 'ack';
  }

  /** The word of an endpoint's way if it has a buffer to offer, and where that is. */
  private ready(
    endpoint: number,
    out: boolean,
  ): { word: number; at: number; buffer: number } | 'nak' | 'stall' | 'silent' {
    const at = BUFFERS_AT + 8 * endpoint + (out ? 4 : 0);
    const word = this.rp.usbDPRAMView.getUint32(at, true);
    if (endpoint === 0) {
      if ((word & STALL) !== 0 && (this.usb.epStallArm & (out ? 2 : 1)) !== 0) return 'stall';
      return (word & AVAILABLE) === 0 ? 'nak' : { word, at, buffer: EP0_BUFFER };
    }
    const control = this.rp.usbDPRAMView.getUint32(8 * endpoint + (out ? 4 : 0), true);
    if (((control >>> EP_ENABLE) & 1) === 0) return 'silent';
    if ((word & STALL) !== 0) return 'stall';
    if ((word & AVAILABLE) === 0) return 'nak';
    const buffer = control & EP_ADDRESS;
    if (((control >>> EP_TYPE_AT) & 3) !== BULK) this.fault(`endpoint ${String(endpoint)} is not bulk`);
    if (buffer <= EP0_BUFFER || buffer + PACKET > MEMORY_BYTES)
      this.fault(`endpoint ${String(endpoint)} has its buffer at ${String(buffer)}`);
    return { word, at, buffer };
  }

  private finish(endpoint: number, out: boolean, at: number, word: number): void {
    this.rp.usbDPRAMView.setUint32(at, word & ~AVAILABLE, true);
    const control = this.rp.usbDPRAMView.getUint32(8 * endpoint + (out ? 4 : 0), true);
    const tells = endpoint === 0 ? (this.usb.sieCtrl & EP0_INTERRUPT) !== 0 : ((control >>> EP_INTERRUPT) & 1) !== 0;
    if (tells) this.usb.indicateBufferReady(endpoint, out);
  }

  /** acked: the host's handshake arrives; without, the packet stays where it is and goes again. */
  in(address: number, endpoint: number, acked = true): Sent {
    if (!this.hears(address)) return 'silent';
    const ready = this.ready(endpoint, false);
    if (typeof ready === 'string') return ready;
    const { word, at, buffer } = ready;
    if ((word & FULL) === 0) {
      this.fault(`endpoint ${String(endpoint)} offers an IN buffer that is not FULL`);
      return 'nak';
    }
    const bytes = this.rp.usbDPRAM.slice(buffer, buffer + (word & LENGTH));
    if (bytes.length > PACKET) this.fault(`endpoint ${String(endpoint)} babbles: ${String(bytes.length)} bytes`);
    if (acked) this.finish(endpoint, false, at, word & ~FULL);
    return { bytes, data1: (word & DATA1) !== 0 };
  }

  /** again: the host heard no answer to this packet before; one that has been taken is acknowledged and let go (USB 2.0 8.6.4). */
  out(address: number, endpoint: number, data1: boolean, bytes: Uint8Array, again = false): Handshake {
    if (!this.hears(address)) return 'silent';
    const ready = this.ready(endpoint, true);
    if (typeof ready === 'string') return ready;
    const { word, at, buffer } = ready;
    if ((word & FULL) !== 0) {
      this.fault(`endpoint ${String(endpoint)} offers an OUT buffer that is FULL`);
      return 'nak';
    }
    const awaited = ((word & DATA1) !== 0) === data1;
    if (!awaited && again) {
      this.raise(DATA_SEQ_ERROR);
      return 'ack';
    }
    if (!awaited) this.fault(`endpoint ${String(endpoint)} awaits the other DATA PID`);
    if ((word & LENGTH) < bytes.length)
      this.fault(`endpoint ${String(endpoint)} has no room for ${String(bytes.length)} bytes`);
    this.rp.usbDPRAM.set(bytes, buffer);
    this.finish(endpoint, true, at, (word & ~LENGTH) | FULL | bytes.length);
    return 'ack';
  }
}
