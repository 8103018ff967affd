/**
 * An RP2040 board in rp2040js, stepped by ourselves: everything happens at instants of its own clock, so a run is the same every
 * time. Adds what the package leaves to others: boot ROM, flash, resets, and a serial line that takes its time.
 */
import crc32mpeg2 from 'crc/calculators/crc32mpeg2';
import { GPIOPinState, type RP2040, Simulator } from 'rp2040js';
import { plantBootRom } from './bootrom.ts';
import { NorFlash, PlainRegisters, QspiPins, SerialInterface } from './flash.ts';
import { likeTheChip } from './uart.ts';
import { UsbCable } from './usb.ts';

export const FLASH_BYTES = 2 * 1024 * 1024;
const BOOT2_BYTES = 256;
/** Where the boot ROM puts the second stage: data sheet 2.8.1.2. */
const BOOT2_AT = 0x20041f00;
const RAM_AT = 0x20000000;
/** Ten bits a byte. */
const BYTE_NS = (10 * 1e9) / 500_000;
/** Ticks are at least a millisecond apart; an alarm that comes early by the emulator's rounding is the same tick. */
const SAME_TICK_NS = 200_000;
export const PINS = 30;
/** The analogue converter: its pins, its reference, its counts (data sheet 4.9). */
const [ADC_FIRST_PIN, ADC_V, ADC_COUNTS] = [26, 3.3, 4096];
const [HAD_POR, HAD_RUN] = [1 << 8, 1 << 16];
/** The watchdog's own time ran out: data sheet 4.7.6, REASON. */
const BY_TIMER = 1;

/** Blocks of the chip by rp2040js's keys: address / 4096. */
const AT = {
  xip: 0x14000,
  ssi: 0x18000,
  qspi: 0x40018,
  timer: 0x40054,
  watchdog: 0x40058,
  rosc: 0x40060,
  reset: 0x40064,
};
const TIMER_INTR = 0x34;
/** Its bit among the core's interrupts: data sheet 2.3.2. */
const TIMER_IRQ_0 = 1;

/** What is used of the package's watchdog, whose class it does not export. */
interface Watchdog {
  readonly scratchData: Uint32Array;
  readonly timer: { enable: boolean };
  readonly alarm: { enable: boolean };
  reason: number;
  onWatchdogTrigger: () => void;
}

interface Chip {
  readonly rp: RP2040;
  readonly clock: Simulator['clock'];
  readonly watchdog: Watchdog;
}

/** Why it starts: as boards/board.h has them. */
export type PicoReset = 'power' | 'watchdog' | 'pin';

export interface PicoEvents {
  /** A byte from the board. */
  byte(value: number): void;
  /** Bytes from the board over USB. */
  usb?(bytes: Uint8Array): void;
  /** A level at a pin changed, at machine time. */
  edge?(pin: number, high: boolean, at_us: number): void;
  /**
   * A tick begins. Core cycles of the one before, from its alarm to this, sleep left out, interrupts of the link included;
   * null for the first.
   */
  tick?(cycles: number | null): void;
}

export class PicoMachine {
  /** What the firmware did that the chip would not have taken, or the emulator does not know, in words. */
  readonly faults: string[] = [];
  /** How often the watchdog has bitten. */
  bites = 0;
  /** Bytes that came while the receiver was full or off. */
  lost = 0;
  /** To its USB port; nothing is plugged in at the start. */
  readonly cable: UsbCable;
  /** It is in its boot loader, which blinks these pins, one bit each; null: it is not. */
  bootLoader: number | null = null;
  /** Its power went while it wrote to its flash (cutPowerInFlash). */
  dark = false;
  private started: Chip | null = null;
  private origin_ns = 0;
  private bitten = false;
  private hung = false;
  private readonly levels = new Array<boolean>(PINS).fill(false);
  private readonly inputs = new Map<number, boolean>();
  private readonly loose = new Set<number>();
  private nor: NorFlash | null = null;
  private flashWorn = false;
  private readonly analogue = new Map<number, number>();
  private readonly line: { readonly bytes: Uint8Array; readonly at_ns: number }[] = [];
  private sent = 0;
  private lineFree_ns = 0;
  private tickBegan_ns = -1;
  private busy = 0;

  private readonly events: PicoEvents;

  /** flash: what it holds at power-up, from its first byte on; the rest is erased. */
  constructor(flash: Uint8Array, events: PicoEvents) {
    this.events = events;
    this.cable = new UsbCable(
      this.faults,
      () => this.now_ns,
      (bytes) => events.usb?.(bytes),
    );
    this.start('power', flash);
  }

  /** Machine time: 0 when it was made; resets do not set it back. */
  get now_us(): number {
    return this.now_ns / 1000;
  }

  private get chip(): Chip {
    if (!this.started) throw new Error('the machine has not been started');
    return this.started;
  }

  private get now_ns(): number {
    return this.origin_ns + this.chip.clock.nanos;
  }

  /** What the flash holds; outlives resets and power. A live view, of this start only. */
  get flash(): Uint8Array {
    return this.chip.rp.flash.subarray(0, FLASH_BYTES);
  }

  /** RAM from 0x20000000 on: a live view, of this start only. */
  get ram(): Uint8Array {
    return this.chip.rp.sram;
  }

  /** Bytes for the line from `at_us` on, one after another at 500 kbaud; calls come in the order of time. */
  write(bytes: Uint8Array, at_us: number): void {
    this.line.push({ bytes: Uint8Array.from(bytes), at_ns: at_us * 1000 });
    if (this.line.length === 1) this.arm();
  }

  /** Sets what an input pin sees; the level outlives resets. Without, and until it is let go, it is wired to ground. */
  setInput(pin: number, high: boolean): void {
    this.loose.delete(pin);
    this.inputs.set(pin, high);
    this.chip.rp.gpio[pin]?.setInputValue(high);
  }

  /** Nothing is wired to the pin any more: it follows its pad's resistors, over resets too. */
  letGo(pin: number): void {
    this.loose.add(pin);
    this.pull(pin);
  }

  /** The pad's resistors, which rp2040js knows and does not act on (data sheet 2.19.4). Without one, a loose pin keeps its level. */
  private pull(pin: number): void {
    const gpio = this.chip.rp.gpio[pin];
    if (!gpio || !this.loose.has(pin)) return;
    if (gpio.value === GPIOPinState.InputPullUp) gpio.setInputValue(true);
    else if (gpio.value === GPIOPinState.InputPullDown) gpio.setInputValue(false);
  }

  /** Sets what an analogue pin, 26 to 29, sees in V; it outlives resets. Without, 0. */
  setVoltage(pin: number, volts: number): void {
    const counts = Math.round((volts / ADC_V) * ADC_COUNTS);
    this.analogue.set(pin, Math.max(0, Math.min(ADC_COUNTS - 1, counts)));
    this.applyVoltages();
  }

  private applyVoltages(): void {
    for (const [pin, counts] of this.analogue) this.chip.rp.adc.channelValues[pin - ADC_FIRST_PIN] = counts;
  }

  /** Restarts it. Power off loses RAM; the flash stays. */
  reset(reason: PicoReset): void {
    this.start(reason, this.flash);
  }

  /** The flash takes commands from now on, over resets too, and changes no more. */
  wearFlashOut(): void {
    this.flashWorn = true;
    if (this.nor) this.nor.worn = true;
  }

  /** The power goes in the byte of its flash that would be changed after so many more: `dark`, until it is reset. */
  cutPowerInFlash(after: number): void {
    if (this.nor) this.nor.failsAfter = after;
  }

  /** As if the program had lost its way: it does nothing until the next reset. */
  hang(): void {
    this.hung = true;
  }

  /** As if the program had come to a function by itself; it has no way back from there. */
  jump(address: number): void {
    const { core } = this.chip.rp;
    core.waiting = false;
    core.PC = address & ~1;
  }

  run(to_us: number): void {
    for (;;) {
      const { rp, clock } = this.chip;
      const { core } = rp;
      const end_ns = to_us * 1000 - this.origin_ns;
      while (clock.nanos < end_ns && !this.bitten) {
        if (core.waiting || this.hung) {
          clock.tick(Math.min(Math.max(clock.nanosToNextAlarm, 1), end_ns - clock.nanos));
          if (!core.waiting && !this.hung) this.woken();
        } else {
          const cycles = core.executeInstruction();
          this.busy += cycles;
          clock.tick((cycles * 1e9) / rp.clkSys);
          // An interrupt that waits already ends a sleep before it begins; rp2040js only sees those that come later.
          if (core.waiting && (core.pendingInterrupts & core.enabledInterrupts) !== 0) core.waiting = false;
          if ((core.pendingInterrupts & TIMER_IRQ_0) !== 0) this.woken();
        }
      }
      if (!this.bitten) return;
      this.bites++;
      this.start('watchdog', this.flash);
    }
  }

  private woken(): void {
    const { rp } = this.chip;
    if (((rp.peripherals[AT.timer]?.readUint32(TIMER_INTR) ?? 0) & 1) === 0) return;
    if (this.now_ns - this.tickBegan_ns < SAME_TICK_NS) return;
    this.events.tick?.(this.tickBegan_ns < 0 ? null : this.busy);
    this.tickBegan_ns = this.now_ns;
    this.busy = 0;
  }

  private start(reason: PicoReset, flash: Uint8Array): void {
    const old = this.started;
    if (old) this.origin_ns += old.clock.nanos;
    const { rp2040: rp, clock } = new Simulator();
    const watchdog = rp.peripherals[AT.watchdog] as unknown as Watchdog;
    this.started = { rp, clock, watchdog };
    this.bitten = false;
    this.hung = false;
    this.dark = false;
    this.bootLoader = null;
    this.tickBegan_ns = -1;
    rp.flash.set(flash);
    this.connect(reason);
    // What is in RAM at power-up is nothing to rely on.
    if (old && reason !== 'power') rp.sram.set(old.rp.sram);
    else rp.sram.forEach((_, i, ram) => (ram[i] = (i * 167 + 13) & 0xff));
    if (old && reason === 'watchdog') {
      watchdog.scratchData.set(old.watchdog.scratchData);
      watchdog.reason = old.watchdog.reason;
    }
    this.boot();
    if (this.line.length > 0) this.arm();
  }

  /** The boot ROM's part: the second stage, if its checksum holds (data sheet 2.8.1.3.1), runs from the end of RAM. */
  private boot(): void {
    const { rp } = this.chip;
    const boot2 = rp.flash.slice(0, BOOT2_BYTES);
    if (
      new DataView(boot2.buffer).getUint32(BOOT2_BYTES - 4, true) !==
      crc32mpeg2(boot2.subarray(0, BOOT2_BYTES - 4)) >>> 0
    )
      this.faults.push('the boot ROM refuses the second stage: its checksum is wrong');
    rp.sram.set(boot2, BOOT2_AT - RAM_AT);
    rp.core.SP = BOOT2_AT;
    rp.core.PC = BOOT2_AT;
    rp.core.LR = 0;
  }

  private connect(reason: PicoReset): void {
    const { rp, clock, watchdog } = this.chip;
    const note = (part: string, words: string): void => void this.faults.push(`${part}: ${words}`);
    const quiet = (): void => undefined;
    rp.logger = { debug: quiet, info: quiet, warn: note, error: note };
    this.applyVoltages();
    const flash = new NorFlash(this.flash, this.faults, () => {
      this.hung = true;
      this.dark = true;
      watchdog.timer.enable = false;
      watchdog.alarm.enable = false;
    });
    this.nor = flash;
    flash.worn = this.flashWorn;
    rp.peripherals[AT.ssi] = new SerialInterface(rp, flash);
    rp.peripherals[AT.qspi] = new QspiPins(rp, flash);
    rp.peripherals[AT.xip] = new PlainRegisters(rp, 'XIP_CTRL', []);
    rp.peripherals[AT.rosc] = new PlainRegisters(rp, 'ROSC', []);
    const had = reason === 'pin' ? HAD_RUN : HAD_POR;
    rp.peripherals[AT.reset] = new PlainRegisters(rp, 'VREG_AND_CHIP_RESET', [[8, had]]);
    watchdog.onWatchdogTrigger = () => {
      watchdog.timer.enable = false;
      watchdog.alarm.enable = false;
      this.bitten = true;
    };
    plantBootRom(rp, (lamps, without) => {
      this.bootLoader = lamps;
      this.hung = true;
      // The ROM gets there through a reset by the watchdog, and keeps what it was told (its published source, from memory).
      watchdog.scratchData.set([lamps, without]);
      watchdog.reason = BY_TIMER;
      watchdog.timer.enable = false;
      watchdog.alarm.enable = false;
    });
    this.cable.connect(rp, clock);
    likeTheChip(rp, clock, BYTE_NS, (value) => {
      this.events.byte(value);
    });
    rp.gpio.forEach((gpio, pin) => {
      this.level(pin, false);
      gpio.addListener((state) => {
        this.level(pin, state === GPIOPinState.High);
        this.pull(pin);
      });
      gpio.setInputValue(this.inputs.get(pin) ?? false);
    });
  }

  private level(pin: number, high: boolean): void {
    if (this.levels[pin] === high) return;
    this.levels[pin] = high;
    this.events.edge?.(pin, high, this.now_us);
  }

  /** Sets an alarm for the end of the next byte on the line. */
  private arm(): void {
    const first = this.line[0];
    if (!first) return;
    const { clock } = this.chip;
    if (first.bytes.length === 0) {
      this.line.shift();
      this.arm();
      return;
    }
    this.lineFree_ns = Math.max(first.at_ns, this.lineFree_ns) + BYTE_NS;
    clock
      .createAlarm(() => {
        this.arrive();
      })
      .schedule(Math.max(0, this.lineFree_ns - this.now_ns));
  }

  private arrive(): void {
    const first = this.line[0];
    const uart = this.chip.rp.uart[0];
    if (!first || !uart) return;
    const value = first.bytes[this.sent++] ?? 0;
    if (uart.enabled && uart.rxEnabled && (uart.flags & UART_RXFF) === 0) uart.feedByte(value);
    else this.lost++;
    if (this.sent === first.bytes.length) {
      this.sent = 0;
      this.line.shift();
    }
    this.arm();
  }
}

const UART_RXFF = 1 << 6;
