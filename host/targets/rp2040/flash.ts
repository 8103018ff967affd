/**
 * The flash chip of an emulated RP2040 and the serial interface before it, which rp2040js leaves out: serial NOR flash by the
 * commands that change it, and its unique id (W25Q16JV data sheet, section 8), driven a byte at a time with the chip select held by hand.
 */
import type { RP2040 } from 'rp2040js';
import { BasePeripheral } from 'rp2040js';

const SECTOR_BYTES = 4096;
const PAGE_BYTES = 256;
const WRITE_ENABLE = 0x06;
const READ_STATUS = 0x05;
const ERASE_SECTOR = 0x20;
const PROGRAM_PAGE = 0x02;
const READ_ID = 0x4b;
/** Its unique id comes behind the command and four bytes of nothing. */
const ID_FROM = 5;
/** Looks at the status until an erasure or a page is done: some, so that firmware that does not look is found out. */
const BUSY_LOOKS = 3;
/** Bytes of a command before its data: code and address. */
const HEAD_BYTES = 4;
/** XIP_BASE of the chip is below, RAM from here on. */
const RAM = 0x20000000;

/** One flash chip: a command is the bytes between two edges of the chip select. */
export class NorFlash {
  private command: number[] = [];
  private writable = false;
  private busy = 0;
  /** Eight bytes that no other chip has. */
  id: Uint8Array = Uint8Array.of(0xe6, 0x61, 0x64, 0x08, 0x43, 0x5a, 0x9b, 0x27);
  /** Takes every command, and changes no more. */
  worn = false;
  /** Bytes that may still be changed before the power goes. */
  failsAfter = Infinity;

  private readonly cells: Uint8Array;
  /** What the firmware did that a chip would not have taken, in words. */
  readonly faults: string[];

  private readonly powerFails: () => void;

  /** powerFails: called in the byte that failsAfter says. */
  constructor(cells: Uint8Array, faults: string[], powerFails: () => void) {
    this.cells = cells;
    this.faults = faults;
    this.powerFails = powerFails;
  }

  select(): void {
    this.command = [];
  }

  exchange(byte: number): number {
    this.command.push(byte);
    if (this.command[0] === READ_ID) return this.id[this.command.length - 1 - ID_FROM] ?? 0xff;
    if (this.command[0] !== READ_STATUS || this.command.length < 2) return 0xff;
    if (this.busy > 0) this.busy--;
    return (this.busy > 0 ? 1 : 0) | (this.writable ? 2 : 0);
  }

  /** The command's end, where the chip begins to carry it out. */
  deselect(): void {
    const [code, high = 0, middle = 0, low = 0] = this.command;
    if (code === undefined || code === READ_STATUS || code === READ_ID) return;
    if (this.busy > 0) this.faults.push(`command ${code.toString(16)}h while busy`);
    if (code === WRITE_ENABLE) {
      this.writable = true;
      return;
    }
    const at = (high << 16) | (middle << 8) | low;
    if (!this.writable) this.faults.push(`command ${code.toString(16)}h without write enable`);
    else if (code === ERASE_SECTOR) this.erase(at);
    else if (code === PROGRAM_PAGE) this.program(at);
    else this.faults.push(`command ${code.toString(16)}h is not known`);
  }

  private erase(at: number): void {
    const sector = at - (at % SECTOR_BYTES);
    for (let cell = sector; cell < sector + SECTOR_BYTES; cell++) this.change(cell, 0xff);
    this.writable = false;
    this.busy = BUSY_LOOKS;
  }

  /** Programming only clears bits, and an address that leaves the page comes round to its start. */
  private program(at: number): void {
    const page = at - (at % PAGE_BYTES);
    this.command.slice(HEAD_BYTES).forEach((byte, i) => {
      const cell = page + ((at + i) % PAGE_BYTES);
      this.change(cell, (this.cells[cell] ?? 0xff) & byte);
    });
    this.writable = false;
    this.busy = BUSY_LOOKS;
  }

  /** Where the power goes in a byte some of its bits have changed: as host/controller/nor.ts has it. */
  private change(cell: number, byte: number): void {
    if (this.worn || this.failsAfter < 0) return;
    if (this.failsAfter-- > 0) this.cells[cell] = byte;
    else {
      this.cells[cell] = (this.cells[cell] ?? 0xff) & (byte | 0x0f);
      this.powerFails();
    }
  }
}

/** SSI (data sheet 4.10.13) as far as byte transfers go; the XIP set-up is kept and not looked at. */
export class SerialInterface extends BasePeripheral {
  private readonly registers = new Map<number, number>();
  private readonly received: number[] = [];
  private readonly flash: NorFlash;

  constructor(rp2040: RP2040, flash: NorFlash) {
    super(rp2040, 'SSI');
    this.flash = flash;
  }

  override readUint32(offset: number): number {
    if (offset === 0x28) return (this.received.length > 0 ? 8 : 0) | 6; // SR: RFNE; TFE, TFNF
    if (offset === 0x60) return this.received.shift() ?? 0; // DR0
    return this.registers.get(offset) ?? 0;
  }

  override writeUint32(offset: number, value: number): void {
    if (offset !== 0x60) {
      this.registers.set(offset, value);
      return;
    }
    if (this.rp2040.core.PC >>> 0 < RAM) this.flash.faults.push('code in flash spoke to the flash');
    this.received.push(this.flash.exchange(value & 0xff));
  }
}

/** IO_QSPI (data sheet 2.19.6.2): only the chip select held by hand, OUTOVER of GPIO_QSPI_SS. */
export class QspiPins extends BasePeripheral {
  private select = 0;
  private readonly flash: NorFlash;

  constructor(rp2040: RP2040, flash: NorFlash) {
    super(rp2040, 'IO_QSPI');
    this.flash = flash;
  }

  override readUint32(offset: number): number {
    return offset === 0x0c ? this.select : 0;
  }

  override writeUint32(offset: number, value: number): void {
    if (offset !== 0x0c) return;
    const [was, is] = [this.select, value].map((ctrl) => ((ctrl >> 8) & 3) === 2);
    this.select = value;
    if (is && !was) this.flash.select();
    if (was && !is) this.flash.deselect();
  }
}

/** A block of registers that read as they were set and do nothing. */
export class PlainRegisters extends BasePeripheral {
  private readonly registers: Map<number, number>;

  constructor(rp2040: RP2040, name: string, values: readonly (readonly [number, number])[]) {
    super(rp2040, name);
    this.registers = new Map(values);
  }

  override readUint32(offset: number): number {
    return this.registers.get(offset) ?? 0;
  }

  override writeUint32(offset: number, value: number): void {
    this.registers.set(offset, value);
  }
}
