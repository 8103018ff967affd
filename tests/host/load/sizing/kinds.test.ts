/** Every kind of rig: figures or null, never NaN; what is named as enough is. */
import { expect, it } from 'vitest';
import { servoJson } from '../../../../host/cli/servo/json.ts';
import { sizing } from '../../../../host/load/sizing/sizing.ts';
import { servoClasses } from '../../../../host/rig/servo-classes.ts';
import { KINDS, rigOf } from '../../why/rigs.ts';

it.each(Object.entries(KINDS))('%s', (_, text) => {
  const rig = rigOf(text);
  const offers = servoClasses(rig.joints).map((servo) => ({ servo, price: null }));
  const { groups, ...answer } = sizing(rig, { stream: null, offers, arm_mm: 100 });
  expect(
    JSON.stringify(servoJson({ groups, ...answer }), (__, value: unknown) =>
      typeof value === 'number' && !Number.isFinite(value) ? 'BAD' : value,
    ),
  ).not.toContain('BAD');
  for (const { classes, or } of groups) {
    for (const { enough, use, heat } of classes) if (enough) expect([use, heat]).not.toContain(null);
    for (const { judged } of or) expect(judged.enough).toBe(true);
  }
});
