/** Whole replays on the simulator: the owl's dusk, a recorded head, a poor line, a long stream. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { frameReader } from '../../../host/controller/frames.ts';
import { COUNTERS, TYPE, emptyTelemetry, parseTelemetry } from '../../../host/controller/messages.ts';
import { PERFECT_LINK, type LinkOptions } from '../../../host/replay/link-model.ts';
import { type ReplayOptions, replay } from '../../../host/replay/replay.ts';
import type { Replay } from '../../../host/replay/result.ts';
import type { Target } from '../../../host/replay/target.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import type { StreamSource } from '../../../host/stream/read.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';

const owl = (file = 'host/demo/night-owl.yaml'): Rig => readRig(readFileSync(file, 'utf8')).rig!;
const OPTIONS: ReplayOptions = { link: PERFECT_LINK, tolerance: { mm: 0.5, deg: 0.5 }, name: 'test' };
const play = (source: StreamSource | string, link: Partial<LinkOptions> = {}, rig = owl()): Promise<Replay> =>
  replay(rig, typeof source === 'string' ? [readFileSync(source)] : source, simTarget({ wasm: WASM }), {
    ...OPTIONS,
    link: { ...PERFECT_LINK, ...link },
  });
const text = (rows: string[]): Uint8Array[] => [new TextEncoder().encode(rows.join('\n'))];

/** A slow look left and right, `seconds` long, at 50 frames/s. */
function look(seconds: number): Uint8Array[] {
  const rows = ['t_s,y_mm,yaw_deg'];
  for (let i = 0; i <= seconds * 50; i++)
    rows.push(`${String(i / 50)},${(3 * Math.sin(i / 40)).toFixed(4)},${(4 * Math.sin(i / 40)).toFixed(4)}`);
  return text(rows);
}

it('ends where it is stopped: the prop settles, and that is said', async () => {
  const stop = new AbortController();
  const played = replay(owl(), look(600), simTarget({ wasm: WASM }), {
    link: PERFECT_LINK,
    tolerance: { mm: 0.5, deg: 0.5 },
    name: 'test',
    progress: (seconds) => seconds > 20 && stop.abort(),
    signal: stop.signal,
  });
  await expect(played).rejects.toThrow('stopped by you: the prop has settled');
});

describe('the owl at dusk', () => {
  it.each(['host/demo/night-owl.yaml', 'host/demo/night-owl-bare.yaml'])(
    '%s: the platform follows, the nod is asked too much',
    async (file) => {
      const { answer } = await play('host/demo/dusk.csv', {}, owl(file));
      expect(answer.ok).toBe(true);
      expect(answer.breaches).toEqual([]);
      expect(answer).toMatchObject({ frames: 1001, late: 0, starved: 0, unreachable: 0, lost: 0 });
      expect(answer.path.peak_mm).toBeLessThan(0.01);
      const nod = answer.joints.find(({ name }) => name === 'nod')!;
      expect(nod.peak_error).toBeGreaterThan(0.5);
      expect(nod.peak_error).toBeLessThan(1);
      expect(nod.limit_ticks).toBeGreaterThan(50);
      for (const joint of answer.joints) if (joint !== nod) expect(joint.peak_error).toBeLessThan(0.01);
    },
  );

  it('is the same motion over a line whose jitter is less than what the look-ahead leaves of the delay', async () => {
    const { answer: calm } = await play('host/demo/dusk.csv');
    const { answer: jittery } = await play('host/demo/dusk.csv', { jitter_ms: 55, seed: 3 });
    expect(jittery.joints).toEqual(calm.joints);
    expect(jittery.ok).toBe(true);
    expect(jittery.latency_ms.max).toBeGreaterThan(50);
    expect(jittery.latency_ms.max).toBeLessThan(61);
  });

  it('is honest about a line that loses and delays', async () => {
    const { answer } = await play('host/demo/dusk.csv', { jitter_ms: 400, loss: 0.2, burst: 10, seed: 5 });
    expect(answer.ok).toBe(false);
    expect(answer.lost).toBeGreaterThan(100);
    expect(answer.late + answer.starved).toBeGreaterThan(0);
    // Every frame comes too late to be played: it holds, and after ten seconds of that settles.
    expect(answer.breaches.map(({ where, what }) => `${where} ${what}`)).toEqual(['guard silence']);
  });

  it('gives the same answer twice', async () => {
    const link = { jitter_ms: 100, loss: 0.05, seed: 9 };
    expect((await play('host/demo/dusk.csv', link)).answer).toEqual((await play('host/demo/dusk.csv', link)).answer);
  });
});

describe('with a wobble cure', () => {
  const text = readFileSync('host/demo/night-owl.yaml', 'utf8');
  const shaped = (cure: string): Rig =>
    readRig(text.replace('{ cure: none }', `{ cure: ${cure}, hz: 3, damping: 0.03 }`)).rig!;
  const HALF_MS = 1000 / (2 * 3 * Math.sqrt(1 - 0.03 ** 2));

  it.each([
    ['exact', 0.5],
    ['tolerant', 1],
    ['broad', 1],
  ])(
    '%s: its delay is told and taken out; turns are rounded, nothing starves and no limit is broken',
    async (cure, halves) => {
      const { answer } = await play('host/demo/dusk.csv', {}, shaped(cure));
      // A little less than the middle of the impulses, since the later ones are smaller.
      expect(answer.wobble_ms).toBeGreaterThan(0.85 * halves * HALF_MS);
      expect(answer.wobble_ms).toBeLessThan(halves * HALF_MS);
      expect(answer.delay_ms).toBeCloseTo(210 + answer.wobble_ms, 9);
      expect(answer.look_ahead_ms).toBe(150);
      expect(answer.breaches).toEqual([]);
      expect(answer).toMatchObject({ frames: 1001, late: 0, starved: 0, unreachable: 0, lost: 0 });
      expect(answer.seconds).toBeCloseTo(20, 1);
      expect(answer.latency_ms.max).toBe(0);
      // Joints that it does not shape follow as before; the shaped ones are nearer than they would be with the delay left in.
      for (const { name, peak_error } of answer.joints)
        if (['lid', 'jaw', 'ears'].includes(name)) expect(peak_error).toBeLessThan(0.02);
      expect(answer.path.peak_deg).toBeLessThan(2);
      expect(answer.path.peak_deg).toBeGreaterThan(0.2);
    },
  );

  it('a slow look comes through all but as it was, its sudden start apart', async () => {
    const { answer } = await play(look(10), {}, shaped('tolerant'));
    expect(answer.ok).toBe(true);
    expect(answer.path.peak_deg).toBeLessThan(0.25);
  });
});

describe('a recorded head', () => {
  // The first seconds of CMU motion capture (mocap.cs.cmu.edu, free for all uses), as in tests/data/head.csv.
  it('survives, keeps every joint within its limits, and says what could not be followed', async () => {
    const { answer, traces } = await play('tests/data/head.csv');
    expect(answer.ok).toBe(false);
    expect(answer.unreachable).toBeGreaterThan(answer.ticks / 4);
    expect(answer.stopped_by.length).toBeGreaterThan(0);
    expect(answer.path.peak_mm).toBeGreaterThan(5);
    // Joints one by one are held; together they may leave the asked pose, and a rod end with it. That is said too.
    expect(answer.breaches.filter(({ what }) => what !== 'rod_end')).toEqual([]);
    expect(traces.worst.stopped_by ?? traces.worst.worst_joint).not.toBeNull();
  });
});

describe('streams of every length', () => {
  it('one frame', async () => {
    const { answer } = await play(text(['t_s,y_mm', '0,2']));
    expect(answer.frames).toBe(1);
    expect(answer.breaches).toEqual([]);
  });

  it('frames far apart are played as one smooth motion', async () => {
    const { answer } = await play(text(['t_s,yaw_deg', '0,0', '2,5', '4,-5', '6,0']));
    expect(answer).toMatchObject({ ok: true, starved: 0, late: 0 });
  });

  it('over a rig that settles soon after the last frame, which is no breach', async () => {
    const rig = owl();
    const { answer } = await play(look(5), {}, { ...rig, motion: { ...rig.motion, hold_s: 0.05 } });
    expect(answer.breaches).toEqual([]);
    expect(answer.ok).toBe(true);
  });

  it('may begin anywhere in time', async () => {
    const { answer } = await play(text(['t_s,yaw_deg', '1000,0', '1001,5', '1002,0']));
    expect(answer).toMatchObject({ ok: true });
    expect(answer.seconds).toBeCloseTo(2, 1);
  });

  it('dense frames wait for room in the queue: 1000 a second, played 210 ms late, and none is turned away', async () => {
    const rows = ['t_s,yaw_deg'];
    for (let i = 0; i <= 3000; i++) rows.push(`${String(i / 1000)},${(4 * Math.sin(i / 500)).toFixed(5)}`);
    const rig = owl();
    const sim = simTarget({ wasm: WASM });
    const told = emptyTelemetry();
    let most = 0;
    const watched: Target = {
      ...sim,
      open(listener) {
        const read = frameReader({
          frame: (type, _, payload) => {
            if (type === TYPE.telemetry && parseTelemetry(payload, told)) most = Math.max(most, told.queued);
          },
          bad: () => undefined,
        });
        return sim.open({
          bytes: (bytes) => {
            read(bytes);
            listener.bytes(bytes);
          },
        });
      },
    };
    const { answer } = await replay(
      { ...rig, motion: { ...rig.motion, look_ahead_ms: 0 } },
      text(rows),
      watched,
      OPTIONS,
    );
    expect(answer).toMatchObject({ ok: true, starved: 0, late: 0 });
    expect(COUNTERS.map((name, k) => `${name} ${String(told.counters[k])}`)).toContain('full 0');
    // There is not much room left, or it would say nothing.
    expect(most).toBeGreaterThan(40);
    expect(most).toBeLessThanOrEqual(64);
  });

  it('a line that loses everything ends too', async () => {
    const { answer } = await play(look(5), { loss: 1 });
    expect(answer.ok).toBe(false);
    expect(answer.lost).toBe(answer.frames);
  });

  it('keeps its traces in fixed memory', async () => {
    const short = await play(look(10));
    const long = await play(look(200));
    const size = ({ traces }: Replay): number =>
      traces.joints.reduce((sum, joint) => sum + joint.delivered.lo.length, 0);
    expect(size(long)).toBeLessThanOrEqual(600 * long.traces.joints.length);
    expect(long.answer.ok && short.answer.ok).toBe(true);
  });
});

it('stopped by an abort, it plays no further, settles, and says so', async () => {
  const stop = new AbortController();
  let reached_s = 0;
  const progress = (at_s: number): void => {
    reached_s = at_s;
    if (at_s > 2) stop.abort();
  };
  const played = replay(owl(), look(30), simTarget({ wasm: WASM }), { ...OPTIONS, progress, signal: stop.signal });
  await expect(played).rejects.toThrow('stopped by you: the prop has settled');
  expect(reached_s).toBeGreaterThan(2);
  expect(reached_s).toBeLessThan(4);
});
