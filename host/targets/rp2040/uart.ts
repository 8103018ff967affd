/**
 * UART0 as the chip has it (data sheet 4.2.6), where rp2040js has it simpler. Sending: 32 bytes of buffer that leave at the line's
 * pace, an interrupt when half of them have; bytes are handed on when they have left. Receiving: an interrupt when half the buffer
 * is full, or when something is in it and the line has been still for 32 bits. Both ways: requests to the DMA while there is room or
 * something to fetch.
 */
import type { RP2040, Simulator } from 'rp2040js';

const FIFO_BYTES = 32;
const INTERRUPT_AT = FIFO_BYTES / 2;
/** Bits of a byte, start and stop among them, and of the pause that ends a burst. */
const BYTE_BITS = 10;
const PAUSE_BITS = 32;
const FLAGS = 0x18;
const DMA_CONTROL = 0x48;
const [DMA_RX, DMA_TX] = [1 << 0, 1 << 1];
const [REQUEST_TX, REQUEST_RX] = [20, 21];
const FLAG_FULL = 1 << 5;
const FLAG_EMPTY = 1 << 7;
const INTERRUPT_TX = 1 << 5;
const INTERRUPT_RX = 1 << 4;
const INTERRUPT_PAUSE = 1 << 6;

/** What is used of the package's UART beyond its types. */
interface Uart {
  interruptStatus: number;
  readonly interruptMask: number;
  readonly irq: number;
  readonly flags: number;
  readonly rxFIFO: { readonly itemCount: number; push(value: number): void };
  onByte?: (value: number) => void;
  checkInterrupts(): void;
  feedByte(value: number): void;
  readUint32(offset: number): number;
  writeUint32(offset: number, value: number): void;
}

/** What is used of its DMA. */
interface Dma {
  setDREQ(request: number): void;
  clearDREQ(request: number): void;
}

/** What the package leaves out of UART0. */
interface Line {
  readonly uart: Uart;
  readonly clock: Simulator['clock'];
  readonly byte_ns: number;
  /** Bytes that wait to be sent. */
  readonly waiting: number[];
  /** The transmit FIFO's level fell to half; the line paused with bytes received; the DMA control register. */
  fell: boolean;
  paused: boolean;
  dmaOn: number;
}

/** Makes UART0 take `byte_ns` a byte, and interrupt as the chip's does. */
export function likeTheChip(
  rp: RP2040,
  clock: Simulator['clock'],
  byte_ns: number,
  sent: (value: number) => void,
): void {
  const uart = rp.uart[0] as unknown as Uart;
  const line: Line = { uart, clock, byte_ns, waiting: [], fell: false, paused: false, dmaOn: 0 };
  interrupt(rp, line);
  receive(line);
  transmit(line, sent);
}

/** Interrupts and requests to the DMA, by the levels of both FIFOs. */
function interrupt(rp: RP2040, line: Line): void {
  const { uart, waiting } = line;
  const dma = rp.dma as Dma;
  const request = (which: number, on: boolean): void => {
    if (on) dma.setDREQ(which);
    else dma.clearDREQ(which);
  };
  const requests = (): void => {
    request(REQUEST_TX, (line.dmaOn & DMA_TX) !== 0 && waiting.length < FIFO_BYTES);
    request(REQUEST_RX, (line.dmaOn & DMA_RX) !== 0 && uart.rxFIFO.itemCount > 0);
  };
  uart.checkInterrupts = () => {
    // The interrupt comes where the level falls to half, and goes when bytes are put on top.
    if (waiting.length > INTERRUPT_AT) line.fell = false;
    const received = uart.rxFIFO.itemCount;
    if (received === 0) line.paused = false;
    uart.interruptStatus =
      (line.fell ? INTERRUPT_TX : 0) |
      (received >= INTERRUPT_AT ? INTERRUPT_RX : 0) |
      (line.paused ? INTERRUPT_PAUSE : 0);
    rp.setInterrupt(uart.irq, (uart.interruptStatus & uart.interruptMask) !== 0);
    requests();
  };
  const writeUint32 = uart.writeUint32.bind(uart);
  uart.writeUint32 = (offset, value) => {
    if (offset !== DMA_CONTROL) writeUint32(offset, value);
    else line.dmaOn = value;
    // The package asks for bytes as soon as the UART is on.
    requests();
  };
}

/** A pause after the last byte is told, as the chip's receive timeout does. */
function receive(line: Line): void {
  const { uart, clock, byte_ns } = line;
  const pause = clock.createAlarm(() => {
    line.paused = uart.rxFIFO.itemCount > 0;
    uart.checkInterrupts();
  });
  uart.feedByte = (value) => {
    uart.rxFIFO.push(value);
    pause.schedule((PAUSE_BITS / BYTE_BITS) * byte_ns);
    uart.checkInterrupts();
  };
}

/** Bytes leave one after the other, each in its time, from a FIFO that can be full. */
function transmit(line: Line, sent: (value: number) => void): void {
  const { uart, clock, byte_ns, waiting } = line;
  const readUint32 = uart.readUint32.bind(uart);
  uart.readUint32 = (offset) => {
    if (offset !== FLAGS) return readUint32(offset);
    const level = (waiting.length >= FIFO_BYTES ? FLAG_FULL : 0) | (waiting.length === 0 ? FLAG_EMPTY : 0);
    return (uart.flags & ~FLAG_EMPTY) | level;
  };
  const leave = clock.createAlarm(() => {
    const value = waiting.shift();
    if (waiting.length > 0) leave.schedule(byte_ns);
    if (waiting.length === INTERRUPT_AT) line.fell = true;
    uart.checkInterrupts();
    if (value !== undefined) sent(value);
  });
  uart.onByte = (value) => {
    if (waiting.length >= FIFO_BYTES) return;
    waiting.push(value);
    if (waiting.length === 1) leave.schedule(byte_ns);
    uart.checkInterrupts();
  };
}
