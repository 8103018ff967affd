/**
 * The host simulator: the controller's own wasm, ticked by a clock that exists only as a count. The rig image comes in over
 * the link as on a board, and its rate is the rate of the ticks.
 */
import { instantiateController } from '../controller/controller.ts';
import { IDLE_HZ, IMAGE } from '../controller/layout.ts';
import type { Session, Target } from '../replay/target.ts';

/** Telemetry of so many ticks always fits into the transmit ring. */
const DRAIN_TICKS = 4;

export interface SimOptions {
  /** The bytes of controller.wasm. */
  readonly wasm: Uint8Array<ArrayBuffer>;
  /** Milliseconds of a clock that measures tick durations; without, they are not measured. */
  readonly clock?: () => number;
}

export function simTarget({ wasm, clock }: SimOptions): Target {
  return {
    name: 'sim',
    proven: 'simulation',
    clock: 'this computer',
    open(listener): Session {
      const controller = instantiateController(wasm);
      controller.init({});
      const waiting: { bytes: Uint8Array; at_us: number }[] = [];
      let first = 0;
      let hz = IDLE_HZ;
      let images = 0;
      // The rate's own origin: tick n of it is at from_us + floor(n · 1e6 / hz).
      let from_us = 0;
      let n = 0;
      let now_us = 0;

      const deliver = (tick_us: number): void => {
        for (let next = waiting[first]; next && next.at_us <= tick_us; next = waiting[first]) {
          const taken = controller.receive(next.bytes);
          if (taken < next.bytes.length) {
            next.bytes = next.bytes.subarray(taken);
            return;
          }
          first++;
        }
        if (first > 256) {
          waiting.splice(0, first);
          first = 0;
        }
      };

      const followRate = (tick_us: number): void => {
        if (controller.imageCount === images) return;
        images = controller.imageCount;
        hz = new DataView(controller.storedImage().buffer).getUint16(IMAGE.tick_hz, true);
        from_us = tick_us;
        n = 0;
      };

      return {
        get now_us() {
          return now_us;
        },
        sharesClock: true,
        write(bytes, at_us) {
          waiting.push({ bytes, at_us });
        },
        advance(to_us) {
          for (;;) {
            const tick_us = from_us + Math.floor(((n + 1) * 1e6) / hz);
            if (tick_us > to_us) break;
            n++;
            now_us = tick_us;
            deliver(tick_us);
            if (clock && listener.tick) {
              const start_ms = clock();
              controller.tick();
              listener.tick((clock() - start_ms) * 1000);
            } else controller.tick();
            followRate(tick_us);
            if (n % DRAIN_TICKS === 0) controller.drain(listener.bytes);
          }
          controller.drain(listener.bytes);
          now_us = Math.max(now_us, to_us);
        },
        close() {
          waiting.length = 0;
        },
      };
    },
  };
}
