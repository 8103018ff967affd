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

/** Makes UART0 take `byte_ns` a byte, and interrupt as the chip's does. */
export function likeTheChip(
  rp: RP2040,
  clock: Simulator['clock'],
  byte_ns: number,
  sent: (value: number) => void,
): void {
  const uart = rp.uart[0] as unknown as Uart;
  const buffer: number[] = [];
  const readUint32 = uart.readUint32.bind(uart);
  let fell = false;
  let paused = false;
  let dmaOn = 0;
  const dma = rp.dma as Dma;
  const request = (which: number, on: boolean): void => {
    if (on) dma.setDREQ(which);
    else dma.clearDREQ(which);
  };
  const requests = (): void => {
    request(REQUEST_TX, (dmaOn & DMA_TX) !== 0 && buffer.length < FIFO_BYTES);
    request(REQUEST_RX, (dmaOn & DMA_RX) !== 0 && uart.rxFIFO.itemCount > 0);
  };
  uart.checkInterrupts = () => {
    // The interrupt comes where the level falls to half, and goes when bytes are put on top.
    if (buffer.length > INTERRUPT_AT) fell = false;
    const received = uart.rxFIFO.itemCount;
    if (received === 0) paused = false;
    uart.interruptStatus =
      (fell ? INTERRUPT_TX : 0) | (received >= INTERRUPT_AT ? INTERRUPT_RX : 0) | (paused ? INTERRUPT_PAUSE : 0);
    rp.setInterrupt(uart.irq, (uart.interruptStatus & uart.interruptMask) !== 0);
    requests();
  };
  const writeUint32 = uart.writeUint32.bind(uart);
  uart.writeUint32 = (offset, value) => {
    if (offset !== DMA_CONTROL) writeUint32(offset, value);
    else dmaOn = value;
    // The package asks for bytes as soon as the UART is on.
    requests();
  };
  const pause = clock.createAlarm(() => {
    paused = uart.rxFIFO.itemCount > 0;
    uart.checkInterrupts();
  });
  uart.feedByte = (value) => {
    uart.rxFIFO.push(value);
    pause.schedule((PAUSE_BITS / BYTE_BITS) * byte_ns);
    uart.checkInterrupts();
  };
  uart.readUint32 = (offset) => {
    if (offset !== FLAGS) return readUint32(offset);
    const level = (buffer.length >= FIFO_BYTES ? FLAG_FULL : 0) | (buffer.length === 0 ? FLAG_EMPTY : 0);
    return (uart.flags & ~FLAG_EMPTY) | level;
  };
  const leave = clock.createAlarm(() => {
    const value = buffer.shift();
    if (buffer.length > 0) leave.schedule(byte_ns);
    if (buffer.length === INTERRUPT_AT) fell = true;
    uart.checkInterrupts();
    if (value !== undefined) sent(value);
  });
  uart.onByte = (value) => {
    if (buffer.length >= FIFO_BYTES) return;
    buffer.push(value);
    if (buffer.length === 1) leave.schedule(byte_ns);
    uart.checkInterrupts();
  };
}
