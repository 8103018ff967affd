/**
 * The prop on its stand: the controller's own wasm over its link, and the metal behind it. Time is a parameter: the same calls give the
 * same bits, in a page, in a test and on the command line.
 */
import { packImage } from '../../../controller/image.ts';
import { whatStops } from '../../../physics/kinematics/inverse.ts';
import { Conversation } from '../../../replay/conversation.ts';
import type { Sensed } from '../../../replay/sensed.ts';
import type { Rig } from '../../../rig/rig.ts';
import { simTarget } from '../../../targets/sim.ts';
import { Follower, HAND_US } from '../../follower.ts';
import { Metal } from './metal.ts';
import type { Look } from './protocol.ts';

/** All inputs open, and 0. */
const OPEN: Sensed = { closed: 0, analog: [] };

export class Stand {
  readonly follower: Follower;
  private readonly rig: Rig;
  private readonly talk: Conversation;
  private readonly metal: Metal;
  private readonly unasked: Float64Array;
  private sensed: Sensed = OPEN;
  /** By tick since the take began, every joint's pulse, us; and those of the last that has ended. */
  private pulses: number[] = [];
  private ended: Uint16Array | null = null;

  private constructor(rig: Rig, talk: Conversation, metal: Metal) {
    this.rig = rig;
    this.talk = talk;
    this.metal = metal;
    this.follower = new Follower(rig, talk, null);
    this.unasked = this.follower.homeValues().fill(NaN);
  }

  /** Roused and live. @param wasm the bytes of controller.wasm */
  static async open(rig: Rig, wasm: Uint8Array<ArrayBuffer>): Promise<Stand> {
    const metal = new Metal(rig);
    let stand: Stand | null = null;
    const sim = simTarget({
      wasm,
      sensed: () => stand?.sensed ?? OPEN,
      pulses: (widths_us) => stand?.ticked(widths_us),
    });
    const talk = await Conversation.open(sim, {
      telemetry: (t) => {
        metal.telemetry(t);
        stand?.follower.heard();
      },
    });
    await talk.load(packImage(rig));
    // As often as a hand's frames go out, so that no picture waits for the metal.
    await talk.report(Math.max(1, Math.round((rig.motion.tick_hz * HAND_US) / 1e6)));
    await talk.rouse();
    stand = new Stand(rig, talk, metal);
    stand.follower.hand(stand.follower.homeValues());
    return stand;
  }

  /** Session time, us. */
  get now_us(): number {
    return this.talk.session.now_us;
  }

  /** Brings it to this session time, us, in whole steps. */
  run(to_us: number): void {
    while (this.now_us + HAND_US <= to_us) {
      if (this.follower.feed()) {
        this.ended = Uint16Array.from(this.pulses);
        this.pulses = [];
      }
      void this.talk.session.advance(this.now_us + HAND_US);
    }
  }

  /** What the rig's inputs are from the next tick on. */
  sense(now: Sensed): void {
    this.sensed = now;
  }

  /** What every joint was told while the last take played, tick after tick, us; once. Null: none has ended. */
  played(): Uint16Array | null {
    const { ended } = this;
    this.ended = null;
    return ended;
  }

  private ticked(widths_us: Uint16Array): void {
    if (!this.follower.isPlaying) this.pulses.length = 0;
    else for (let i = 0; i < this.rig.joints.length; i++) this.pulses.push(widths_us[i]!);
  }

  /** Copies of all that is so now. */
  look(): Look {
    const { talk, metal, follower } = this;
    const asked = follower.asked();
    return {
      said: 'look',
      state: talk.state,
      trip: talk.tripped,
      follows: follower.kind,
      take_s: follower.take_s,
      asked: (asked ?? this.unasked).slice(),
      commanded: metal.commanded.slice(),
      metal: metal.metal.slice(),
      pose: metal.pose && Float64Array.from(metal.pose),
      metalPose: metal.metalPose && Float64Array.from(metal.metalPose),
      use: metal.use.slice(),
      stoppedBy: this.rig.platform && asked ? whatStops(this.rig, asked) : null,
      fallen: metal.fallen,
    };
  }
}
