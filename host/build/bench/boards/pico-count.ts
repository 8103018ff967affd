/**
 * Cycles of whole ticks on the emulated pico, from the alarm that begins one to the sleep that ends it, interrupts of the link
 * included: a motion within reach, then everything against it. The emulator counts cycles as the core has them, not waits for memory.
 */
import { readFileSync } from 'node:fs';
import { packImage } from '../../../controller/image.ts';
import { TYPE, sender } from '../../../controller/messages.ts';
import type { Rig } from '../../../rig/rig.ts';
import { flashOf } from '../../../targets/pico.ts';
import { PicoMachine } from '../../../targets/rp2040/machine.ts';
import { type TickCounts, countsOf, swing } from './tick-count.ts';

const TICK_US = 5000;
const LINE_BYTES = 250;
const EVERY = 4;
const ROUSE_TICKS = 2000;
const PLAY_TICKS = 1000;
const WORST_TICKS = 200;

/** Ticks until a host has opened the port. */
const PLUGGED_TICKS = 40;

export function countPicoTicks(uf2: string, rig: Rig, link: 'usb' | 'uart0'): TickCounts {
  let cycles: number[] = [];
  const machine = new PicoMachine(flashOf(readFileSync(uf2)), {
    byte: () => undefined,
    tick: (count) => {
      if (count !== null) cycles.push(count);
    },
  });
  const send = sender();
  const joints = rig.joints.length;
  let n = 0;
  const pose = (far: boolean, ahead_us: number): Uint8Array =>
    send.pose((n * TICK_US + ahead_us) >>> 0, swing(n, joints, far), 6);
  const run = (...frames: readonly Uint8Array[]): void => {
    n++;
    for (const frame of frames) (link === 'usb' ? machine.cable : machine).write(frame, machine.now_us);
    machine.run(n * TICK_US + TICK_US / 2);
  };
  const play = (): Uint8Array[] => (n % EVERY === 0 ? [pose(false, 20_000)] : []);
  if (link === 'usb') {
    machine.cable.plug();
    while (n < PLUGGED_TICKS) run();
  }
  run();
  for (const frame of send.image(packImage(rig))) {
    run(frame);
    run();
  }
  run(send.report(EVERY));
  run(send.command(TYPE.rouse));
  while (n < ROUSE_TICKS) run(...play());
  cycles = [];
  for (let k = 0; k < PLAY_TICKS; k++) run(...play());
  const motion = cycles;
  run(send.report(1));
  cycles = [];
  for (let k = 0; k < WORST_TICKS; k++) {
    const frames: Uint8Array[] = [];
    let bytes = 0;
    for (let next = pose(true, 20_000); bytes + next.length <= LINE_BYTES; next = pose(true, 20_000 + 500 * frames.length)) {
      frames.push(next);
      bytes += next.length;
    }
    run(...frames);
  }
  if (machine.faults.length > 0) throw new Error(machine.faults.join('; '));
  return countsOf(motion, Math.max(...cycles));
}
