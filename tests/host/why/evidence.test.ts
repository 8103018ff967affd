/** What speaks for a cause: the joint it is about, its figures, and who else. */
import { beforeAll, expect, it } from 'vitest';
import { beyondLimits } from '../../../host/why/causes/held.ts';
import { torqueSaturated } from '../../../host/why/causes/torque.ts';
import type { Facts } from '../../../host/why/facts.ts';
import { TILT } from '../load/rigs.ts';
import { lookedInto } from './rigs.ts';

/** A nod four times a second, and a lid that shuts at once: both are asked for more than their limits. */
const BOTH = `t_s,nod_deg,lid_deg\n${Array.from({ length: 201 }, (_, k) => `${k / 100},${(20 * Math.sin((8 * Math.PI * k) / 100)).toFixed(3)},${k < 100 ? 0 : 50}`).join('\n')}\n`;

let facts: Facts;
beforeAll(async () => {
  ({ facts } = await lookedInto(TILT, BOTH));
}, 60_000);

it('a stream that asks for more than the limits: the joint furthest off is named, and who else', () => {
  const off = facts.replay!.answer.joints.map(({ peak_error }) => peak_error);
  // The lid is off by nearly all of its 50 deg, the nod by some of its 20.
  expect(off[1]).toBeGreaterThan(off[0]! + 1);
  const { because } = beyondLimits(facts)!;
  expect(because).toMatch(/^lid runs at its limits .* falls 4\d\.\d deg behind/);
  expect(because).toMatch(/; likewise nod (goes|falls) \d+\.\d deg/);
});

it('a servo that runs out though its limits ask for less than it has: what the stream asks is the evidence', () => {
  const short = (use: number): Facts => ({
    ...facts,
    joints: facts.joints.map((one) =>
      one.joint.name === 'nod'
        ? { ...one, asks: { ...one.asks!, use }, metal: { ...one.metal!, saturated_ms: 122 } }
        : one,
    ),
  });
  const { because } = torqueSaturated(short(0.86))!;
  expect(because).toMatch(/^nod is out of torque for 122 ms of the stream; the stream asks nod for \d+/);
  expect(because).not.toContain('86 %');
  expect(torqueSaturated(short(1.95))!.because).toContain('the limits of nod ask for 195 %');
});
