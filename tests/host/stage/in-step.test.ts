/**
 * A take's sound begins where its motion does, in simulated time, with frames of uneven length and an audio clock that drifts. Counted twice:
 * from the jaw's pulses, as the benchmark counts in a browser, and from where the looks say the jaw is told to be.
 */
import { readFileSync } from 'node:fs';
import { afterEach, expect, it, vi } from 'vitest';
import { lateOf, sizes } from '../../../host/build/bench/stage-drift.ts';
import { readRig } from '../../../host/rig/read.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { emptyTake } from '../../../host/stage/take/take.ts';
import { type Overheard, PageInTime } from './page-in-time.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const jaw = owl.joints.findIndex(({ name }) => name === 'jaw');
const FOR_S = 5;
const BEATS_S = [0.5, 1.5, 2.5, 3.5];
/** Of the jaw, deg: a swell of 0.5 s at each beat, slow enough for the demo's jaw to follow. */
const askedAt = (t_s: number): number =>
  6 * Math.sin(Math.PI * Math.min(1, 2 * (t_s - (BEATS_S.findLast((beat_s) => beat_s <= t_s) ?? t_s)))) ** 4;
const asked_deg = Array.from({ length: FOR_S * 50 + 1 }, (_, n) => askedAt(n / 50));
const keys = asked_deg.map((value, n) => ({ t_s: n / 50, value }));
const take = { ...emptyTake('beats', FOR_S), curves: [{ column: 'jaw_deg', keys }] };
const uneven_ms = (n: number): number => 16.667 + 6 * Math.sin(n) + (n % 47 === 46 ? 40 : 0);

afterEach(() => vi.unstubAllGlobals());

const pulsesLate_ms = ({ clock }: Overheard): number[] => {
  const pulses = [...clock.pulses!].filter((_, n) => n % owl.joints.length === jaw);
  return lateOf({ ...clock, pulses }, { asked_deg, beats_s: BEATS_S });
};

/** How much later than the sound the jaw is told a place, ms, wherever it moves fast enough to say: from the looks alone. */
function looksLate_ms({ clock, looks }: Overheard): number[] {
  const sound = clock.starts.at(-1)!;
  return looks.flatMap(({ at_ms, commanded }) => {
    const n = clock.runs.findIndex(([to_ms]) => to_ms >= at_ms);
    const [before, after] = [clock.runs[n - 1], clock.runs[n]];
    if (!before || !after) return [];
    const share = (at_ms - before[0]) / (after[0] - before[0]);
    const audio_s = before[1] + share * (after[1] - before[1]);
    const since_s = audio_s - sound.at_s - sound.late_s;
    if (since_s < 0) return [];
    const heard_s = sound.from_s + since_s;
    const slope = (askedAt(heard_s + 0.01) - askedAt(heard_s - 0.01)) / 0.02;
    return Math.abs(slope) < 20 ? [] : [((askedAt(heard_s) - commanded[jaw]! / toRad(1)) / slope) * 1000];
  });
}

/** Pulses are whole microseconds, some 1.6 ms of this motion; a step of the stand is 5 ms. */
const PULSES_MS = 2.5;

it.each([100e-6, 0.02])(
  'whichever step the start falls upon, with an audio clock that is fast by %f',
  async (share) => {
    const page = await PageInTime.open(owl, { share, frame_ms: uneven_ms });
    const phases_ms = new Set<number>();
    for (let n = 0; n < 6; n++) {
      const heard = await page.play(take, 0);
      const [pulses, looks] = [pulsesLate_ms(heard), looksLate_ms(heard)];
      expect(heard.clock.starts).toHaveLength(1);
      expect(pulses).toHaveLength(BEATS_S.length);
      expect(sizes(pulses).worst_ms, pulses.join(' ms, ')).toBeLessThan(PULSES_MS);
      expect(looks.length).toBeGreaterThan(40);
      expect(sizes(looks).worst_ms, looks.join(' ms, ')).toBeLessThan(1);
      phases_ms.add(Math.round(heard.clock.looks.find(([, take_s]) => take_s > 0.1)![1] * 1000) % 20);
    }
    expect(phases_ms.size, 'the starts differ').toBeGreaterThan(1);
  },
);

it('from an instant between two frames of the take: the sound waits until the prop stands there', async () => {
  const page = await PageInTime.open(owl, { share: 100e-6, frame_ms: uneven_ms });
  // A hair past 1.2 s, as a second before a stretch that is recorded; and in the middle of a frame.
  for (const from_s of [2.2 - 1, 2.11]) {
    const heard = await page.play(take, from_s);
    const looks = looksLate_ms(heard);
    expect(heard.clock.starts).toHaveLength(1);
    expect(looks.length).toBeGreaterThan(20);
    expect(sizes(looks).worst_ms, looks.join(' ms, ')).toBeLessThan(1);
  }
});
