/** How the frames of a stream arrive: how long each took from being sent to being heard, which got lost, which came too late. */
import { COUNTERS, type Telemetry } from '../controller/messages.ts';
import { Distribution } from './histogram.ts';

const LATE = COUNTERS.indexOf('late');
/** Frames in flight whose sending times are remembered. */
const SENDS = 256;

export class Arrivals {
  readonly latency = new Distribution();
  lost = 0;
  late = 0;
  private readonly hz: number;
  private readonly sentAt_us = new Float64Array(SENDS);
  private lastPose = -1;
  /** The late counter at the last telemetry; -1: none yet, for a board may have run before. */
  private lateBefore = -1;

  /** @param hz ticks a second. */
  constructor(hz: number) {
    this.hz = hz;
  }

  sent(sequence: number, sent_us: number, arrives: boolean): void {
    this.sentAt_us[sequence] = sent_us;
    if (!arrives) this.lost++;
    if (this.lastPose < 0) this.lastPose = (sequence + 255) & 255;
  }

  /** Of the frames that came since the last telemetry the newest tells; lost ones have no arrival. */
  telemetry(t: Telemetry, now_us: number): void {
    const late = t.counters[LATE]!;
    if (this.lateBefore >= 0) this.late += (late - this.lateBefore) & 0xffff;
    this.lateBefore = late;
    const newer = (t.lastPose - this.lastPose) & 255;
    if (this.lastPose < 0 || newer === 0 || newer > 128) return;
    this.lastPose = t.lastPose;
    const arrived_us = now_us - (t.lastPoseTicks * 1e6) / this.hz;
    this.latency.add((arrived_us - this.sentAt_us[t.lastPose]!) / 1000);
  }
}
