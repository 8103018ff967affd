/**
 * The sending side of UART0 as the chip has it, which rp2040js leaves out: 32 bytes of buffer that leave at the line's pace, and
 * an interrupt when half of them have (data sheet 4.2.6.2). Bytes are handed on when they have left.
 */
import type { RP2040, Simulator } from 'rp2040js';

const FIFO_BYTES = 32;
const INTERRUPT_AT = FIFO_BYTES / 2;
const FLAGS = 0x18;
const FLAG_FULL = 1 << 5;
const FLAG_EMPTY = 1 << 7;
const INTERRUPT_TX = 1 << 5;
const INTERRUPT_RX = 1 << 4;

/** What is used of the package's UART beyond its types. */
interface Uart {
  interruptStatus: number;
  readonly interruptMask: number;
  readonly irq: number;
  readonly flags: number;
  onByte?: (value: number) => void;
  checkInterrupts(): void;
  readUint32(offset: number): number;
}

/** Makes UART0 take `byte_ns` a byte. */
export function paceTransmitter(
  rp: RP2040,
  clock: Simulator['clock'],
  byte_ns: number,
  sent: (value: number) => void,
): void {
  const uart = rp.uart[0] as unknown as Uart;
  const buffer: number[] = [];
  const readUint32 = uart.readUint32.bind(uart);
  let fell = false;
  uart.checkInterrupts = () => {
    // The interrupt comes where the level falls to half, and goes when bytes are put on top.
    if (buffer.length > INTERRUPT_AT) fell = false;
    uart.interruptStatus = (uart.interruptStatus & INTERRUPT_RX) | (fell ? INTERRUPT_TX : 0);
    rp.setInterrupt(uart.irq, (uart.interruptStatus & uart.interruptMask) !== 0);
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
