/** A link to the simulated controller whose poses are overheard on their way. */
import { expect } from 'vitest';
import { frameReader } from '../../../host/controller/frames.ts';
import { TYPE } from '../../../host/controller/messages.ts';
import type { Target } from '../../../host/replay/target.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';

/** @param pose is told of each pose that is sent, how long before its instant it leaves, ms */
export function overheard(pose: (before_ms: number) => void): Target {
  const sim = simTarget({ wasm: WASM });
  return {
    ...sim,
    async open(listener) {
      const session = await sim.open(listener);
      const write = session.write.bind(session);
      const read = frameReader({
        frame: (type, _, payload) => {
          if (type === TYPE.pose) pose((payload.getUint32(0, true) - session.now_us) / 1000);
        },
        bad: () => expect.fail('a frame that cannot be right'),
      });
      session.write = (bytes, at_us) => {
        read(bytes);
        write(bytes, at_us);
      };
      return session;
    },
  };
}
