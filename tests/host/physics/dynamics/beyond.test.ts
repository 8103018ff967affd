import { describe, expect, it } from 'vitest';
import { BeyondWatch, beyondLimitsIn, beyondWords, isBeyond, withinLimits } from '../../../../host/physics/dynamics/beyond.ts';
import { toRad } from '../../../../host/rig/rig.ts';
import { StoredStream } from '../../../../host/stream/stored.ts';
import { TILT, rigFrom } from '../../load/rigs.ts';

const rig = rigFrom(TILT);
const [nod, lid] = rig.joints as [(typeof rig.joints)[number], (typeof rig.joints)[number]];

describe('what a joint is asked for', () => {
  it('is beyond past its soft limit, not at it nor a rounding further, and never when nothing is asked', () => {
    expect([25, 25.00005, 25.001, -25, -25.001].map((deg) => isBeyond(nod, toRad(deg)))).toEqual([
      false,
      false,
      true,
      false,
      true,
    ]);
    expect([NaN, Infinity, -Infinity].map((asked) => isBeyond(nod, asked))).toEqual([false, true, true]);
    expect([NaN, 9, -9, 0].map((asked) => withinLimits(nod, asked))).toEqual([NaN, nod.hi, nod.lo, 0]);
  });

  it('is kept where it is furthest, with the limit that stops it, the furthest joint first', () => {
    const watch = new BeyondWatch();
    expect(watch.look(nod, toRad(30), 1)).toBe(true);
    expect(watch.look(nod, toRad(-40), 2)).toBe(true);
    expect(watch.look(nod, toRad(28), 3)).toBe(true);
    expect(watch.look(lid, toRad(56.5), 4)).toBe(true);
    expect(watch.look(lid, NaN, 5)).toBe(false);
    const [first, second] = watch.list();
    expect(first).toMatchObject({ joint: 'nod', unit: 'deg', at_s: 2 });
    expect([first!.asked, first!.limit]).toEqual([expect.closeTo(-40, 9), expect.closeTo(-25, 9)]);
    expect(second).toMatchObject({ joint: 'lid', at_s: 4 });
    expect(beyondWords(watch.list())).toBe(
      'nod is asked for -40.0 deg at 2.00 s, and its soft limit is -25.0 deg; lid is asked for 56.5 deg at 4.00 s, and its soft limit is 55.0 deg',
    );
  });

  it('tells two figures apart that are nearly one', () => {
    const watch = new BeyondWatch();
    watch.look(nod, toRad(25.004), 0);
    expect(beyondWords(watch.list())).toContain('asked for 25.004 deg at 0.00 s, and its soft limit is 25.000 deg');
  });

  it('is looked up in every frame of a stream', () => {
    const stream = new StoredStream(2);
    for (const [t_s, deg] of [
      [0, 0],
      [1, 31],
      [2, NaN],
    ] as const)
      stream.push({ t_s, pose: [0, 0, 0, 0, 0, 0], joints: [toRad(deg), NaN] });
    expect(beyondLimitsIn(rig, stream)).toMatchObject([{ joint: 'nod', at_s: 1, asked: expect.closeTo(31, 9) }]);
  });
});
