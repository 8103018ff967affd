/**
 * The controller's own wasm, tick after tick, without a session around it: faster than a session, and to be set back to an instant
 * before. Frames go in at the ticks that a link without faults brings them to.
 */
import { type Controller, instantiateController } from '../../../controller/controller.ts';
import { frameReader } from '../../../controller/frames.ts';
import { packImage } from '../../../controller/image.ts';
import { STATES, TYPE, type Telemetry, emptyTelemetry, parseTelemetry, sender } from '../../../controller/messages.ts';
import { telemetryTicks } from '../../../replay/measure.ts';
import type { Rig } from '../../../rig/rig.ts';

const LIVE = STATES.indexOf('live');
/** No prop takes longer to wake, s. */
const ROUSES_S = 120;

export class Clockwork {
  readonly controller: Controller;
  readonly latest: Telemetry = emptyTelemetry();
  /** Ticks from one telemetry frame to the next. */
  readonly every: number;
  /** Ticks since it was roused. */
  n = 0;
  /** Called after every tick, with every joint's pulse, us. */
  ticked: ((widths_us: Uint16Array) => void) | null = null;
  private heard = 0;
  private readonly hz: number;
  private readonly read = frameReader({
    frame: (type, _sequence, payload) => {
      if (type === TYPE.telemetry && parseTelemetry(payload, this.latest)) this.heard++;
    },
    bad: () => undefined,
  });

  /** Roused and live. @param wasm the bytes of controller.wasm. Throws where it does not wake. */
  constructor(rig: Rig, wasm: Uint8Array<ArrayBuffer>) {
    this.hz = rig.motion.tick_hz;
    this.every = telemetryTicks(this.hz);
    this.controller = instantiateController(wasm);
    this.controller.init({});
    const send = sender();
    for (const frame of [...send.image(packImage(rig)), send.report(this.every), send.command(TYPE.rouse)]) {
      this.controller.receive(frame);
      // Whatever the frame asks for is done in the tick that finds it.
      this.tick();
    }
    const most = ROUSES_S * this.hz;
    for (let k = 0; k < most && this.latest.state !== LIVE; k++) this.tick();
    if (this.latest.state !== LIVE) throw new Error('the controller does not wake');
    const heard = this.heard;
    while (this.heard === heard) this.tick();
    this.n = 0;
  }

  /** Instant of a tick, us since it was roused; 0 is that of a telemetry frame. */
  at_us(n: number): number {
    return Math.floor((n * 1e6) / this.hz);
  }

  tick(): void {
    this.controller.tick();
    this.n++;
    this.ticked?.(this.controller.pulses);
    this.controller.drain(this.read);
  }
}
