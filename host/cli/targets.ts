/** The targets that `--on` knows. A new one is a line here and a module in host/targets. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { TargetError } from '../replay/conversation.ts';
import type { Target } from '../replay/target.ts';
import { f405Target } from '../targets/f405.ts';
import { nativeTarget } from '../targets/native.ts';
import { picoTarget } from '../targets/pico.ts';
import { serialTarget } from '../targets/serial.ts';
import { simTarget } from '../targets/sim.ts';
import { builtFile, firmwarePlaces } from './assets.ts';
import type { Io } from './io.ts';

/** Makes a target ready to be opened; `place` is the path of a serial port. Throws TargetError, in words. */
type TargetFactory = (io: Io, place: string) => Promise<Target>;

/** The built firmware of an emulated board. */
function firmwareOf(board: string, ending: string): string {
  const file = join(firmwarePlaces().out, board, `posewright-${board}.${ending}`);
  if (!existsSync(file))
    throw new TargetError(`there is no firmware for ${board} yet: "posewright build --board ${board}" makes it`);
  return file;
}

const SERIAL = 'serial:';

const TARGETS: ReadonlyMap<string, TargetFactory> = new Map<string, TargetFactory>([
  [
    'sim',
    async (io) => {
      const wasm = await builtFile('controller.wasm');
      if (!wasm) throw new TargetError('build/controller.wasm is not there: "npm run build" makes it');
      return simTarget({ wasm, clock: () => io.now() });
    },
  ],
  ['emulated:pico', () => Promise.resolve(picoTarget({ uf2: firmwareOf('pico', 'uf2') }))],
  ['emulated:f405', () => Promise.resolve(f405Target({ elf: firmwareOf('f405', 'elf') }))],
  ['native', (io) => Promise.resolve(nativeTarget({ elf: firmwareOf('native', 'elf'), clock: () => io.now() }))],
  [SERIAL, (io, place) => Promise.resolve(serialTarget(place, () => io.now()))],
]);

/** As users write them. */
export const TARGET_NAMES = [...TARGETS.keys()].map((name) => (name === SERIAL ? 'serial:PATH' : name)).join(', ');

const partsOf = (on: string): { name: string; place: string } =>
  on.startsWith(SERIAL) ? { name: SERIAL, place: on.slice(SERIAL.length) } : { name: on, place: '' };

/** Whether what is there is whatever somebody has plugged in, rather than made for this replay. */
export const isPort = (on: string): boolean => on.startsWith(SERIAL);

/** What is wrong with the name of a target, in words; null: nothing. */
export function targetFault(on: string): string | null {
  const { name, place } = partsOf(on);
  if (TARGETS.has(name) && (name === SERIAL) === place.length > 0) return null;
  const there = `there is ${TARGET_NAMES}`;
  if (on === 'usb') return `"usb" is not a target yet: there is no link over USB; ${there}`;
  return TARGETS.has(`emulated:${on}`)
    ? `"${on}" is not a target: the emulated one is called emulated:${on}, and a real one is at serial:PATH`
    : `"${on}" is not a target: ${there}`;
}

/** The target of `--on`. Rejects with TargetError, in words, when it cannot be used here. */
export async function targetOf(on: string, io: Io): Promise<Target> {
  const fault = targetFault(on);
  const { name, place } = partsOf(on);
  const factory = TARGETS.get(name);
  if (!factory || fault !== null) throw new TargetError(fault ?? on);
  return factory(io, place);
}
