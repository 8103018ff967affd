/** The targets that `--on` knows. A new one is a line here and a module in host/targets. */
import { TargetError } from '../replay/conversation.ts';
import type { Target } from '../replay/target.ts';
import { simTarget } from '../targets/sim.ts';
import { builtFile } from './assets.ts';
import type { Io } from './io.ts';

/** Makes a target ready to be opened. Throws TargetError, in words, when it cannot be used here. */
export type TargetFactory = (io: Io) => Promise<Target>;

export const TARGETS: ReadonlyMap<string, TargetFactory> = new Map([
  [
    'sim',
    async (io) => {
      const wasm = await builtFile('controller.wasm');
      if (!wasm) throw new TargetError('build/controller.wasm is not there: "npm run build" makes it');
      return simTarget({ wasm, clock: () => io.now() });
    },
  ],
]);
