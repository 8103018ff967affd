/** Idle life has the rates and the lid's timing that people have, and is the same for the same seed. */
import { describe, expect, it } from 'vitest';
import { USUAL_IDLE, blinks, breath, glances, idleLayer, instants } from '../../../../host/stage/take/idle.ts';

const HOUR_S = 3600;

describe('blinks', () => {
  it('come 17 times a minute at rest (Bentivoglio 1997)', () => {
    const count = instants(5, USUAL_IDLE.blinks_per_min, 0.4, HOUR_S).length;
    // Three standard deviations of a Poisson count of 1020.
    expect(Math.abs(count - 17 * 60)).toBeLessThan(3 * Math.sqrt(1020));
  });

  it('come at random: the pauses scatter nearly as much as they last, as an exponential law has it', () => {
    const at = instants(6, 17, 0, 10 * HOUR_S);
    const gaps = at.slice(1).map((t_s, n) => t_s - at[n]!);
    const mean = gaps.reduce((a, b) => a + b) / gaps.length;
    const deviation = Math.sqrt(gaps.reduce((sum, gap) => sum + (gap - mean) ** 2, 0) / gaps.length);
    expect(deviation / mean).toBeGreaterThan(0.95);
    expect(deviation / mean).toBeLessThan(1.05);
  });

  it('close faster than they open (Sforza 2008), and close wholly', () => {
    const down = blinks({ ...USUAL_IDLE, blinks_per_min: 6 }, 60);
    const shut = down.indexOf(1);
    let [first, last] = [shut, shut];
    while (down[first]! > 0) first--;
    while (down[last]! > 0) last++;
    expect((last - shut) / (shut - first)).toBeGreaterThan(1.4);
  });
});

it('a blink lasts as many times longer as it is told, for a lid that is slow', () => {
  const moving = (blink_times: number): number =>
    blinks({ ...USUAL_IDLE, blinks_per_min: 2, blink_times }, 600).filter((share) => share > 0 && share < 1).length /
    instants(1, 2, 0.4 * blink_times, 600).length;
  expect(moving(3) / moving(1)).toBeGreaterThan(2.7);
});

it('breathes so many times a minute, in faster than out', () => {
  const chest = breath(USUAL_IDLE, 600);
  const tops = [...chest.keys()].filter((n) => chest[n]! > chest[n - 1]! && chest[n]! >= chest[n + 1]!);
  expect(Math.abs(tops.length / 10 - 14)).toBeLessThan(1);
  expect(chest.every((value) => value >= -1 && value <= 1)).toBe(true);
});

it('never glances farther than it is told, and is the same for the same seed', () => {
  const one = glances(USUAL_IDLE, 60, 0);
  expect(Math.max(...one)).toBeLessThanOrEqual(3);
  expect(Math.max(...one) - Math.min(...one)).toBeGreaterThan(2);
  expect(glances(USUAL_IDLE, 60, 0)).toEqual(one);
  expect(glances({ ...USUAL_IDLE, seed: 2 }, 60, 0)).not.toEqual(one);
});

it('lays a blink over what the lid does: shut is shut, open is as it was', () => {
  const under = new Float64Array(3001).fill(12);
  const lid = idleLayer(
    USUAL_IDLE,
    [{ column: 'lid_deg', part: 'blink', shut: 40 }],
    new Map([['lid_deg', under]]),
    60,
  );
  const values = lid.get('lid_deg')!;
  expect(Math.max(...values)).toBe(40);
  expect(Math.min(...values)).toBe(12);
});
