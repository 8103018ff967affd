/**
 * What is called of the boot ROM (data sheet 2.8.3): its table of functions, the function that looks one up, and the boot loader's
 * start, which only tells that it has been reached and with what. The code is the chip's own Thumb.
 */
import { BasePeripheral, type RP2040 } from 'rp2040js';

/** A place that the chip does not have, to which the boot loader's start writes. */
const [TELL_AT, TELL_KEY] = [0x50400000, 0x50400];
const [TABLE, LOOK_UP, USB_BOOT] = [0x40, 0x50, 0x70];
const THUMB = 1;
const CODE = 'U'.charCodeAt(0) | ('B'.charCodeAt(0) << 8);
/** r0 table, r1 code: pairs of code and address until a code of 0. */
const LOOK_UP_CODE = [
  0x8802, // ldrh r2, [r0]
  0x2a00, // cmp r2, 0
  0xd005, // beq none
  0x428a, // cmp r2, r1
  0xd001, // beq found
  0x3004, // adds r0, 4
  0xe7f8, // b to the start
  0x8840, // found: ldrh r0, [r0, 2]
  0x4770, // bx lr
  0x2000, // none: movs r0, 0
  0x4770, // bx lr
];
/** r0 lamp pins, r1 interfaces to leave out. */
const USB_BOOT_CODE = [
  0x4a01, // ldr r2, TELL_AT
  0x6010, // str r0, [r2]
  0x6051, // str r1, [r2, 4]
  0xe7fe, // b here
  TELL_AT & 0xffff,
  TELL_AT >>> 16,
];

class Teller extends BasePeripheral {
  private lamps = 0;
  private readonly entered: (lamps: number, without: number) => void;

  constructor(rp: RP2040, entered: (lamps: number, without: number) => void) {
    super(rp, 'boot ROM');
    this.entered = entered;
  }

  override readUint32(): number {
    return 0;
  }

  override writeUint32(offset: number, value: number): void {
    if (offset === 0) this.lamps = value;
    else this.entered(this.lamps, value);
  }
}

/** Puts the functions there; `entered` hears of the boot loader's start: the lamp's pins, one bit each, and what it leaves out. */
export function plantBootRom(rp: RP2040, entered: (lamps: number, without: number) => void): void {
  const halves = new Uint16Array(rp.bootrom.buffer);
  halves[0x14 / 2] = TABLE;
  halves[0x18 / 2] = LOOK_UP | THUMB;
  halves.set([CODE, USB_BOOT | THUMB, 0], TABLE / 2);
  halves.set(LOOK_UP_CODE, LOOK_UP / 2);
  halves.set(USB_BOOT_CODE, USB_BOOT / 2);
  rp.peripherals[TELL_KEY] = new Teller(rp, entered);
}
