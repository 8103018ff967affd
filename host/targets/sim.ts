/**
 * The host simulator: the controller's own wasm, ticked by a clock that exists only as a count. The rig image comes in over
 * the link as on a board, and its rate is the rate of the ticks.
 */
import { type Boot, instantiateController } from '../controller/controller.ts';
import { IDLE_HZ, IMAGE } from '../controller/layout.ts';
import type { Session, Target } from '../replay/target.ts';

/** Telemetry of so many ticks always fits into the transmit ring. */
const DRAIN_TICKS = 4;

export interface SimOptions {
  /** The bytes of controller.wasm. */
  readonly wasm: Uint8Array<ArrayBuffer>;
  /** Milliseconds of a clock that measures tick durations; without, they are not measured. */
  readonly clock?: () => number;
  /** What the night's inputs are at an instant of the session: closed ones one bit each, analog ones 0 to 65535. */
  readonly sensed?: (at_us: number) => { readonly closed: number; readonly analog: readonly number[] };
  /** Called after every tick with every joint's pulse, us, 0: none; a live view. */
  readonly pulses?: (widths_us: Uint16Array) => void;
  /** What the board knows when it starts: a rig, a flash with nights. Nothing without. */
  readonly boot?: Boot;
}

type Controller = ReturnType<typeof instantiateController>;

/** Bytes on their way to the controller: each at its time, as much as there is room for. */
function lineInto(controller: Controller): {
  write(bytes: Uint8Array, at_us: number): void;
  deliver(tick_us: number): void;
  clear(): void;
} {
  const waiting: { bytes: Uint8Array; at_us: number }[] = [];
  let first = 0;
  return {
    write(bytes, at_us) {
      waiting.push({ bytes, at_us });
    },
    deliver(tick_us) {
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
    },
    clear() {
      waiting.length = 0;
    },
  };
}

/** Instants of the ticks: tick n of a rate is at from_us + floor(n · 1e6 / hz), and a rate begins where its image came. */
function ticksOf(controller: Controller, boot: Boot): { next_us(): number; pass(): void; readonly n: number } {
  const rateOf = (image: Uint8Array): number => image[IMAGE.tick_hz]! + 256 * image[IMAGE.tick_hz + 1]!;
  let hz = boot.image ? rateOf(boot.image) : IDLE_HZ;
  let images = 0;
  let from_us = 0;
  let n = 0;
  const next_us = (): number => from_us + Math.floor(((n + 1) * 1e6) / hz);
  return {
    next_us,
    pass() {
      const tick_us = next_us();
      n++;
      if (controller.imageCount === images) return;
      images = controller.imageCount;
      hz = rateOf(controller.storedImage());
      from_us = tick_us;
      n = 0;
    },
    get n() {
      return n;
    },
  };
}

export function simTarget({ wasm, clock, sensed, pulses, boot = {} }: SimOptions): Target {
  return {
    name: 'sim',
    proven: 'simulation',
    clock: 'this computer',
    open(listener): Session {
      const controller = instantiateController(wasm);
      controller.init(boot);
      const line = lineInto(controller);
      const ticks = ticksOf(controller, boot);
      const { responded, trouble } = controller;
      let now_us = 0;
      const tick = (): void => {
        if (clock && listener.tick) {
          const start_ms = clock();
          controller.tick();
          listener.tick((clock() - start_ms) * 1000);
        } else controller.tick();
        pulses?.(controller.pulses);
      };
      return {
        get now_us() {
          return now_us;
        },
        sharesClock: true,
        write: line.write,
        advance(to_us) {
          for (let tick_us = ticks.next_us(); tick_us <= to_us; tick_us = ticks.next_us()) {
            now_us = tick_us;
            line.deliver(tick_us);
            const now = sensed?.(tick_us);
            if (now) controller.setSensed(now.closed, now.analog);
            tick();
            listener.responded?.(tick_us, responded, trouble);
            ticks.pass();
            if (ticks.n % DRAIN_TICKS === 0) controller.drain(listener.bytes);
          }
          controller.drain(listener.bytes);
          now_us = Math.max(now_us, to_us);
        },
        close: line.clear,
      };
    },
  };
}
