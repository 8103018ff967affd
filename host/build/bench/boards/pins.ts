/**
 * The pico's pulses at its pins while it plays a stream and its line is full in both directions: each as wide as the controller
 * had it, and one servo frame after the last. What was asked is read from the emulated chip's memory.
 */
import { readFileSync } from 'node:fs';
import { TYPE, sender } from '../../../controller/messages.ts';
import type { Firmware } from '../../../firmware/compile.ts';
import type { Rig } from '../../../rig/rig.ts';
import { elfSymbols } from '../../../targets/elf.ts';
import { flashOf } from '../../../targets/pico.ts';
import { PicoMachine } from '../../../targets/rp2040/machine.ts';
import { type Excerpt, type Filler, streamScript } from './scripts.ts';
import { FIRST_PIN, SERVO_PINS } from './stepped.ts';

const RAM_AT = 0x20000000;
/** Of a tick: 250 bytes of ten bits at 500 kbaud. */
const LINE_BYTES = 250;
/** The servo's frames. */
const FRAME_US = 20_000;
/** The longest tick ends within so much of its beginning. */
const DONE_US = 4000;
const STATE_AT = 1;
const LIVE = 2;

export interface PinsSeen {
  pulses: number;
  /** Largest differences from the widths asked, and from a servo frame, us. */
  width_error_us: number;
  period_error_us: number;
  /** Different widths. */
  widths: number;
  pins: number;
  /** Share of the stream's time that the line was in use: to the board, from it. */
  busy_in: number;
  busy_out: number;
  ticks: number;
  liveTicks: number;
  /** What the firmware did that the chip does not take, and bytes it lost. */
  faults: readonly string[];
}

/** Fills the line with questions and the report asked for on every tick: more than goes out. */
function fullLine(): Filler {
  const other = sender();
  return (said) => {
    const pieces = [said];
    let n = said.length;
    for (;;) {
      const next = n === said.length ? other.report(1) : other.command(TYPE.who);
      if (n + next.length > LINE_BYTES) break;
      pieces.push(next);
      n += next.length;
    }
    pieces.push(new Uint8Array(LINE_BYTES - n));
    return Buffer.concat(pieces);
  };
}

interface Edge {
  readonly pin: number;
  readonly rise_us: number;
  readonly width_us: number;
}

/** Plays part of a stream file. progress: ticks so far. */
export async function watchPins(rig: Rig, file: string, part: Excerpt, firmware: Firmware, progress?: (ticks: number) => void): Promise<PinsSeen> {
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(readFileSync('build/controller.wasm')));
  const arena = (elfSymbols(readFileSync(firmware.elf)).get('wasm_arena') ?? NaN) - RAM_AT;
  const offset = (name: string): number => arena + Number((exports[name] as WebAssembly.Global).value);
  const edges: Edge[] = [];
  const asked: { readonly at_us: number; readonly widths: Uint16Array }[] = [];
  const rises = new Map<number, number>();
  let sent = 0;
  let began = false;
  const machine = new PicoMachine(flashOf(readFileSync(firmware.image)), {
    byte: () => sent++,
    edge: (pin, high, at_us) => {
      if (high) rises.set(pin, at_us);
      const rise_us = rises.get(pin);
      if (!high && rise_us !== undefined && pin < FIRST_PIN + SERVO_PINS) edges.push({ pin, rise_us, width_us: at_us - rise_us });
    },
    tick: () => (began = true),
  });
  const seen = { pulses: 0, width_error_us: 0, period_error_us: 0, ticks: 0, liveTicks: 0 };
  const board = {
    get state() {
      return machine.ram[offset('outputs') + STATE_AT] ?? 0;
    },
  };
  const tick = (): void => {
    began = false;
    for (let n = 0; !began && n < 500; n++) machine.run(machine.now_us + 50);
    if (!began) throw new Error('the emulated board does not tick');
    const at_us = machine.now_us;
    machine.run(at_us + DONE_US);
    const widths = new Uint16Array(SERVO_PINS);
    const pulses = new Uint16Array(machine.ram.buffer, machine.ram.byteOffset + offset('pulses'), rig.joints.length);
    rig.joints.forEach((joint, i) => (widths[joint.pin - FIRST_PIN] = pulses[i]!));
    asked.push({ at_us, widths });
  };
  tick();
  const full = { ticks: 0, given: 0, sent: 0 };
  const script = await streamScript(rig, board, file, part, fullLine());
  for (const bytes of script) {
    const sentBefore = sent;
    machine.write(bytes, machine.now_us);
    tick();
    if (bytes.length === LINE_BYTES) {
      full.ticks++;
      full.given += bytes.length;
      full.sent += sent - sentBefore;
    }
    if (board.state === LIVE) seen.liveTicks++;
    if (++seen.ticks % 1000 === 0) progress?.(seen.ticks);
  }
  const line = full.ticks * LINE_BYTES;
  const lost = machine.lost > 0 ? [`${String(machine.lost)} bytes lost`] : [];
  return { ...seen, ...judge(edges, asked), busy_in: full.given / line, busy_out: full.sent / line, faults: [...machine.faults, ...lost] };
}

type Asked = readonly { readonly at_us: number; readonly widths: Uint16Array }[];

/** Whether a pin was asked for pulses on every tick between two instants. */
function pulsing(asked: Asked, from_us: number, to_us: number, pin: number): boolean {
  let n = asked.length - 1;
  while (n > 0 && asked[n]!.at_us > to_us) n--;
  for (; n >= 0 && asked[n]!.at_us > from_us; n--) if (asked[n]!.widths[pin - FIRST_PIN] === 0) return false;
  return true;
}

/** Each pulse against what was asked when it began; a tick that was under way had set its width, or not yet. */
function judge(edges: readonly Edge[], asked: Asked) {
  const before = new Map<number, number>();
  const widths = new Set<number>();
  let [width_error_us, period_error_us, at] = [0, 0, 0];
  for (const { pin, rise_us, width_us } of edges.toSorted((a, b) => a.rise_us - b.rise_us)) {
    while ((asked[at + 1]?.at_us ?? Infinity) <= rise_us) at++;
    const now = asked[at];
    const underWay = now && rise_us - now.at_us < DONE_US ? [at - 1, at] : [at];
    const errors = underWay.map((n) => Math.abs((asked[n]?.widths[pin - FIRST_PIN] ?? NaN) - width_us));
    width_error_us = Math.max(width_error_us, Math.min(...errors.filter((us) => !Number.isNaN(us))));
    const last = before.get(pin);
    if (last !== undefined && pulsing(asked, last, rise_us, pin))
      period_error_us = Math.max(period_error_us, Math.abs(rise_us - last - FRAME_US));
    before.set(pin, rise_us);
    widths.add(Math.round(width_us));
  }
  return { pulses: edges.length, width_error_us, period_error_us, widths: widths.size, pins: before.size };
}
