/**
 * Sound and jaw in a real browser while the sound card's clock and the computer's run apart: a take whose jaw is made from beats of a sound is
 * played, and every beat's instant on the audio clock is held against the instant at which the jaw's pulse comes. The drift is
 * simulated: before the page's script runs, every AudioContext's clock is made to go faster by a share, and so is what is started by it.
 */
import type { Page } from 'playwright-core';
import { HAND_US, STEP_US } from '../../stage/follower.ts';
import { RATE_HZ, wavOf } from './wav.ts';

const BEAT_S = 0.5;
const TICK_S = 1 / 200;
/** Between two steps of the engine, s. */
const HAND_S = HAND_US / 1e6;

/**
 * A wav: a tone of 700 Hz that swells and fades within 0.5 s from each instant on, s: no quicker than the demo's jaw can follow, so
 * that what it comes late by is the clocks'.
 */
export const beatsWav = (at_s: readonly number[], seconds: number): Buffer =>
  wavOf(seconds, (n) => {
    const t_s = n / RATE_HZ;
    const from_s = at_s.find((one) => t_s >= one && t_s < one + BEAT_S) ?? t_s;
    return 20_000 * Math.sin((Math.PI * (t_s - from_s)) / BEAT_S) ** 4 * Math.sin((2 * Math.PI * 700 * n) / RATE_HZ);
  });

/** What is overheard while the take plays. */
export interface Clock {
  /** What the page brings the engine to, ms, and what the audio clock says then, s. */
  readonly runs: (readonly [number, number])[];
  /** The engine's instant, ms, and the take's, s. */
  readonly looks: (readonly [number, number])[];
  /** Each time the sound was started (a page that stood still starts it anew): when on the audio clock, from which instant of it, and how long it takes to the ear, s. */
  readonly starts: { readonly at_s: number; readonly from_s: number; readonly late_s: number }[];
  pulses: Uint16Array | null;
}
declare global {
  var clock: Clock;
}

/** In the page, before its script: the audio clock goes 1 + share as fast as it does. */
export function runFast(share: number): void {
  globalThis.clock = { runs: [], looks: [], starts: [], pulses: null };
  let context: AudioContext | null = null;
  const real = Object.getOwnPropertyDescriptor(BaseAudioContext.prototype, 'currentTime')!;
  Object.defineProperty(BaseAudioContext.prototype, 'currentTime', {
    get(this: BaseAudioContext) {
      return (real.get!.call(this) as number) * (1 + share);
    },
  });
  const start = Object.getOwnPropertyDescriptor(AudioBufferSourceNode.prototype, 'start')!.value as (
    ...all: number[]
  ) => void;
  AudioBufferSourceNode.prototype.start = function (when = 0, from_s = 0, ...more) {
    context = this.context as AudioContext;
    clock.starts.push({ at_s: when, from_s, late_s: Math.max(context.outputLatency, context.baseLatency) });
    start.call(this, when / (1 + share), from_s, ...more.filter((one) => one !== undefined));
  };
  const Real = Worker;
  globalThis.Worker = class extends Real {
    constructor(url: string | URL, options?: WorkerOptions) {
      super(url, options);
      this.addEventListener('message', ({ data }: MessageEvent<Record<string, unknown>>) => {
        if (data['said'] === 'look' && data['follows'] === 'take')
          clock.looks.push([data['at_ms'] as number, data['take_s'] as number]);
        if (data['said'] === 'played') clock.pulses = data['pulses'] as Uint16Array;
      });
    }
    override postMessage(what: { do: string; to_ms: number }): void {
      if (what.do === 'run' && context) clock.runs.push([what.to_ms, context.currentTime]);
      super.postMessage(what);
    }
  };
}

export interface Played {
  /** The saved take's jaw, frame by frame at 50 Hz, deg. */
  readonly asked_deg: readonly number[];
  readonly beats_s: readonly number[];
}

/** Where values first come past a level from an instant on, s, straight between them. NaN: nowhere within half a second. */
function risesAt(values: readonly number[], level: number, begin_s: number, step_s: number, from_s: number): number {
  const first = Math.max(1, Math.ceil((from_s - begin_s) / step_s));
  for (let n = first; n < Math.min(values.length, first + 0.5 / step_s); n++) {
    const [a, b] = [values[n - 1]!, values[n]!];
    if (a < level && b >= level) return begin_s + (n - 1 + (level - a) / (b - a)) * step_s;
  }
  return NaN;
}

/** The instant on the audio clock at which the page brought the engine to this one, s. */
function audioAt(runs: Clock['runs'], engine_ms: number): number {
  const n = runs.findIndex(([to_ms]) => to_ms >= engine_ms);
  const [before, after] = [runs[n - 1], runs[n]];
  if (!before || !after) return NaN;
  return before[1] + ((after[1] - before[1]) * (engine_ms - before[0])) / (after[0] - before[0]);
}

/** To be called once the take has ended. @param jaw its place among the rig's joints, of which there are `joints` */
export async function lateJaw(page: Page, joints: number, jaw: number, played: Played): Promise<number[]> {
  const overheard = await page.evaluate(
    ([count, place]) => ({ ...clock, pulses: [...clock.pulses!].filter((_, n) => n % count === place) }),
    [joints, jaw] as const,
  );
  return lateOf(overheard, played);
}

/**
 * How much later than its beat on the audio clock the jaw's pulse comes, ms, beat by beat. What the jaw's own curve is behind the
 * beat (the attack of its envelope) is known from the file and taken out.
 * @param overheard while a take played from its beginning to its end; the jaw's own pulses only, tick after tick, us
 */
export function lateOf(
  { runs, looks, starts, pulses }: Omit<Clock, 'pulses'> & { readonly pulses: readonly number[] },
  { asked_deg, beats_s }: Played,
): number[] {
  const inPlay = looks.filter(([, take_s]) => take_s > 0.1 && take_s < (asked_deg.length - 1) / 50 - 0.1);
  // The engine ends a take at its first step that is more than STEP_US past the last frame; the last pulse kept is that step's.
  const phase_s = inPlay[0]![1] % HAND_S;
  const over_s = (asked_deg.length - 1) / 50 + STEP_US / 1e6;
  const end_s = phase_s + HAND_S * (Math.floor((over_s - phase_s) / HAND_S + 1e-9) + 1);
  const begin_s = end_s - (pulses.length - 1) * TICK_S;
  const shut_us = Math.min(...pulses);
  const half = (all: readonly number[], least: number): number => (least + Math.max(...all)) / 2;
  const held = smoothed(pulses);
  return beats_s.map((beat_s) => {
    const asked_s = risesAt(asked_deg, half(asked_deg, 0), 0, 1 / 50, beat_s - 0.1);
    const pulse_s = risesAt(held, half(pulses, shut_us), begin_s, TICK_S, beat_s - 0.1);
    const [at_ms, take_s] = inPlay.find((look) => look[1] >= pulse_s) ?? [NaN, NaN];
    const sound = starts.findLast(({ from_s }) => from_s <= asked_s);
    if (!sound) return NaN;
    const ear_s = sound.at_s + sound.late_s - sound.from_s + asked_s;
    return (audioAt(runs, at_ms + (pulse_s - take_s) * 1000) - ear_s) * 1000;
  });
}

/** A servo is told anew once in a frame: between two such instants its pulses as if they went straight on. */
function smoothed(pulses: readonly number[]): number[] {
  const steps = pulses.flatMap((value, n) => (n === 0 || value !== pulses[n - 1] ? [n] : []));
  const out = [...pulses];
  steps.forEach((from, k) => {
    const to = steps[k + 1];
    if (to === undefined || to - from > 4) return;
    for (let n = from; n < to; n++) out[n] = pulses[from]! + ((pulses[to]! - pulses[from]!) * (n - from)) / (to - from);
  });
  return out;
}

/** Worst and the 95th percentile of their sizes, ms; NaN counts as the worst there is. */
export function sizes(late_ms: readonly number[]): { readonly worst_ms: number; readonly p95_ms: number } {
  const sorted = late_ms.map((ms) => (Number.isNaN(ms) ? Infinity : Math.abs(ms))).sort((a, b) => a - b);
  return { worst_ms: sorted.at(-1) ?? Infinity, p95_ms: sorted[Math.ceil(0.95 * sorted.length) - 1] ?? Infinity };
}
