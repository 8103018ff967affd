/** Targets that a true prop hangs on: what is measured at their pins goes to it, and their cable can be pulled. */
import { frameReader } from '../../../host/controller/frames.ts';
import { TYPE, emptyTelemetry, parseTelemetry } from '../../../host/controller/messages.ts';
import type { Listener, Session, Target } from '../../../host/replay/target.ts';
import { picoTarget } from '../../../host/targets/pico.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import type { TrueProp } from './true-prop.ts';

/** A cable that somebody pulls: from then on nothing comes through, either way, and the board goes on by itself. */
export class Cable {
  isPulled = false;
}

/** As the demo's rig has it. */
const STOP_PIN = 20;

/** The pico's firmware on its emulator, its pulses measured between rising and falling edge. uf2: the firmware's file. */
export function watchedPico(uf2: string, prop: TrueProp, cable = new Cable()): Target {
  const rises = new Map<number, number>();
  const board = picoTarget({
    uf2,
    stopPin: STOP_PIN,
    edge(pin, high, at_us) {
      const rise_us = rises.get(pin);
      if (high) rises.set(pin, at_us);
      else if (rise_us !== undefined) prop.pulse(pin, at_us - rise_us, at_us);
    },
  });
  return watched(board, prop, cable);
}

/** A look at the prop so often: its person looks on all the time. */
const LOOK_US = 20_000;

/** The simulated controller with one joint alone on this pin: its pulses by telemetry. For what people say, where no pin is needed. */
export function watchedSim(wasm: Uint8Array<ArrayBuffer>, prop: TrueProp, pin: number): Target {
  const sim = simTarget({ wasm });
  return watched(
    {
      ...sim,
      async open(listener: Listener) {
        let now_us = (): number => 0;
        const telemetry = emptyTelemetry();
        const read = frameReader({
          frame(type, _sequence, payload) {
            if (type !== TYPE.telemetry || !parseTelemetry(payload, telemetry)) return;
            const width_us = telemetry.pulse_us[0] ?? 0;
            if (width_us > 0) prop.pulse(pin, width_us, now_us());
          },
          bad: () => undefined,
        });
        const session = await sim.open({
          ...listener,
          bytes(data) {
            read(data);
            listener.bytes(data);
          },
        });
        now_us = () => session.now_us;
        return session;
      },
    },
    prop,
    new Cable(),
  );
}

function watched(target: Target, prop: TrueProp, cable: Cable): Target {
  return {
    ...target,
    async open(listener: Listener) {
      const session = await target.open({
        ...listener,
        bytes(data) {
          if (!cable.isPulled) listener.bytes(data);
        },
      });
      return onCable(session, prop, cable);
    },
  };
}

function onCable(session: Session, prop: TrueProp, cable: Cable): Session {
  const advance = async (to_us: number): Promise<void> => {
    for (let at_us = session.now_us; at_us < to_us;) {
      at_us = Math.min(to_us, at_us + LOOK_US);
      await session.advance(at_us);
      prop.at(at_us);
    }
  };
  prop.wait = (for_us) => advance(session.now_us + for_us);
  return {
    get now_us() {
      return session.now_us;
    },
    sharesClock: session.sharesClock,
    write(bytes, at_us) {
      if (!cable.isPulled) session.write(bytes, at_us);
    },
    advance,
    close: () => session.close(),
  };
}
