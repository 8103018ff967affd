/**
 * The prop on its stand: the controller's own wasm over its link, the metal behind it, and what they follow, a hand or a take. Time is a
 * parameter: the same calls give the same bits, in a page, in a test and on the command line.
 */
import { packImage } from '../../../controller/image.ts';
import { TYPE } from '../../../controller/messages.ts';
import { whatStops } from '../../../physics/kinematics/inverse.ts';
import { Conversation } from '../../../replay/conversation.ts';
import { telemetryTicks } from '../../../replay/measure.ts';
import { HOME, type Rig } from '../../../rig/rig.ts';
import { wobbleDelay_ms } from '../../../rig/wobble.ts';
import { readStream, streamJoints } from '../../../stream/read.ts';
import type { StoredStream } from '../../../stream/stored.ts';
import { storeStream } from '../../../stream/store.ts';
import { simTarget } from '../../../targets/sim.ts';
import { Metal } from './metal.ts';
import type { Look } from './protocol.ts';

/** Between two frames of a hand, and two looks at the take. */
const STEP_US = 20_000;
/** Standing still for so long before a take begins: what came before is over, in every filter. */
const STILL_US = 200_000;
/** Frames that may wait in the controller's queue, of its 64. */
const QUEUED = 40;

type Following =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'hand'; readonly values: Float64Array }
  | { readonly kind: 'take'; readonly take: Playing };

/** A take that plays; `start_us` is the instant of its first frame, null while the prop goes there. */
interface Playing {
  readonly rows: readonly { readonly t_s: number; readonly values: Float64Array }[];
  readonly curve: StoredStream;
  next: number;
  start_us: number | null;
  /** By tick since the take began, every joint's pulse, us. */
  readonly pulses: number[];
}

const NOTHING: Following = { kind: 'nothing' };

export class Stand {
  private following: Following = NOTHING;
  private readonly rig: Rig;
  private readonly talk: Conversation;
  private readonly metal: Metal;
  private readonly legs: number;
  private readonly delay_us: number;
  private readonly values: Float64Array;
  private still_us = 0;
  private ended: Uint16Array | null = null;
  private laidOver: Float64Array | null = null;

  private constructor(rig: Rig, talk: Conversation, metal: Metal) {
    this.rig = rig;
    this.talk = talk;
    this.metal = metal;
    this.legs = rig.platform ? 6 : 0;
    this.delay_us = (rig.motion.playback_delay_ms + wobbleDelay_ms(rig)) * 1000;
    this.values = new Float64Array(HOME.length + streamJoints(rig).length);
  }

  /** Roused and live. @param wasm the bytes of controller.wasm */
  static async open(rig: Rig, wasm: Uint8Array<ArrayBuffer>): Promise<Stand> {
    const metal = new Metal(rig);
    let stand: Stand | null = null;
    const sim = simTarget({ wasm, pulses: (widths_us) => stand?.ticked(widths_us) });
    const talk = await Conversation.open(sim, {
      telemetry: (t) => {
        metal.telemetry(t);
        stand?.heard();
      },
    });
    await talk.load(packImage(rig));
    await talk.report(telemetryTicks(rig.motion.tick_hz));
    stand = new Stand(rig, talk, metal);
    await talk.rouse();
    stand.hand(stand.homeValues());
    return stand;
  }

  /** Session time, us. */
  get now_us(): number {
    return this.talk.session.now_us;
  }

  homeValues(): Float64Array {
    const joints = this.rig.joints.slice(this.legs).map(({ home }) => home);
    return Float64Array.of(...HOME, ...joints);
  }

  /** Follows these from now on: pose (mm, rad), then the joints but the legs (rad). */
  hand(values: Float64Array): void {
    this.following = { kind: 'hand', values };
  }

  release(): void {
    this.following = NOTHING;
  }

  /**
   * Plays a take that has been checked: from where it stands to its frame at from_s, and on once it stands there.
   * @param text a stream's
   */
  async play(text: string, from_s: number): Promise<void> {
    const source = [new TextEncoder().encode(text)];
    const curve = await storeStream(source, this.rig);
    const rows = [];
    for await (const { frames } of readStream(source, this.rig))
      for (const { t_s, pose, joints } of frames)
        if (t_s >= from_s) rows.push({ t_s, values: Float64Array.of(...pose, ...joints) });
    if (rows.length === 0) return;
    this.still_us = 0;
    this.following = { kind: 'take', take: { rows, curve, next: 0, start_us: null, pulses: [] } };
  }

  /** Lays a hand's values over the take that plays, from its next frame on; NaN: the take's own. */
  over(values: Float64Array | null): void {
    this.laidOver = values;
  }

  /** Rouse, settle, pause or clear. */
  command(what: 'rouse' | 'settle' | 'pause' | 'clear'): void {
    if (what !== 'rouse') this.following = NOTHING;
    else this.hand(this.homeValues());
    this.talk.session.write(this.talk.send.command(TYPE[what]), this.now_us);
  }

  /** Brings it to this session time, us, in whole steps. */
  run(to_us: number): void {
    while (this.now_us + STEP_US <= to_us) {
      this.feed();
      void this.talk.session.advance(this.now_us + STEP_US);
    }
  }

  /** What every joint was told while the last take played, tick after tick, us; once. Null: none has ended. */
  played(): Uint16Array | null {
    const { ended } = this;
    this.ended = null;
    return ended;
  }

  private feed(): void {
    const { following, talk } = this;
    if (following.kind === 'hand') this.send(talk.now_us, following.values);
    else if (following.kind === 'take') this.feedTake(following.take);
  }

  private feedTake(take: Playing): void {
    const { rows } = take;
    if (take.start_us === null) {
      this.send(this.talk.now_us, this.mixed(rows[0]!.values));
      return;
    }
    const at_us = (n: number): number => take.start_us! + (rows[n]!.t_s - rows[0]!.t_s) * 1e6;
    while (take.next < rows.length && this.talk.latest.queued < QUEUED) {
      // Two frames ahead of its own instant, as replay sends it: the slope of the one before needs it.
      if (at_us(Math.max(0, take.next - 2)) > this.talk.now_us + STEP_US) return;
      this.send(at_us(take.next), this.mixed(rows[take.next]!.values));
      take.next++;
    }
    if (this.talk.now_us > at_us(rows.length - 1) + this.delay_us + STEP_US) this.end(take);
  }

  private mixed(values: Float64Array): Float64Array {
    const { laidOver } = this;
    return laidOver ? values.map((value, k) => (Number.isNaN(laidOver[k] ?? NaN) ? value : laidOver[k]!)) : values;
  }

  /** The last frame is out: the hand holds it from here on. */
  private end(take: Playing): void {
    this.ended = Uint16Array.from(take.pulses);
    this.hand(take.rows.at(-1)!.values);
  }

  private send(at_us: number, values: Float64Array): void {
    this.talk.session.write(this.talk.send.pose(Math.round(at_us), values, this.legs), this.now_us);
  }

  /** A telemetry frame has come. */
  private heard(): void {
    const { following, talk } = this;
    if (following.kind !== 'take') return;
    const { take } = following;
    const t = talk.latest;
    if (take.start_us === null) {
      const isStill = this.rig.joints.every((_, i) => t.rise[i] === 0 && t.fall[i] === 0);
      this.still_us = isStill && t.state === LIVE ? this.still_us + (t.ticks * 1e6) / this.rig.motion.tick_hz : 0;
      if (this.still_us > STILL_US + this.delay_us) take.start_us = this.now_us + 2 * STEP_US;
    }
  }

  /** A tick has passed. */
  private ticked(widths_us: Uint16Array): void {
    if (this.following.kind !== 'take' || this.following.take.start_us === null) return;
    const { pulses } = this.following.take;
    for (let i = 0; i < this.rig.joints.length; i++) pulses.push(widths_us[i]!);
  }

  /** Of the take that plays: the time that comes out now, s; null: none. */
  private take_s(): number | null {
    if (this.following.kind !== 'take') return null;
    const { rows, start_us } = this.following.take;
    const first_s = rows[0]!.t_s;
    if (start_us === null) return first_s;
    return Math.min(rows.at(-1)!.t_s, first_s + Math.max(0, this.talk.now_us - this.delay_us - start_us) / 1e6);
  }

  /** Copies of all that is so now. */
  look(): Look {
    const { talk, metal, following } = this;
    const take_s = this.take_s();
    const asked = this.asked(take_s);
    const stop = this.rig.platform && asked ? whatStops(this.rig, asked) : null;
    return {
      said: 'look',
      state: talk.state,
      trip: talk.tripped,
      follows: following.kind,
      take_s,
      asked: asked ? asked.slice() : new Float64Array(this.values.length).fill(NaN),
      commanded: metal.commanded.slice(),
      metal: metal.metal.slice(),
      pose: metal.pose && Float64Array.from(metal.pose),
      metalPose: metal.metalPose && Float64Array.from(metal.metalPose),
      use: metal.use.slice(),
      stoppedBy: stop,
      fallen: metal.fallen,
    };
  }

  private asked(take_s: number | null): Float64Array | null {
    if (this.following.kind === 'hand') return this.following.values;
    if (this.following.kind === 'nothing' || take_s === null) return null;
    this.following.take.curve.evaluate(take_s, this.values);
    return this.values;
  }
}

/** The number of the state in which a take may begin. */
const LIVE = 2;
