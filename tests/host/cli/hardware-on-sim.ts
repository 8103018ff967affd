/** The simulation as if it were a board at a port, and a command line before it with a terminal, a key or a signal. */
import { readFileSync } from 'node:fs';
import { PassThrough } from 'node:stream';
import { runCli } from '../../../host/cli/main.ts';
import { frameReader } from '../../../host/controller/frames.ts';
import { TYPE, emptyTelemetry, parseTelemetry } from '../../../host/controller/messages.ts';
import type { Proven, Target } from '../../../host/replay/target.ts';
import { simTarget } from '../../../host/targets/sim.ts';

export class HardwareOnSim {
  readonly proven: Proven = 'hardware';
  /** Largest pulse of each telemetry frame, µs; limp ones left out. */
  readonly pulses: number[] = [];
  /** The cable is out once so many frames with pulses have come. */
  pulledAfter = Infinity;

  get target(): Target {
    const sim = simTarget({
      wasm: new Uint8Array(readFileSync(new URL('../../../build/controller.wasm', import.meta.url))),
    });
    const telemetry = emptyTelemetry();
    const read = frameReader({
      frame: (type, _sequence, payload) => {
        if (type !== TYPE.telemetry || !parseTelemetry(payload, telemetry)) return;
        const most = Math.max(...telemetry.pulse_us);
        if (most > 0) this.pulses.push(most);
      },
      bad: () => undefined,
    });
    return {
      ...sim,
      name: 'serial:/dev/somewhere',
      proven: this.proven,
      open: (listener) =>
        sim.open({
          bytes: (data) => {
            if (this.pulses.length >= this.pulledAfter) return;
            read(data);
            listener.bytes(data);
          },
        }),
    };
  }
}

export interface Before {
  /** What is typed when something is written, such as at a question; null: nothing. Without: there is no terminal. */
  readonly types?: (written: string) => string | null;
  /** Whether Ctrl-C is pressed once this is written. */
  readonly interruptsAt?: string;
  readonly sees?: (written: string) => void;
}

/** Runs one command line at a dumb terminal, or at none. */
export async function runBefore(argv: readonly string[], { types, interruptsAt, sees }: Before = {}) {
  let [out, err] = ['', ''];
  let interrupt: (() => void) | null = null;
  const input = Object.assign(new PassThrough(), types ? { isTTY: true } : {});
  const write = (text: string): void => {
    out += text;
    sees?.(text);
    const typed = types?.(text) ?? null;
    if (typed !== null) setImmediate(() => input.write(typed));
    if (interruptsAt !== undefined && text.includes(interruptsAt)) setImmediate(() => interrupt?.());
  };
  const code = await runCli(argv, {
    stdout: { write },
    stderr: { write: (text) => (err += text) },
    stdin: input,
    env: { TERM: 'dumb' },
    now: () => performance.now(),
    onInterrupt: (handler) => (interrupt = handler),
  });
  return { code, out, err };
}
