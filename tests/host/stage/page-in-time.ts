/**
 * The page's own script and its worker in simulated time: a frame is drawn as often as is said, the sound card's clock goes as fast as
 * is said. What is overheard is what host/build/bench/stage-drift.ts overhears in a browser.
 */
import { vi } from 'vitest';
import type { Clock } from '../../../host/build/bench/stage-drift.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import type { FromEngine, TimedLook, ToEngine } from '../../../host/stage/page/engine/protocol.ts';
import type { Take } from '../../../host/stage/take/take.ts';
import { rigText } from '../../../host/stage/transfer.ts';
import { WASM } from '../../assembly/prop.ts';

/** The audio clock goes by so much at a time (Web Audio API, "render quantum": 128 frames), s. */
const QUANTUM_S = 128 / 48_000;
/** How long a sound takes to the ear, s, and how long the page to start one, ms: both invented. */
const LATENCY_S = 0.023;
const START_MS = 6;

export interface Sounding {
  /** The sound card's clock goes 1 + share as fast as the frames'. */
  readonly share: number;
  /** From the n-th frame to the next, ms. */
  readonly frame_ms: (n: number) => number;
}

/** While a take played: what a browser's page would be overheard saying, and every look at the prop. */
export interface Overheard {
  readonly clock: Clock;
  readonly looks: readonly TimedLook[];
}

type Listener = (event: { readonly data: unknown }) => void;

export class PageInTime {
  private now_ms = 0;
  private frames = 0;
  private next: ((now_ms: number) => void) | null = null;
  private toWorker: Listener | null = null;
  private toPage: Listener | null = null;
  private answers: FromEngine[] = [];
  private clock: Clock = { runs: [], looks: [], starts: [], pulses: null };
  private looks: TimedLook[] = [];
  private readonly sounding: Sounding;

  private constructor(sounding: Sounding) {
    this.sounding = sounding;
  }

  /** With the prop live. The page's modules are loaded anew: each of these has its own. */
  static async open(rig: Rig, sounding: Sounding): Promise<PageInTime> {
    const page = new PageInTime(sounding);
    vi.resetModules();
    page.stub();
    await import('../../../host/stage/page/engine/engine.ts');
    const state = await import('../../../host/stage/page/state.ts');
    const { startEngine } = await import('../../../host/stage/page/engine/client.ts');
    const { startPlay } = await import('../../../host/stage/page/takes/play.ts');
    state.rig.value = rig;
    startPlay();
    startEngine(rigText(rig), WASM.slice().buffer);
    await page.until(() => state.look.value?.state === 'live');
    return page;
  }

  private audio_s(): number {
    const s = ((1 + this.sounding.share) * this.now_ms) / 1000;
    return Math.floor(s / QUANTUM_S) * QUANTUM_S;
  }

  private stub(): void {
    const listen = (listener: Listener): unknown => (this.toPage = listener);
    const heard = (what: ToEngine): void => {
      if (what.do === 'run') this.clock.runs.push([what.to_ms, this.audio_s()]);
      this.toWorker!({ data: what });
    };
    const now_s = (): number => this.audio_s();
    vi.stubGlobal('requestAnimationFrame', (call: (now_ms: number) => void) => (this.next = call));
    vi.stubGlobal('addEventListener', (_: string, listener: Listener) => (this.toWorker = listener));
    vi.stubGlobal('postMessage', (what: FromEngine) => this.answers.push(what));
    vi.stubGlobal(
      'Worker',
      class {
        postMessage = heard;
        addEventListener(kind: string, listener: Listener): void {
          if (kind === 'message') listen(listener);
        }
      },
    );
    const createBufferSource = (): unknown => this.source();
    vi.stubGlobal(
      'AudioContext',
      class {
        readonly outputLatency = LATENCY_S;
        readonly baseLatency = 0.01;
        readonly destination = {};
        createBufferSource = createBufferSource;
        get currentTime(): number {
          return now_s();
        }
        async resume(): Promise<void> {}
        createGain(): unknown {
          return { connect: () => undefined };
        }
      },
    );
  }

  private source(): unknown {
    this.now_ms += START_MS;
    return {
      connect: () => undefined,
      stop: () => undefined,
      start: (at_s: number, from_s: number) => this.clock.starts.push({ at_s, from_s, late_s: LATENCY_S }),
    };
  }

  /** Draws a frame; what the worker answers is there before the next. */
  private async frame(): Promise<void> {
    this.now_ms += this.sounding.frame_ms(this.frames++);
    const call = this.next;
    this.next = null;
    call?.(this.now_ms);
    await new Promise((resolve) => setImmediate(resolve));
    for (const data of this.answers.splice(0)) {
      if (data.said === 'fault') throw new Error(data.words);
      if (data.said === 'played') this.clock.pulses = data.pulses;
      if (data.said === 'look' && data.follows === 'take') {
        this.clock.looks.push([data.at_ms, data.take_s!]);
        this.looks.push(data);
      }
      this.toPage!({ data });
    }
  }

  private async until(holds: () => boolean): Promise<void> {
    for (let n = 0; !holds(); n++) {
      if (n > 20_000) throw new Error('it does not come about');
      await this.frame();
    }
  }

  /** Plays the take with a sound as long as itself, from an instant to its end. */
  async play(take: Take, from_s: number): Promise<Overheard> {
    const state = await import('../../../host/stage/page/state.ts');
    const { historyOf } = await import('../../../host/stage/take/history.ts');
    const { voice } = await import('../../../host/stage/page/sound/voice.ts');
    const { play, playing } = await import('../../../host/stage/page/takes/play.ts');
    const sound = { file: 'hoot.wav', at_s: 0 };
    state.history.value = historyOf({ ...take, sound });
    voice.value = { file: sound.file, buffer: { duration: take.seconds } as AudioBuffer, audio: new Float32Array() };
    this.clock = { runs: [], looks: [], starts: [], pulses: null };
    this.looks = [];
    state.cursor_s.value = from_s;
    await play();
    await this.until(() => playing.value === 'no');
    return { clock: this.clock, looks: this.looks };
  }
}
