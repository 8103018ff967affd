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

/** Makes a target ready to be opened; `place` is what stands behind the colon. Throws TargetError, in words. */
type TargetFactory = (io: Io, place: string) => Promise<Target>;

/** The built firmware of an emulated board. */
function firmwareOf(board: string, ending: string): string {
  const file = join(firmwarePlaces().out, board, `posewright-${board}.${ending}`);
  if (!existsSync(file))
    throw new TargetError(`there is no firmware for ${board} yet: "posewright build --board ${board}" makes it`);
  return file;
}

const TARGETS: ReadonlyMap<string, TargetFactory> = new Map<string, TargetFactory>([
  [
    'sim',
    async (io) => {
      const wasm = await builtFile('controller.wasm');
      if (!wasm) throw new TargetError('build/controller.wasm is not there: "npm run build" makes it');
      return simTarget({ wasm, clock: () => io.now() });
    },
  ],
  ['pico', () => Promise.resolve(picoTarget({ uf2: firmwareOf('pico', 'uf2') }))],
  ['f405', () => Promise.resolve(f405Target({ elf: firmwareOf('f405', 'elf') }))],
  ['native', (io) => Promise.resolve(nativeTarget({ elf: firmwareOf('native', 'elf'), clock: () => io.now() }))],
  ['serial', (io, place) => Promise.resolve(serialTarget(place, () => io.now()))],
]);

/** As users write them. */
export const TARGET_NAMES = [...TARGETS.keys()].map((name) => (name === 'serial' ? 'serial:PATH' : name)).join(', ');

const partsOf = (on: string): { name: string; place: string } => {
  const colon = on.indexOf(':');
  return colon < 0 ? { name: on, place: '' } : { name: on.slice(0, colon), place: on.slice(colon + 1) };
};

/** What is wrong with the name of a target, in words; null: nothing. */
export function targetFault(on: string): string | null {
  const { name, place } = partsOf(on);
  const known = TARGETS.has(name) && (name === 'serial') === place.length > 0;
  return known ? null : `"${on}" is no target: there is ${TARGET_NAMES}`;
}

/** The target of `--on`. Rejects with TargetError, in words, when it cannot be used here. */
export async function targetOf(on: string, io: Io): Promise<Target> {
  const { name, place } = partsOf(on);
  const factory = TARGETS.get(name);
  if (!factory || targetFault(on) !== null) throw new TargetError(targetFault(on) ?? on);
  return factory(io, place);
}
